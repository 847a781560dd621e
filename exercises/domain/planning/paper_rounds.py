"""Rounds without the needle: a bearing off the map, and the declination both ways."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from ..earth.angles import wrap
from ..earth.norths import NORTHS, Norths
from ..tasks import budget
from ..tasks.answer import Answer, Other
from ..tasks.bands import PRESETS
from . import practice
from .practice import Place
from .rounds import (
    FAR_APART_DEG,
    TURNED,
    Choice,
    Draw,
    Round,
    by_shift,
    first_clear,
    in_order,
    shuffled,
)

# the sheet of the map lesson: metres east and north of its lower left corner
SHEET = {
    "ford": (150.0, 180.0),
    "chapel": (640.0, 470.0),
    "quarry": (840.0, 190.0),
    "well": (220.0, 640.0),
    "barn": (560.0, 830.0),
}


def bearing_on_sheet(begin: str, end: str) -> float:
    """The bearing of a line of the sheet from its vertical lines, whole degrees in [0, 360)."""
    (west, south), (east, north) = SHEET[begin], SHEET[end]
    return wrap(round(math.degrees(math.atan2(east - west, north - south))))


def _measured(begin: str, end: str, norths: Norths) -> Answer:
    """The task of measuring a line of the sheet, in true north."""
    bearing_deg = bearing_on_sheet(begin, end)
    others = [name for name in SHEET if name not in (begin, end)]
    return Answer(
        task="",
        kind="map",
        station=begin,
        target=end,
        north="true",
        band=PRESETS["paper"].band,
        norths=norths,
        bearings_deg={north: norths.turn(bearing_deg, "true", north) for north in NORTHS},
        distance_m=math.dist(SHEET[begin], SHEET[end]),
        budget=budget.of_map_bearing(),
        others=tuple(Other(name, bearing_on_sheet(begin, name)) for name in others),
    )


def _lines(norths: Norths) -> Iterator[Answer]:
    """The task of each line of the sheet."""
    for begin, end in itertools.permutations(SHEET, 2):
        yield _measured(begin, end, norths)


def edge(draw: Draw) -> Round:
    """To which point does the travel arrow run along the edge?"""
    made = []
    for answer in _lines(Norths(0.0, 0.0)):
        choices = (
            Choice(answer.target, "ok", answer.expected_deg),
            Choice(answer.station, "reversed", wrap(answer.expected_deg + 180.0)),
            *(Choice(other.code, "other_target", other.bearing_deg) for other in answer.others),
        )
        in_alphabet = tuple(sorted(choices, key=lambda choice: choice.code))
        made.append(Round("edge", answer, answer.target, in_alphabet))
    return first_clear(draw, made)


def housing(draw: Draw) -> Round:
    """How does the housing lie on the sheet?"""
    ways = {code: TURNED[code] for code in ("ahead", "back", "right")}
    made = [
        Round("housing", answer, "ahead", by_shift(answer, ways))
        for answer in _lines(Norths(0.0, 0.0))
        if 15 <= answer.expected_deg % 90 <= 75  # a slanting plate, so that up is not along it
    ]
    return shuffled(draw, first_clear(draw, made))


def estimate(draw: Draw) -> Round:
    """Which number can it be, before anything is measured?"""
    ways = {code: TURNED[code] for code in ("ahead", "back", "right")}
    made = []
    for answer in _lines(Norths(0.0, 0.0)):
        mirrored = Choice("mirrored", "mirrored", wrap(-answer.expected_deg))
        choices = (*by_shift(answer, ways), mirrored)
        made.append(Round("estimate", answer, "ahead", choices))
    return in_order(first_clear(draw, made, FAR_APART_DEG))


def needless(draw: Draw) -> Round:
    """Which number is given of a line that was measured in the north that is asked?"""
    made = []
    for answer in _lines(draw.own.norths):
        declination_deg = draw.own.norths.declination_deg
        ways = {
            "as_measured": ("ok", 0.0),
            "as_magnetic": ("declination_ignored", -declination_deg),
            "turned": ("declination_twice", declination_deg),
        }
        choices = by_shift(answer, ways)
        made.append(Round("needless", answer, "as_measured", choices, place=draw.own.code))
    return in_order(first_clear(draw, made))


def _turned(draw: Draw, place: Place, given_north: str, north: str) -> Round:
    """A bearing to turn from one north into another."""
    made = []
    for given_deg in range(360):
        answer = practice.conversion("", float(given_deg), given_north, north, place)
        angle_deg = place.norths.correction(given_north, north)
        ways = {
            "right": ("ok", 0.0),
            "left_out": ("declination_ignored", -angle_deg),
            "wrong_way": ("declination_wrong_way", -2.0 * angle_deg),
            "twice": ("declination_twice", angle_deg),
        }
        choices = by_shift(answer, ways)
        made.append(Round("convert", answer, "right", choices, place=place.code))
    return in_order(first_clear(draw, made))


def to_true(draw: Draw) -> Round:
    """From the compass to the map, on the person's own ground."""
    return _turned(draw, draw.own, "magnetic", "true")


def to_magnetic(draw: Draw) -> Round:
    """From the map to the compass, on the person's own ground."""
    return _turned(draw, draw.own, "true", "magnetic")


def to_true_elsewhere(draw: Draw) -> Round:
    """From the compass to the map, where the declination lies to the other side."""
    return _turned(draw, draw.other, "magnetic", "true")


def to_magnetic_elsewhere(draw: Draw) -> Round:
    """From the map to the compass, where the declination lies to the other side."""
    return _turned(draw, draw.other, "true", "magnetic")
