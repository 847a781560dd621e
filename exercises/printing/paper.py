"""A sheet of paper in millimetres: text that fits, lines, boxes, QR codes. The only importer of
reportlab.
"""

import io
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import segno
from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

MM = 72.0 / 25.4  # points in a millimetre
SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
FONTS = Path(__file__).resolve().parent / "fonts"
REGULAR, BOLD = "DejaVuSans", "DejaVuSans-Bold"
CAP_HEIGHT = 0.729  # of the font's size, DejaVu Sans
DESCENT = 0.236  # of the same: how far small letters reach below the line
LEADING = 1.28
QUIET_MODULES = 4  # ISO/IEC 18004: the empty border of a QR code

rl_config.useA85 = 0  # pages as bytes, not as text: a fifth smaller, and a fifth of the time saved

for _name in (REGULAR, BOLD):
    pdfmetrics.registerFont(TTFont(_name, str(FONTS / f"{_name}.ttf")))


@dataclass(frozen=True)
class Size:
    """A sheet: width and height in millimetres."""

    width: float
    height: float

    @property
    def turned(self):
        """The same sheet lying on its side."""
        return Size(self.height, self.width)


def size(name):
    """A sheet by its name, one of SIZES, standing upright."""
    return Size(*SIZES[name])


class Paper:
    """A PDF in the making. Coordinates are millimetres to the right and down from the upper left
    corner of the page.
    """

    def __init__(self, sheet, title):
        self._stream, self.sheet = io.BytesIO(), sheet
        self._canvas = Canvas(
            self._stream,
            pagesize=(sheet.width * MM, sheet.height * MM),
            invariant=1,
            pageCompression=1,
            initialFontName=REGULAR,  # else Helvetica is listed, which nothing uses
        )
        self._canvas.setTitle(title)
        self._canvas.setViewerPreference(
            "PrintScaling", "None"
        )  # viewers shrink pages otherwise, and millimetres with them
        self._pages = 0

    def begin(self, sheet=None):
        """Start a page, of another size if given."""
        if self._pages:
            self._canvas.showPage()
        self._pages += 1
        self.sheet = sheet or self.sheet
        self._canvas.setPageSize((self.sheet.width * MM, self.sheet.height * MM))

    def finished(self):
        """The PDF's bytes."""
        self._canvas.save()
        return self._stream.getvalue()

    def _y(self, y):
        return (self.sheet.height - y) * MM

    @contextmanager
    def only_in(self, box):
        """What is drawn meanwhile is seen inside a box alone: its left, top, right and bottom."""
        left, top, right, bottom = box
        self._canvas.saveState()
        path = self._canvas.beginPath()
        path.rect(left * MM, self._y(bottom), (right - left) * MM, (bottom - top) * MM)
        self._canvas.clipPath(path, stroke=0, fill=0)
        yield
        self._canvas.restoreState()

    def line(self, x1, y1, x2, y2, width=0.25, grey=0.0, dash=()):
        """A straight line; widths in millimetres, grey from 0 (black) to 1."""
        canvas = self._canvas
        canvas.setLineWidth(width * MM)
        canvas.setStrokeGray(grey)
        canvas.setDash([part * MM for part in dash])
        canvas.line(x1 * MM, self._y(y1), x2 * MM, self._y(y2))
        canvas.setDash([])

    def lines(self, ends, width=0.25):
        """Straight lines from (x1, y1, x2, y2) at once: many are much faster so."""
        self._canvas.setLineWidth(width * MM)
        self._canvas.setStrokeGray(0)
        self._canvas.lines(
            [(x1 * MM, self._y(y1), x2 * MM, self._y(y2)) for x1, y1, x2, y2 in ends]
        )

    def box(self, x, y, width, height, line=0.25, grey=0.0, fill=None):
        """A rectangle by its upper left corner."""
        canvas = self._canvas
        canvas.setLineWidth(line * MM)
        canvas.setStrokeGray(grey)
        if fill is not None:
            canvas.setFillGray(fill)
        canvas.rect(
            x * MM,
            self._y(y + height),
            width * MM,
            height * MM,
            stroke=int(line > 0),
            fill=int(fill is not None),
        )

    def circle(self, x, y, radius, line=0.3, fill=None):
        """A circle by its middle."""
        canvas = self._canvas
        canvas.setLineWidth(line * MM)
        canvas.setStrokeGray(0)
        if fill is not None:
            canvas.setFillGray(fill)
        canvas.circle(
            x * MM, self._y(y), radius * MM, stroke=int(line > 0), fill=int(fill is not None)
        )

    def polygon(self, corners, line=0.3, grey=0.0, fill=None, closed=True, dash=()):
        """Straight lines through corners, which are round: a sharp one would reach beyond them."""
        canvas, path = self._canvas, self._canvas.beginPath()
        canvas.setLineWidth(line * MM)
        canvas.setLineJoin(1)
        canvas.setStrokeGray(grey)
        canvas.setDash([part * MM for part in dash])
        if fill is not None:
            canvas.setFillGray(fill)
        path.moveTo(corners[0][0] * MM, self._y(corners[0][1]))
        for x, y in corners[1:]:
            path.lineTo(x * MM, self._y(y))
        if closed:
            path.close()
        canvas.drawPath(path, stroke=int(line > 0), fill=int(fill is not None))
        canvas.setDash([])

    def text(self, content, x, y, points, bold=False, anchor="start", grey=0.0, turned_deg=0.0):
        """One line of text; `y` is its baseline, `anchor` start, middle or end, `turned_deg`
        clockwise.
        """
        canvas = self._canvas
        canvas.saveState()
        canvas.setFont(BOLD if bold else REGULAR, points)
        canvas.setFillGray(grey)
        canvas.translate(x * MM, self._y(y))
        canvas.rotate(-turned_deg)
        {
            "start": canvas.drawString,
            "middle": canvas.drawCentredString,
            "end": canvas.drawRightString,
        }[anchor](0, 0, content)
        canvas.restoreState()

    def halo(self, content, x, y, points, anchor="start"):
        """A label on a white ground that covers what lies below it."""
        wide = width(content, points, bold=True)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        above = points / MM * CAP_HEIGHT
        below = 0.0 if content == content.upper() else points / MM * DESCENT
        self.box(left - 0.4, y - above - 0.4, wide + 0.8, above + below + 0.8, line=0, fill=1.0)
        self.text(content, x, y, points, bold=True, anchor=anchor)

    def paragraph(self, content, x, y, wide, points, bold=False, grey=0.0):
        """Text broken into lines of a width; `y` is the upper edge. Returns the lower edge."""
        for line in lines(content, wide, points, bold):
            y += points / MM * LEADING
            self.text(line, x, y - points / MM * (LEADING - 1.0), points, bold, grey=grey)
        return y

    def qr(self, content, x, y, side):
        """A QR code of a side with its quiet border inside it."""
        code = segno.make_qr(content, error="m")
        modules = len(code.matrix)
        step = side / (modules + 2 * QUIET_MODULES)
        self._canvas.setFillGray(0)
        for row, bits in enumerate(code.matrix):
            start = None
            for column, bit in enumerate([*bits, 0]):
                if bit and start is None:
                    start = column
                elif not bit and start is not None:
                    left, top = x + (QUIET_MODULES + start) * step, y + (QUIET_MODULES + row) * step
                    self._canvas.rect(
                        left * MM,
                        self._y(top + step),
                        (column - start) * step * MM,
                        step * MM,
                        stroke=0,
                        fill=1,
                    )
                    start = None

    def watermark(self, word):
        """A word across the whole page, light enough to read through."""
        points = 0.75 * self.sheet.width / width(word, 1.0, bold=True)
        self.text(
            word,
            self.sheet.width / 2,
            self.sheet.height / 2 + 20,
            points,
            bold=True,
            anchor="middle",
            grey=0.9,
            turned_deg=-50,
        )


