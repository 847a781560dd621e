"""A rotation on paper: a card for each group, a sheet for each station, and the table for the wall.
Times and codes are large: they are read at arm's length, in rain.
"""

from dataclasses import dataclass

from . import paper
from .paper import Paper

MARGIN = 12.0
TITLE_POINTS, WHEN_POINTS, FOOT_POINTS, CAUTION_POINTS = 26.0, 10.5, 7.5, 10.0
TIME_POINTS, BIG_POINTS, BESIDE_POINTS, LEAST_POINTS = 15.0, 22.0, 10.5, 8.0
ROW_MM = 9.5
TIME_MM, BIG_MM, GAP_MM = 44.0, 40.0, 3.0
COLUMN_MM, GROUP_MM = 17.0, 42.0  # of the table: the least, and for names
WALL_ROW_MM, TALLEST_MM = 15.0, 28.0  # a row of the table, the least and the most
HEAD_MM = 16.0


@dataclass(frozen=True)
class TimeRow:
    """A line of a card: when, what in large letters, what stands beside it in small ones."""

    time: str
    big: str
    beside: str


@dataclass(frozen=True)
class TimeCard:
    """A card with lines by the clock: its title, what stands under it, the lines, the cautions, and
    the foot.
    """

    title: str
    when: str
    rows: tuple[TimeRow, ...]
    cautions: str
    foot: str


@dataclass(frozen=True)
class Wall:
    """The table for the wall: title, under it, what the first column is called, when each round
    begins and ends, and of each group its name and its station in each.
    """

    title: str
    when: str
    heading: str
    times: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    foot: str


def time_cards(cards, title, sheet):
    """Cards, two to a sheet where all are short, else each on as many sheets as it takes."""
    pdf = Paper(sheet, title)
    wide = sheet.width - 2 * MARGIN
    half = sheet.height / 2
    are_short = all(_tall(card, wide) <= half - 2 * MARGIN for card in cards)
    for place, card in enumerate(cards):
        if are_short and place % 2:
            pdf.line(MARGIN, half, sheet.width - MARGIN, half, width=0.15, dash=(2, 2))
            _short(pdf, card, half, half, wide)
        elif are_short:
            pdf.begin(sheet)
            _short(pdf, card, 0.0, half, wide)
        else:
            _long(pdf, card, sheet, wide)
    return pdf.finished()


def _tall(card, wide):
    """The height of a whole card, millimetres."""
    return _head_tall(card, wide) + len(card.rows) * ROW_MM + _end_tall(card, wide)


def _head_tall(card, wide):
    points = _title_points(card, wide)
    return paper.tall(card.title, wide, points, True) + paper.tall(card.when, wide, WHEN_POINTS) + 3


def _end_tall(card, wide):
    """The height of cautions and foot."""
    cautions = paper.tall(card.cautions, wide, CAUTION_POINTS) + 2 if card.cautions else 0.0
    return cautions + paper.tall(card.foot, wide, FOOT_POINTS) + 2


def _title_points(card, wide):
    return paper.fitting(card.title, wide, TITLE_POINTS, WHEN_POINTS, bold=True)


def _short(pdf, card, top, tall, wide):
    """A card in half a sheet."""
    y = _head(pdf, card, top + MARGIN, wide)
    for row in card.rows:
        y = _row(pdf, row, y, wide)
    _end(pdf, card, top + tall - MARGIN, wide)


def _long(pdf, card, sheet, wide):
    """A card on sheets of its own; cautions and foot stand on each."""
    lowest = sheet.height - MARGIN - _end_tall(card, wide)
    y = sheet.height
    for row in card.rows:
        if y + ROW_MM > lowest:
            pdf.begin(sheet)
            _end(pdf, card, sheet.height - MARGIN, wide)
            y = _head(pdf, card, MARGIN, wide)
        y = _row(pdf, row, y, wide)


def _head(pdf, card, y, wide):
    """Title and what stands under it. Returns the lower edge."""
    y = pdf.paragraph(card.title, MARGIN, y, wide, _title_points(card, wide), bold=True)
    y = pdf.paragraph(card.when, MARGIN, y, wide, WHEN_POINTS)
    pdf.line(MARGIN, y + 2, MARGIN + wide, y + 2, width=0.6)
    return y + 3


