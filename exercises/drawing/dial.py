"""The compass dial: the answer with its band, and where the reading pointed. A phone draws it by
the same rule from numbers (`dial.js`); fixtures/shared/dials.json is read by both.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

from ..domain.earth.angle_units import DEGREES, MIL_6000, MIL_6300, MIL_6400
from ..domain.earth.angles import difference, three_digits
from ..domain.words import say
from ..languages import tell, told
from . import svg

RING, FACE = 100, 80  # outer and inner radius of the scale
CARDINALS = {0: say("N"), 90: say("E"), 180: say("S"), 270: say("W")}


@dataclass(frozen=True)
class Scale:
    """How the drawing of a dial is ticked and numbered, in its unit: how far apart its ticks, its
    longer ticks and its numbers are.
    """

    tick: int
    long: int
    figure: int


SCALES = {
    DEGREES: Scale(2, 10, 30),
    MIL_6400: Scale(50, 100, 400),
    MIL_6300: Scale(50, 100, 300),
    MIL_6000: Scale(50, 100, 500),
}
CLEAR_DEG = 8.0  # of a letter: a number nearer than this would run into it


def dial(answer_deg, band, reading_deg, says, unit=DEGREES):
    """A dial marked in a unit with an answer, its `Band` and a reading, degrees clockwise from the
    north that is asked. `says` are the two as they are said.
    """
    return svg.drawing(
        dial_label(says),
        (-120, -120, 240, 240),
        _face(unit, letters()),
        *_answer(answer_deg, band),
        *_reading(reading_deg),
        svg.element("circle", r=3, klass="hub"),
        klass="dial",
    )


def dial_label(says):
    """What a dial shows, in words; `says` are answer and reading as they are said."""
    answer, reading = says
    return tell(
        "Dial: the answer is {answer}, the reading {reading}.", answer=answer, reading=reading
    )


def letters():
    """The letters of north, east, south and west."""
    return tuple(map(told, CARDINALS.values()))


@lru_cache
def _face(unit, names):
    """What does not turn, as text."""
    return "".join(_face_parts(SCALES[unit], unit, names))


def _face_parts(scale, unit, names):
    yield svg.element("circle", r=RING, klass="ring")
    yield svg.element("circle", r=FACE, klass="face")
    for number in range(0, unit.circle, scale.tick):
        depth = 12 if number % scale.figure == 0 else 9 if number % scale.long == 0 else 4
        degree = unit.degrees(number)
        yield svg.line(
            *svg.polar(degree, RING),
            *svg.polar(degree, RING - depth),
            klass="tick" if number % scale.long else "tick tick-ten",
        )
    for degree, letter in zip(CARDINALS, names, strict=True):
        yield _on_rim(letter, degree, 111, "cardinal")
    for number in range(0, unit.circle, scale.figure):
        degree = unit.degrees(number)
        if all(abs(difference(degree, letter)) >= CLEAR_DEG for letter in CARDINALS):
            yield _on_rim(str(number), degree, 110, "figure")


OUTWARDS = 2.2  # by how much a number moves out at the sides for each digit beyond three


def _on_rim(words, degree, radius, klass):
    aside = max(0, len(words) - 3) * OUTWARDS * abs(math.sin(math.radians(degree)))
    x, y = svg.polar(degree, radius + aside)
    return svg.text(words, x, y, klass=klass, text_anchor="middle", dominant_baseline="central")


def _answer(answer_deg, band):
    for limit_deg, klass in (
        (band.part_credit_deg, "band-part"),
        (band.full_credit_deg, "band-full"),
    ):
        half_deg = min(limit_deg, 179.9)
        yield svg.sector(answer_deg - half_deg, answer_deg + half_deg, 8, FACE, klass=klass)
    yield svg.line(0, 0, *svg.polar(answer_deg, RING - 4), klass="ray-answer")
    head = (
        svg.polar(answer_deg + turn, radius)
        for turn, radius in ((0, RING + 2), (-4.5, FACE - 2), (4.5, FACE - 2))
    )
    yield svg.polygon(head, klass="head-answer")


def _reading(reading_deg):
    x, y = svg.polar(reading_deg, FACE - 8)
    yield svg.line(0, 0, x, y, klass="ray-reading")
    yield svg.element("circle", cx=float(x), cy=float(y), r=6, klass="head-reading")


def answers_dial(bearings_deg):
    """A dial with the answers of a course, in the order of their tasks, each in the north that it
    asks for.
    """
    rays = [
        part
        for bearing_deg in bearings_deg
        for part in (
            svg.line(
                *svg.polar(bearing_deg, 12), *svg.polar(bearing_deg, FACE - 4), klass="ray-answer"
            ),
            svg.element(
                "circle",
                cx=svg.polar(bearing_deg, FACE - 4)[0],
                cy=svg.polar(bearing_deg, FACE - 4)[1],
                r=4,
                klass="head-answer",
            ),
        )
    ]
    label = tell(
        "Dial with the answers {bearings}.",
        bearings=", ".join(f"{three_digits(bearing_deg)}°" for bearing_deg in bearings_deg),
    )
    return svg.drawing(
        label,
        (-120, -120, 240, 240),
        _face(DEGREES, letters()),
        *rays,
        svg.element("circle", r=3, klass="hub"),
        klass="dial",
    )
