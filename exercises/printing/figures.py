"""What was given beside what is right, on paper: a dial, or the ground. In black and grey: solid is
the answer, broken what somebody gave.
"""

import math
from dataclasses import dataclass

from ..drawing import labels, place
from ..drawing.svg import polar
from . import paper

BAND_FULL, BAND_PART = 0.78, 0.9  # greys, the darker the better
RING, FACE, LETTERS = 93.0, 75.0, 108.0  # radii; the whole is 240 wide
SIDE = 240.0
CLEAR = 6.0  # of a code from the edge of its sheet, in units of the sheet
NORTH_AT = (22.0, 20.0)  # the arrow, in the same units
THIN, LINE, THICK = 0.1, 0.25, 0.5  # millimetres
BROKEN = (1.4, 0.8)
LETTER_POINTS = 6.5
STEP_DEG = 3.0  # of an arc drawn as straight lines


@dataclass(frozen=True)
class Dial:
    """A dial with an answer, its band to either side, and a reading: degrees clockwise from the
    north that is asked. `letters` stand for north, east, south and west.
    """

    answer_deg: float
    full_deg: float
    part_deg: float
    reading_deg: float
    letters: tuple[str, str, str, str]

    def draw(self, pdf, left, top, side):
        """In a square by its upper left corner, millimetres."""
        unit, x, y = side / SIDE, left + side / 2, top + side / 2

        def at(bearing_deg, radius):
            across, down = polar(bearing_deg, radius * unit)
            return x + across, y + down

        self._bands(pdf, at)
        pdf.circle(x, y, RING * unit, line=LINE)
        pdf.lines(
            [
                (*at(degree, RING), *at(degree, RING - (7 if degree % 30 else 14)))
                for degree in range(0, 360, 10)
            ],
            width=THIN,
        )
        for degree, letter in zip(range(0, 360, 90), self.letters, strict=True):
            across, down = at(degree, LETTERS)
            pdf.text(letter, across, down + 0.8, LETTER_POINTS, bold=True, anchor="middle")
        pdf.line(x, y, *at(self.answer_deg, FACE), width=THICK)
        pdf.polygon(
            [
                at(self.answer_deg + turn, radius)
                for turn, radius in ((0, RING), (-6, FACE - 6), (6, FACE - 6))
            ],
            line=THIN,
            fill=0.0,
        )
        end = at(self.reading_deg, FACE - 12)
        pdf.line(x, y, *end, width=THICK, dash=BROKEN)
        pdf.circle(*end, 8 * unit, line=THICK, fill=1.0)

    def _bands(self, pdf, at):
        for limit_deg, grey in ((self.part_deg, BAND_PART), (self.full_deg, BAND_FULL)):
            half_deg = min(limit_deg, 180.0)
            steps = max(2, math.ceil(2 * half_deg / STEP_DEG))
            arc = [
                at(self.answer_deg - half_deg + 2 * half_deg * step / steps, FACE)
                for step in range(steps + 1)
            ]
            pdf.polygon([at(0, 0), *arc], line=0, fill=grey)


@dataclass(frozen=True)
class Ground:
    """The ground of an answer that is a place, and where a person came out; `north` is the letter
    at its arrow.
    """

    laid_out: place.LaidOut
    north: str

    def draw(self, pdf, left, top, side):
        """In a square by its upper left corner, millimetres; what lies beyond is cut off at it."""
        unit = side / place.SIDE

        def at(there):
            return left + there[0] * unit, top + there[1] * unit

        with pdf.only_in((left, top, left + side, top + side)):
            self._answer(pdf, at, unit)
            for there in self.laid_out.given:
                pdf.line(*at(self.laid_out.right), *at(there), width=THICK, dash=BROKEN)
                if not place.is_outside(*there):
                    pdf.circle(*at(there), 7 * unit, line=THICK, fill=1.0)
            self._codes(pdf, at, unit)
        pdf.box(left, top, side, side, line=THIN, grey=0.5)
        pdf.line(*at((14, 34)), *at((14, 10)), width=LINE)
        pdf.polygon([at((9, 17)), at((14, 9)), at((19, 17))], line=LINE, closed=False)
        pdf.text(self.north, *at((24, 22)), LETTER_POINTS, bold=True)

    def _codes(self, pdf, at, unit):
        """The points' codes, on white, clear of what people came for."""
        ground = self.laid_out
        placed = labels.place(
            ground.named,
            lambda code: paper.width(code, LETTER_POINTS, bold=True) / unit,
            LETTER_POINTS / paper.MM / unit,
            10,
            obstacles=(ground.right, *ground.given, NORTH_AT),
            within=(CLEAR, CLEAR, place.SIDE - CLEAR, place.SIDE - CLEAR),
        )
        for code, label in placed.items():
            pdf.halo(code, *at((label.x, label.y)), LETTER_POINTS, anchor=label.anchor)

    def _answer(self, pdf, at, unit):
        ground = self.laid_out
        x, y = at(ground.right)
        pdf.circle(x, y, ground.part * unit, line=0, fill=BAND_PART)
        pdf.circle(x, y, ground.full * unit, line=0, fill=BAND_FULL)
        for one, other in ground.segments:
            pdf.line(*at(one), *at(other), width=LINE, grey=0.35)
        for there in ground.named.values():
            pdf.circle(*at(there), 3 * unit, line=0, fill=0.0)
        arm = 8 * unit
        pdf.line(x - arm, y, x + arm, y, width=THICK)
        pdf.line(x, y - arm, x, y + arm, width=THICK)
