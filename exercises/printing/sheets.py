"""Sheets to fill in for those without a phone, and the instructor's key: tables that run over
pages.
"""

from collections.abc import Callable
from dataclasses import dataclass

from . import paper
from .paper import Paper

MARGIN = 14.0
LEAST_DIGITS = 3  # of a bearing; in mils there are four
DIGIT_MM = 9.0  # a box that a wet glove can write in
ROW_MM = 13.0
BOX_MM, BETWEEN_MM, BESIDE_MM = ROW_MM - 3.5, 1.5, 26.0  # a box; two of them; the words beside
STATION_MM, ASKED_MM = 17.0, 33.0  # where these begin, from the left margin
HEAD_POINTS, TEXT_POINTS, SMALL_POINTS = 15.0, 9.5, 7.5
CAUTION_POINTS = 10.0
CAUTION_MM = CAUTION_POINTS / paper.MM * paper.LEADING
FOOT_MM = 12.0  # kept for the last lines of a page


@dataclass(frozen=True)
class Line:
    """One task on a participant's sheet: number, station, what is asked; the places for an answer,
    one under the other, each with the unit beside its boxes and how many boxes it has.
    """

    label: str
    station: str
    asked: str
    fields: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Heads:
    """Words of a participant's sheet: title, class and day, the fields to fill in, the headings,
    what to do, the cautions, the foot.
    """

    title: str
    when: str
    fields: tuple[str, ...]
    columns: tuple[str, str, str]
    reminder: str
    cautions: str
    foot: str
    page: Callable[[int], str]


def participant_sheet(lines, heads, sheet, names=("",)):
    """Sheets to write answers on, one for each name (an empty one is filled in by hand), as a
    PDF.
    """
    pdf = Paper(sheet, heads.title)
    for name in names:
        draw_participant(pdf, lines, heads, sheet, name)
    return pdf.finished()


def draw_participant(pdf, lines, heads, sheet, name=""):
    """One person's sheet, over as many pages as it takes. The cautions stand on the first, and go
    on where one page does not hold them.
    """
    wide, lowest = sheet.width - 2 * MARGIN, sheet.height - MARGIN - FOOT_MM
    boxes_mm = boxes_wide(lines)
    cautions = paper.lines(heads.cautions, wide, CAUTION_POINTS) if heads.cautions else []
    left, number = list(lines), 0
    while left or cautions or not number:
        number += 1
        pdf.begin(sheet)
        y = _participant_head(pdf, heads, wide, name)
        while cautions and y + CAUTION_MM <= lowest:
            y = pdf.paragraph(cautions.pop(0), MARGIN, y, wide, CAUTION_POINTS)
        y = lowest if cautions else _columns_head(pdf, heads, wide, boxes_mm, y + 5)
        while left and y + (height := _row_height(left[0], wide, boxes_mm)) <= lowest:
            _row(pdf, left.pop(0), y, wide, height, boxes_mm)
            y += height
        foot(pdf, f"{heads.foot} {heads.page(number)}", sheet)


def _participant_head(pdf, heads, wide, name):
    y = pdf.paragraph(heads.title, MARGIN, MARGIN - 2, wide, HEAD_POINTS, bold=True)
    y = pdf.paragraph(heads.when, MARGIN, y, wide, TEXT_POINTS) + 7
    share, x = wide / (len(heads.fields) + 1), MARGIN
    for place, field in enumerate(heads.fields):
        each = share if place else 2 * share  # of which a name has two
        pdf.text(field, x, y, SMALL_POINTS, grey=0.25)
        pdf.line(x, y + 7, x + each - 6, y + 7, width=0.25)
        if place == 0 and name:
            points = paper.fitting(name, each - 8, 11.0, SMALL_POINTS, bold=True)
            pdf.text(name, x + 1, y + 5.8, points, bold=True)
        x += each
    return pdf.paragraph(heads.reminder, MARGIN, y + 9, wide, TEXT_POINTS, bold=True) + 1


def _columns_head(pdf, heads, wide, boxes_mm, y):
    for x, words in zip(
        (MARGIN, MARGIN + STATION_MM, sheet_boxes(wide, boxes_mm)), heads.columns, strict=True
    ):
        pdf.text(words, x, y, SMALL_POINTS, grey=0.25)
    pdf.line(MARGIN, y + 1.5, MARGIN + wide, y + 1.5, width=0.4)
    return y + 2


def foot(pdf, words, sheet):
    """The last lines of a page."""
    wide = sheet.width - 2 * MARGIN
    top = sheet.height - MARGIN - paper.tall(words, wide, SMALL_POINTS)
    pdf.paragraph(words, MARGIN, top, wide, SMALL_POINTS, grey=0.25)


def boxes_wide(lines):
    """How wide the boxes of a sheet are together: as many as its longest number has figures."""
    most = max((boxes for line in lines for _unit, boxes in line.fields), default=LEAST_DIGITS)
    return max(LEAST_DIGITS, most) * DIGIT_MM


def sheet_boxes(wide, boxes_mm):
    """Where the boxes for an answer begin, millimetres from the left edge."""
    return MARGIN + wide - boxes_mm - BESIDE_MM


def _row_height(line, wide, boxes_mm):
    fields_mm = ROW_MM + (len(line.fields) - 1) * (BOX_MM + BETWEEN_MM)
    return max(fields_mm, paper.tall(line.asked, _asked_wide(wide, boxes_mm), TEXT_POINTS) + 4)


def _asked_wide(wide, boxes_mm):
    """How wide what is asked may run, between station and boxes."""
    return sheet_boxes(wide, boxes_mm) - MARGIN - ASKED_MM - 4


