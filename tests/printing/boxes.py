"""A PDF's own boxes, as PDFium has them: where each piece of text stands, what lies under it, and
what comes near the paper's edge. Millimetres from the upper left corner.
"""

import itertools
from dataclasses import dataclass

from tests import optional

MM = 72 / 25.4
DPI = 150
TOUCH_MM = 0.05  # a rounding; nobody sees it


@dataclass(frozen=True)
class Box:
    """Left, top, right and bottom of something, and its text, if it is one."""

    left: float
    top: float
    right: float
    bottom: float
    text: str = ""
    points: float = 0.0

    def meets(self, other):
        """Whether it shares ground with another."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > TOUCH_MM
            and min(self.bottom, other.bottom) - max(self.top, other.top) > TOUCH_MM
        )

    def lies_in(self, left, top, right, bottom):
        """Whether it lies inside a box."""
        return (
            self.left >= left - TOUCH_MM
            and self.top >= top - TOUCH_MM
            and self.right <= right + TOUCH_MM
            and self.bottom <= bottom + TOUCH_MM
        )


class Page:
    """A page of a PDF: `texts` and `shapes` as boxes, and a picture of it without its texts."""

    def __init__(self, page):
        self.width, self.height = (side / MM for side in page.get_size())
        reader = page.get_textpage()
        found = list(page.get_objects(textpage=reader))
        texts = [one for one in found if hasattr(one, "extract")]
        self.texts = [self._text(one) for one in texts if one.extract().strip()]
        self.shapes = [self._box(one) for one in found if one not in texts]
        self._picture = page.render(scale=DPI / 72).to_pil().convert("L")
        reader.close()
        for one in texts:
            page.remove_obj(one)
        page.gen_content()
        self._without_text = page.render(scale=DPI / 72).to_pil().convert("L")

    def _box(self, one, text="", points=0.0):
        left, bottom, right, top = one.get_bounds()
        return Box(
            left / MM, self.height - top / MM, right / MM, self.height - bottom / MM, text, points
        )

    def _text(self, one):
        return self._box(one, one.extract().strip(), one.get_font_size())

    def overlaps(self):
        """Texts that lie on one another, in pairs."""
        return [
            (one.text, other.text)
            for one, other in itertools.combinations(self.texts, 2)
            if one.meets(other)
        ]

    def near_the_edge(self, least_mm):
        """What comes nearer to the paper's edge than it may."""
        inner = least_mm, least_mm, self.width - least_mm, self.height - least_mm
        return [one for one in (*self.texts, *self.shapes) if not one.lies_in(*inner)]

    def texts_on_ink(self):
        """Texts under which something is drawn."""
        return [one.text for one in self.texts if self.darkest(one) < 200]

    def darkest(self, box, *, with_text=False):
        """The darkest grey in a box, 0 to 255, of all but texts."""
        picture = self._picture if with_text else self._without_text
        pixel = DPI / 25.4
        edges = [round(side * pixel) for side in (box.left, box.top, box.right, box.bottom)]
        left, top, right, bottom = edges
        return picture.crop((left, top, max(right, left + 1), max(bottom, top + 1))).getextrema()[0]


def pages(content):
    """The pages of a PDF."""
    pdfium = optional.package("pypdfium2")
    with pdfium.PdfDocument(content) as document:
        return [Page(page) for page in document]
