"""The record of what somebody did in a class: one page, with what was measured and how. No seal and
no rank.
"""

from dataclasses import dataclass

from . import paper
from .paper import Paper

MARGIN = 22.0
KIND_POINTS, NAME_POINTS, WHEN_POINTS = 12.0, (26.0, 14.0), 11.0
HEADING_POINTS, TEXT_POINTS, LEAST_POINTS, FOOT_POINTS = 11.0, 10.0, 7.0, 8.0
GAP_MM, ROW_GAP_MM = 6.0, 1.6
SHARES = (0.38, 0.10, 0.18, 0.18, 0.16)  # of the width, for the columns of the table
SIGNED_MM = 24.0  # from the lower margin up to the line that is signed


@dataclass(frozen=True)
class Record:
    """One person's record: what it is, the name, class and course, the table with its head and its
    last row, the result, what is said below it under its heading, the instructor, the foot.
    """

    title: str
    name: str
    when: tuple[str, ...]
    measured: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    total: tuple[str, ...]
    result: tuple[str, ...]
    standard: str
    standards: tuple[str, ...]
    signed: str
    foot: str


def record_sheets(records, title, sheet):
    """A page for each record, as a PDF."""
    pdf = Paper(sheet, title)
    for record in records:
        _Page(pdf, record, sheet).draw()
    return pdf.finished()


class _Page:
    """One record on one page: its text is as large as the page has room for."""

    def __init__(self, pdf, record, sheet):
        self.pdf, self.record, self.sheet = pdf, record, sheet
        self.wide = sheet.width - 2 * MARGIN
        self.points = TEXT_POINTS
        while self.points > LEAST_POINTS and self._tall() > self._room():
            self.points -= 0.5

    def draw(self):
        """All of it."""
        self.pdf.begin(self.sheet)
        y = self._table(self._head())
        for place, line in enumerate(self.record.result):
            y = self.pdf.paragraph(
                line, MARGIN, y + (GAP_MM if not place else 1), self.wide, 11.0, bold=not place
            )
        y = self._heading(self.record.standard, y)
        for line in self.record.standards:
            y = self.pdf.paragraph(line, MARGIN, y + 1, self.wide, self.points)
        self._signed()

    def _head(self):
        """What it is, whose, and of which class. Returns the lower edge."""
        pdf, record = self.pdf, self.record
        y = pdf.paragraph(record.title, MARGIN, MARGIN - 4, self.wide, KIND_POINTS, grey=0.25)
        size = paper.fitting(record.name, self.wide, *NAME_POINTS, bold=True)
        y = pdf.paragraph(record.name, MARGIN, y + 3, self.wide, size, bold=True)
        for line in record.when:
            y = pdf.paragraph(line, MARGIN, y + 1, self.wide, WHEN_POINTS)
        pdf.line(MARGIN, y + 3, MARGIN + self.wide, y + 3, width=0.5)
        return y + 1

    def _heading(self, words, y):
        return self.pdf.paragraph(words, MARGIN, y + GAP_MM, self.wide, HEADING_POINTS, bold=True)

    def _table(self, y):
        """What was measured, kind by kind, and the whole."""
        record = self.record
        y = self._heading(record.measured, y) + 1
        y = self._row(record.head, y, grey=0.3)
        for row in record.rows:
            self.pdf.line(MARGIN, y, MARGIN + self.wide, y, width=0.1, grey=0.5)
            y = self._row(row, y)
        self.pdf.line(MARGIN, y, MARGIN + self.wide, y, width=0.4)
        return self._row(record.total, y, bold=True)

    def _row(self, cells, y, bold=False, grey=0.0):
        left, lowest = MARGIN, y
        for share, cell in zip(SHARES, cells, strict=True):
            wide = share * self.wide
            end = self.pdf.paragraph(
                cell, left, y + ROW_GAP_MM / 2, wide - 2, self.points, bold, grey
            )
            left, lowest = left + wide, max(lowest, end)
        return lowest + ROW_GAP_MM

    def _signed(self):
        """Where the instructor signs, and the foot."""
        pdf, record = self.pdf, self.record
        y = self.sheet.height - MARGIN - SIGNED_MM
        pdf.line(MARGIN, y, MARGIN + self.wide * 0.6, y, width=0.25)
        pdf.paragraph(record.signed, MARGIN, y + 0.5, self.wide, TEXT_POINTS)
        pdf.paragraph(record.foot, MARGIN, y + 9, self.wide, FOOT_POINTS, grey=0.2)

    def _room(self):
        """What is left for the table and the words below it, in millimetres."""
        return self.sheet.height - 2 * MARGIN - SIGNED_MM - 66.0

    def _tall(self):
        """The height of the table and the words below it."""
        record = self.record
        rows = (record.head, *record.rows, record.total)
        return (
            sum(self._row_tall(row) for row in rows)
            + sum(paper.tall(line, self.wide, 11.0, bold=True) + 1 for line in record.result)
            + sum(paper.tall(line, self.wide, self.points) + 1 for line in record.standards)
        )

    def _row_tall(self, cells):
        return ROW_GAP_MM + max(
            paper.tall(cell, share * self.wide - 2, self.points)
            for share, cell in zip(SHARES, cells, strict=True)
        )