def width(content, points, bold=False):
    """The width of a line of text in millimetres."""
    return pdfmetrics.stringWidth(content, BOLD if bold else REGULAR, points) / MM


def fitting(content, wide, most, least, bold=False):
    """The size in points, in halves from the most down to the least, at which no line of a text is
    broken; the least where one is at any.
    """
    points = most
    while points > least and len(lines(content, wide, points, bold)) > content.count("\n") + 1:
        points -= 0.5
    return points


def lines(content, wide, points, bold=False):
    """Text broken at spaces, but for those that are not to be broken at, into lines that fit a
    width; a word that is too long by itself is broken too.
    """
    broken = []
    for part in content.split("\n"):
        line = ""
        for word in filter(None, part.split(" ")):
            *whole_lines, rest = _pieces(word, wide, points, bold)
            if whole_lines:
                broken += [line, *whole_lines] if line else whole_lines
                line = ""
            joined = f"{line} {rest}".strip()
            if width(joined, points, bold) <= wide:
                line = joined
            else:
                broken.append(line)
                line = rest
        broken.append(line)
    return broken


def _pieces(word, wide, points, bold):
    """A word in pieces of which all but the last fill a line each."""
    pieces, rest = [], word
    while width(rest, points, bold) > wide:
        cut = next(
            length
            for length in range(len(rest), 0, -1)
            if length == 1 or width(rest[:length], points, bold) <= wide
        )
        pieces.append(rest[:cut])
        rest = rest[cut:]
    return [*pieces, rest]


def tall(content, wide, points, bold=False):
    """The height in millimetres of text broken into lines."""
    return len(lines(content, wide, points, bold)) * points / MM * LEADING


def points_for_cap(height_mm):
    """The size in points whose capitals are so many millimetres high."""
    return height_mm * MM / CAP_HEIGHT
