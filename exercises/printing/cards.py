"""Station cards: what hangs at a mark in the rain. They show where to stand and what is asked,
never an answer.

A letter is read comfortably at two hundred times its height (ISO 3864-1's factor for dim light,
from memory), so that three metres want 15 mm.
"""

from dataclasses import dataclass

from . import paper
from .paper import Paper, Size

READ_AT_M, TIMES_HEIGHT = 3.0, 200.0
LEAST_CAP_MM = READ_AT_M * 1000.0 / TIMES_HEIGHT
MARGIN = 7.0  # inside a card; printers leave 4 to 6 mm empty
CUT_MM = 4.0
SIZES = (13.0, 12.0, 11.0, 10.0)  # of what people must read at the mark, cautions among it
NAME_POINTS, ASIDE_POINTS, SHORT_CODE_POINTS, FOOT_POINTS = 12.0, 9.0, 20.0, 7.0
BESIDE_MM = 30.0  # of width, without which the name stands under the code


@dataclass(frozen=True)
class Layout:
    """How cards lie on a sheet: the sheet, how many across and down, the cap height of the code,
    the side of the QR code in millimetres.
    """

    sheet: Size
    across: int
    down: int
    cap_mm: float
    qr_mm: float

    @property
    def card(self):
        """The size of one card."""
        return Size(self.sheet.width / self.across, self.sheet.height / self.down)


LAYOUTS = {
    "a5": Layout(Size(297.0, 210.0), 2, 1, 30.0, 34.0),
    "a6": Layout(Size(210.0, 297.0), 2, 2, 16.0, 26.0),
    "half": Layout(Size(279.4, 215.9), 2, 1, 30.0, 34.0),
}


@dataclass(frozen=True)
class Card:
    """One station, ready to print: all texts in the reader's language."""

    code: str
    name: str
    stand: str
    tasks: tuple[str, ...]
    link: str
    short_code: str
    or_type: str
    away: str
    cautions: str
    foot: str


def station_cards(cards, layout, title):
    """Cards on sheets with cut marks, as a PDF. A card whose cautions do not fit goes on with a
    second card of the same code.
    """
    pdf = Paper(layout.sheet, title)
    draw_cards(pdf, cards, layout)
    return pdf.finished()


def draw_cards(pdf, cards, layout):
    """Cards on as many sheets as it takes."""
    each = layout.across * layout.down
    wanted = [part for card in cards for part in parts(card, layout)]
    for number, (card, texts) in enumerate(wanted):
        place = number % each
        if place == 0:
            pdf.begin(layout.sheet)
            _cut_marks(pdf, layout)
        _draw(
            pdf,
            layout,
            (place % layout.across) * layout.card.width,
            (place // layout.across) * layout.card.height,
            card,
            texts,
        )


def parts(card, layout):
    """A card as what fits on one or more: (card, [(text, points, bold)]). Text shrinks before it
    overflows; nothing is cut off.
    """
    wide = layout.card.width - 2 * MARGIN
    room = layout.card.height - 2 * MARGIN - _Head.of(card, layout).height - layout.qr_mm
    for points in SIZES:
        texts = _texts(card, points)
        if sum(paper.tall(text, wide, size, bold) + 1.5 for text, size, bold in texts) <= room:
            return [(card, texts)]
    return [(card, part) for part in _broken(texts, wide, room)]


def _broken(texts, wide, room):
    """Texts over as many cards as they take, of so much room each; one is broken only where no card
    holds it.
    """
    cards, here, left = [], [], room
    for text, size, bold in texts:
        line_mm, kept = size / paper.MM * paper.LEADING, []
        if left < paper.tall(text, wide, size, bold) <= room:
            cards.append(here)
            here, left = [], room
        for line in paper.lines(text, wide, size, bold):
            if line_mm > left:
                cards.append([*here, ("\n".join(kept), size, bold)] if kept else here)
                here, kept, left = [], [], room
            kept.append(line)
            left -= line_mm
        here.append(("\n".join(kept), size, bold))
        left -= 1.5
    return [*cards, here]


def _texts(card, points):
    """What stands on a card, in order: nobody stands there without the cautions, so that where it
    is too much the tasks are what goes on.
    """
    texts = [
        (card.stand, points + 1, True),
        (card.cautions, points, False),
        (card.away, points, True),
        *((task, points, False) for task in card.tasks),
    ]
    return [text for text in texts if text[0]]


@dataclass(frozen=True)
class _Head:
    """The code of a card as large as it fits, down to what is read at READ_AT_M, with the name
    beside it, or under it where it has no room there: the points of the code, where the name begins
    and how wide it may be, millimetres from the card's corner, and the height of all.
    """

    points: float
    name_left: float
    name_top: float
    name_wide: float
    height: float

    @classmethod
    def of(cls, card, layout):
        """The head of a card."""
        wide = layout.card.width - 2 * MARGIN
        largest, least = map(paper.points_for_cap, (layout.cap_mm, LEAST_CAP_MM))
        code_wide = paper.width(card.code, largest, bold=True)
        points = max(least, min(1.0, 0.62 * wide / code_wide) * largest)
        cap = points / paper.MM * paper.CAP_HEIGHT
        left = paper.width(card.code, points, bold=True) + 5.0
        if wide - left >= BESIDE_MM:
            name = paper.tall(card.name, wide - left, NAME_POINTS)
            return cls(points, MARGIN + left, MARGIN, wide - left, max(cap, name) + 6.0)
        name = paper.tall(card.name, wide, NAME_POINTS)
        return cls(points, MARGIN, MARGIN + cap + 1.5, wide, cap + name + 7.5)


def _draw(pdf, layout, left, top, card, texts):
    wide, x = layout.card.width - 2 * MARGIN, left + MARGIN
    head = _Head.of(card, layout)
    cap = head.points / paper.MM * paper.CAP_HEIGHT
    pdf.text(card.code, x, top + MARGIN + cap, head.points, bold=True)
    pdf.paragraph(
        card.name, left + head.name_left, top + head.name_top, head.name_wide, NAME_POINTS
    )
    y = top + MARGIN + head.height
    pdf.line(x, y - 3, x + wide, y - 3, width=0.5)
    for text, size, bold in texts:
        y = pdf.paragraph(text, x, y, wide, size, bold) + 1.5
    square = top + layout.card.height - MARGIN - layout.qr_mm
    pdf.qr(card.link, x, square, layout.qr_mm)
    _beside_qr(pdf, card, x + layout.qr_mm + 3, square, wide - layout.qr_mm - 3, layout.qr_mm)


def _beside_qr(pdf, card, x, y, wide, high):
    """The code to type, and the foot of the card."""
    lower = pdf.paragraph(card.or_type, x, y + 0.5, wide, ASIDE_POINTS)
    pdf.text(card.short_code, x, lower + 6.6, SHORT_CODE_POINTS, bold=True)
    foot = y + high - paper.tall(card.foot, wide, FOOT_POINTS)
    pdf.paragraph(card.foot, x, foot, wide, FOOT_POINTS, grey=0.25)


def _cut_marks(pdf, layout):
    """Short lines at the sheet's edges where the cards are cut apart."""
    sheet = layout.sheet
    for column in range(1, layout.across):
        x = column * layout.card.width
        pdf.line(x, 0, x, CUT_MM, width=0.1)
        pdf.line(x, sheet.height - CUT_MM, x, sheet.height, width=0.1)
    for row in range(1, layout.down):
        y = row * layout.card.height
        pdf.line(0, y, CUT_MM, y, width=0.1)
        pdf.line(sheet.width - CUT_MM, y, sheet.width, y, width=0.1)
