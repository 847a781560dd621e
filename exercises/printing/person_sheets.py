"""What people take home: a person's readings, each with its figure, and what to practise. No seal
and no rank. Each person begins a new page.
"""

from collections.abc import Callable
from dataclasses import dataclass

from . import paper
from .figures import Dial, Ground
from .paper import Paper
from .sheets import FOOT_MM, HEAD_POINTS, MARGIN, TEXT_POINTS, foot

GAP_MM = 6.0  # between the two columns
FIGURE_MM = 27.0
BESIDE_MM = 3.0  # from a figure to its words
TASK_POINTS, CAUSE_POINTS = 10.0, 8.5
MARK_MM = 1.3  # the radius of the sign of a credit
AFTER_MM = 4.0  # a row


@dataclass(frozen=True)
class OneReading:
    """A reading: its task and place, the sign of its credit (`full`, `part` or `none`), what was
    given and what is right in words, what happened, and its figure.
    """

    task: str
    mark: str
    words: str
    cause: str
    figure: Dial | Ground


@dataclass(frozen=True)
class PersonSheet:
    """What a person takes home: name, class, a sentence of credit and scatter, what to practise
    under its title, the readings, how to read a figure, the foot, and what a page is called.
    """

    name: str
    when: str
    words: str
    practise_title: str
    practise: tuple[str, ...]
    readings: tuple[OneReading, ...]
    legend: str
    foot: str
    page: Callable[[int], str]


def person_sheets(people, title, sheet):
    """The sheets of some people, as a PDF."""
    pdf = Paper(sheet, title)
    for person in people:
        _Sheet(pdf, person, sheet).draw()
    return pdf.finished()


class _Sheet:
    """One person's sheet, over as many pages as it takes."""

    def __init__(self, pdf, person, sheet):
        self.pdf, self.person, self.sheet = pdf, person, sheet
        self.wide = sheet.width - 2 * MARGIN
        self.column = (self.wide - GAP_MM) / 2
        self.beside = self.column - FIGURE_MM - BESIDE_MM
        self.lowest = sheet.height - MARGIN - FOOT_MM
        self.number = 0

    def draw(self):
        """All of it."""
        y = self._practise(self._head())
        left = list(self.person.readings)
        while left:
            row, left = left[:2], left[2:]
            height = max(map(self._height, row))
            if y + height > self.lowest:
                y = self._head()
            for place, reading in enumerate(row):
                self._reading(reading, MARGIN + place * (self.column + GAP_MM), y)
            y += height + AFTER_MM
        self._foot()

    def _foot(self):
        """The end of a page."""
        person = self.person
        legend = [person.legend] if person.legend else []
        last = f"{person.foot} {person.page(self.number)}"
        foot(self.pdf, "\n".join((*legend, last)), self.sheet)

    def _head(self):
        """Begin a page. Returns the lower edge of its head."""
        pdf, person = self.pdf, self.person
        if self.number:
            self._foot()
        self.number += 1
        pdf.begin(self.sheet)
        y = pdf.paragraph(person.name, MARGIN, MARGIN - 2, self.wide, HEAD_POINTS, bold=True)
        y = pdf.paragraph(person.when, MARGIN, y, self.wide, TEXT_POINTS)
        if self.number == 1:
            y = pdf.paragraph(person.words, MARGIN, y + 1, self.wide, 11.0)
        pdf.line(MARGIN, y + 2, MARGIN + self.wide, y + 2, width=0.4)
        return y + 5

    def _practise(self, y):
        if self.person.practise_title:
            y = self.pdf.paragraph(
                self.person.practise_title, MARGIN, y - 1, self.wide, 11.0, bold=True
            )
        for text in self.person.practise:
            y = self.pdf.paragraph(text, MARGIN, y + 0.5, self.wide, TEXT_POINTS) + 1
        return y + 3 if self.person.practise else y

    def _height(self, reading):
        """Of a reading: its figure, or its words where they are taller."""
        words = (
            paper.tall(reading.task, self.beside - 4, TASK_POINTS, bold=True)
            + paper.tall(reading.words, self.beside, TEXT_POINTS)
            + paper.tall(reading.cause, self.beside, CAUSE_POINTS)
            + 2
        )
        return max(FIGURE_MM, words)

    def _reading(self, reading, x, y):
        reading.figure.draw(self.pdf, x, y, FIGURE_MM)
        left = x + FIGURE_MM + BESIDE_MM
        _credit_sign(self.pdf, reading.mark, left + MARK_MM, y + 2.4)
        y = self.pdf.paragraph(reading.task, left + 4, y, self.beside - 4, TASK_POINTS, bold=True)
        y = self.pdf.paragraph(reading.words, left, y + 0.5, self.beside, TEXT_POINTS)
        self.pdf.paragraph(reading.cause, left, y + 1, self.beside, CAUSE_POINTS, grey=0.2)


def _credit_sign(pdf, mark, x, y):
    """A circle: full, half full or empty."""
    pdf.circle(x, y, MARK_MM, line=0.3, fill=0.0 if mark == "full" else 1.0)
    if mark == "part":
        with pdf.only_in((x - MARK_MM, y - MARK_MM, x, y + MARK_MM)):
            pdf.circle(x, y, MARK_MM, line=0.3, fill=0.0)
