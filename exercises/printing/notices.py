"""A sheet of short parts under headings, large enough for wet glasses: what is read in a hurry."""

from dataclasses import dataclass

from . import paper
from .paper import Paper

MARGIN = 16.0
TITLE_POINTS, WHEN_POINTS, FOOT_POINTS = 26.0, 11.0, 7.5
HEADING_POINTS = 11.0
SIZES = (15.0, 14.0, 13.0, 12.0, 11.0, 10.0)  # of the lines; the largest with which one page does
GAP_MM = 4.0


@dataclass(frozen=True)
class Notice:
    """A title, what class and day, the parts ((heading, lines)), and the foot."""

    title: str
    when: str
    parts: tuple[tuple[str, tuple[str, ...]], ...]
    foot: str


def notice_sheet(notice, sheet):
    """The notice on as few pages as it takes, as a PDF."""
    pdf = Paper(sheet, notice.title)
    wide = sheet.width - 2 * MARGIN
    points = next((size for size in SIZES if _tall(notice, wide, size) <= _room(sheet)), SIZES[-1])
    y = _begin(pdf, notice, sheet, wide)
    for heading, lines in notice.parts:
        if y + _part_tall(heading, lines, wide, points) > sheet.height - MARGIN - GAP_MM:
            y = _begin(pdf, notice, sheet, wide)
        y = pdf.paragraph(heading, MARGIN, y + GAP_MM, wide, HEADING_POINTS, grey=0.25)
        for line in lines:
            if y + paper.tall(line, wide, points, True) > sheet.height - MARGIN - GAP_MM:
                y = _begin(pdf, notice, sheet, wide)
            y = pdf.paragraph(line, MARGIN, y, wide, points, bold=True)
    return pdf.finished()


def _begin(pdf, notice, sheet, wide):
    """A new page with its head and foot; where the parts begin."""
    pdf.begin(sheet)
    pdf.paragraph(notice.foot, MARGIN, sheet.height - MARGIN, wide, FOOT_POINTS, grey=0.25)
    y = pdf.paragraph(notice.title, MARGIN, MARGIN - 4, wide, TITLE_POINTS, bold=True)
    y = pdf.paragraph(notice.when, MARGIN, y, wide, WHEN_POINTS)
    pdf.line(MARGIN, y + 2, MARGIN + wide, y + 2, width=0.6)
    return y + 2


def _room(sheet):
    """What is left for the parts on one page, millimetres."""
    return sheet.height - 2 * MARGIN - 26.0


def _tall(notice, wide, points):
    """The height of all parts, millimetres."""
    return sum(_part_tall(heading, lines, wide, points) for heading, lines in notice.parts)


def _part_tall(heading, lines, wide, points):
    """The height of one part, millimetres."""
    return (
        GAP_MM
        + paper.tall(heading, wide, HEADING_POINTS)
        + sum(paper.tall(line, wide, points, True) for line in lines)
    )