def _row(pdf, row, y, wide):
    """One line. Returns its lower edge."""
    base = y + ROW_MM - 2.6
    pdf.text(row.time, MARGIN, base, TIME_POINTS)
    points = paper.fitting(row.big, BIG_MM - GAP_MM, BIG_POINTS, LEAST_POINTS, bold=True)
    pdf.text(row.big, MARGIN + TIME_MM, base, points, bold=True)
    beside_mm = wide - TIME_MM - BIG_MM
    points = paper.fitting(row.beside, beside_mm, BESIDE_POINTS, LEAST_POINTS)
    (first, *_) = paper.lines(row.beside, beside_mm, points)
    pdf.text(first, MARGIN + TIME_MM + BIG_MM, base, points)
    pdf.line(MARGIN, y + ROW_MM, MARGIN + wide, y + ROW_MM, width=0.1, grey=0.5)
    return y + ROW_MM


def _end(pdf, card, bottom, wide):
    """Cautions and foot above a lower edge."""
    y = bottom - _end_tall(card, wide) + 2
    if card.cautions:
        y = pdf.paragraph(card.cautions, MARGIN, y, wide, CAUTION_POINTS) + 2
    pdf.paragraph(card.foot, MARGIN, y, wide, FOOT_POINTS, grey=0.25)


def wall_table(wall, sheet):
    """The table on sheets that lie on their side; more rounds or groups than fit go on."""
    pdf, lying = Paper(sheet.turned, wall.title), sheet.turned
    wide = lying.width - 2 * MARGIN
    columns = max(1, int((wide - GROUP_MM) / COLUMN_MM))
    foot_mm = paper.tall(wall.foot, wide, FOOT_POINTS)
    row_mm = min(TALLEST_MM, max(WALL_ROW_MM, (lying.height - 85.0) / len(wall.rows)))
    for first in range(0, len(wall.times), columns):
        times = wall.times[first : first + columns]
        each = min(2 * COLUMN_MM, (wide - GROUP_MM) / len(times))
        y = lying.height
        for group, stations in wall.rows:
            if y + row_mm > lying.height - MARGIN - foot_mm - 2:
                pdf.begin(lying)
                pdf.paragraph(
                    wall.foot, MARGIN, lying.height - MARGIN - foot_mm, wide, FOOT_POINTS, grey=0.25
                )
                y = _wall_head(pdf, wall, times, each, wide)
            _wall_row(pdf, group, stations[first : first + columns], y, each, row_mm)
            y += row_mm
    return pdf.finished()


def _wall_head(pdf, wall, times, each, wide):
    """Title, and the times over the columns. Returns the lower edge."""
    points = paper.fitting(wall.title, wide, TITLE_POINTS, WHEN_POINTS, bold=True)
    y = pdf.paragraph(wall.title, MARGIN, MARGIN, wide, points, bold=True)
    y = pdf.paragraph(wall.when, MARGIN, y, wide, WHEN_POINTS) + 2
    pdf.text(wall.heading, MARGIN, y + HEAD_MM - 3, WHEN_POINTS, grey=0.25)
    for place, (begins, ends) in enumerate(times):
        x = MARGIN + GROUP_MM + (place + 0.5) * each
        pdf.text(begins, x, y + 6, 13.0, bold=True, anchor="middle")
        pdf.text(f"–{ends}", x, y + HEAD_MM - 3, BESIDE_POINTS, anchor="middle")
    right = MARGIN + GROUP_MM + len(times) * each
    pdf.line(MARGIN, y + HEAD_MM, right, y + HEAD_MM, width=0.6)
    return y + HEAD_MM


def _wall_row(pdf, group, stations, y, each, row_mm):
    """One group's line."""
    base, larger = y + row_mm * 0.7, row_mm / WALL_ROW_MM
    points = paper.fitting(group, GROUP_MM - GAP_MM, 18.0 * larger, LEAST_POINTS, bold=True)
    (first, *_) = paper.lines(group, GROUP_MM - GAP_MM, points, True)
    pdf.text(first, MARGIN, base, points, bold=True)
    for place, code in enumerate(stations):
        x = MARGIN + GROUP_MM + (place + 0.5) * each
        points = paper.fitting(code, each - 2, 24.0 * larger, LEAST_POINTS, bold=True)
        pdf.text(code, x, base, points, bold=True, anchor="middle")
    right = MARGIN + GROUP_MM + len(stations) * each
    pdf.line(MARGIN, y + row_mm, right, y + row_mm, width=0.15, grey=0.4)