def _row(pdf, line, y, wide, height, boxes_mm):
    pdf.text(line.label, MARGIN, y + 7.5, 12.0, bold=True)
    points = paper.fitting(line.station, ASKED_MM - STATION_MM - 2, 12.0, SMALL_POINTS, bold=True)
    pdf.text(line.station, MARGIN + STATION_MM, y + 7.5, points, bold=True)
    asked_mm = _asked_wide(wide, boxes_mm)
    pdf.paragraph(line.asked, MARGIN + ASKED_MM, y + 1.5, asked_mm, TEXT_POINTS)
    for place, (unit, boxes) in enumerate(line.fields):
        _field(pdf, unit, boxes, y + 1.5 + place * (BOX_MM + BETWEEN_MM), wide, boxes_mm)
    pdf.line(MARGIN, y + height - 0.5, MARGIN + wide, y + height - 0.5, width=0.1, grey=0.5)


def _field(pdf, unit, boxes, y, wide, boxes_mm):
    """The boxes for an answer, with what stands beside them: one for each figure, or one long one
    for a word.
    """
    x = sheet_boxes(wide, boxes_mm)
    box_mm = DIGIT_MM if boxes > 1 else boxes_mm
    for box in range(boxes):
        pdf.box(x + box * box_mm, y, box_mm, BOX_MM, line=0.35)
    beside = x + boxes * box_mm + 2
    beside_mm = MARGIN + wide - beside
    tall = paper.tall(unit, beside_mm, TEXT_POINTS)
    pdf.paragraph(unit, beside, y + max(0.0, (BOX_MM - tall) / 2), beside_mm, TEXT_POINTS)


@dataclass(frozen=True)
class KeyLine:
    """One task of the key: number, from and to, answer, the other norths, bands, uncertainty, and
    what likely mistakes would give, with their causes.
    """

    label: str
    line: str
    answer: str
    norths: str
    bands: str
    uncertainty: str
    wrong: tuple[str, ...]


@dataclass(frozen=True)
class KeyHeads:
    """Words of the key: title, day and version, headings, foot, and the word across each page."""

    title: str
    when: str
    columns: tuple[str, ...]
    foot: str
    watermark: str


KEY_COLUMNS = (0.0, 15.0, 37.0, 78.0, 112.0)  # millimetres from the left margin


def key_sheet(lines, heads, sheet):
    """The instructor's key to mark by eye, as a PDF of its own, with a word across each page so
    that nobody takes it for a sheet to hand out.
    """
    pdf, left = Paper(sheet, heads.title), list(lines)
    wide = sheet.width - 2 * MARGIN
    while left:
        pdf.begin(sheet)
        pdf.watermark(heads.watermark)
        y = pdf.paragraph(heads.title, MARGIN, MARGIN - 2, wide, HEAD_POINTS, bold=True)
        y = pdf.paragraph(heads.when, MARGIN, y, wide, TEXT_POINTS) + 5
        for x, words in zip(KEY_COLUMNS, heads.columns, strict=True):
            pdf.text(words, MARGIN + x, y, SMALL_POINTS, grey=0.25)
        pdf.line(MARGIN, y + 1.5, MARGIN + wide, y + 1.5, width=0.4)
        y += 2.5
        while left and y + (height := _key_height(left[0], wide)) <= sheet.height - MARGIN - 10:
            _key_row(pdf, left.pop(0), y, wide, height)
            y += height
        foot(pdf, heads.foot, sheet)
    return pdf.finished()


def _key_height(line, wide):
    wrong = sum(paper.tall(text, wide - KEY_COLUMNS[4], SMALL_POINTS) for text in line.wrong)
    norths = paper.tall(line.norths, KEY_COLUMNS[3] - KEY_COLUMNS[2] - 2, SMALL_POINTS) + 6
    other = paper.tall(
        line.bands + "\n" + line.uncertainty, KEY_COLUMNS[4] - KEY_COLUMNS[3] - 2, SMALL_POINTS
    )
    return (
        max(
            12.0,
            wrong,
            norths,
            other,
            paper.tall(line.line, KEY_COLUMNS[2] - KEY_COLUMNS[1] - 2, TEXT_POINTS) + 2,
        )
        + 3
    )


def _key_row(pdf, line, y, wide, height):
    pdf.text(line.label, MARGIN, y + 5, 12.0, bold=True)
    pdf.paragraph(
        line.line,
        MARGIN + KEY_COLUMNS[1],
        y + 1.6,
        KEY_COLUMNS[2] - KEY_COLUMNS[1] - 2,
        TEXT_POINTS,
    )
    fits = min(
        11.0,
        11.0 * (KEY_COLUMNS[3] - KEY_COLUMNS[2] - 2) / paper.width(line.answer, 11.0, bold=True),
    )
    pdf.text(line.answer, MARGIN + KEY_COLUMNS[2], y + 5, fits, bold=True)
    pdf.paragraph(
        line.norths,
        MARGIN + KEY_COLUMNS[2],
        y + 6,
        KEY_COLUMNS[3] - KEY_COLUMNS[2] - 2,
        SMALL_POINTS,
    )
    pdf.paragraph(
        f"{line.bands}\n{line.uncertainty}",
        MARGIN + KEY_COLUMNS[3],
        y + 1.5,
        KEY_COLUMNS[4] - KEY_COLUMNS[3] - 2,
        SMALL_POINTS,
    )
    below = y + 1.5
    for text in line.wrong:
        below = pdf.paragraph(
            text, MARGIN + KEY_COLUMNS[4], below, wide - KEY_COLUMNS[4], SMALL_POINTS
        )
    pdf.line(MARGIN, y + height - 0.5, MARGIN + wide, y + height - 0.5, width=0.1, grey=0.5)
