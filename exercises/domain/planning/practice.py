"""Practice without a class: invented ground round one mark, and tasks on it with the same answers,
predictions and bands as in a class.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..earth.angles import back, wrap
from ..earth.norths import NORTHS, Norths
from ..mistakes.causes import combined
from ..mistakes.stages import PLAIN
from ..tasks import budget, wants
from ..tasks.answer import Answer, Other
from ..tasks.bands import PRESETS
from ..tasks.kinds import kind_of

DISTANCE_M = 400.0
# a mistake that moves the answer by less cannot be told from a careless reading
LEAST_SHIFT_DEG = 4.0


@dataclass(frozen=True)
class Landmark:
    """Something to sight: a code, and its true bearing from the mark in degrees."""

    code: str
    bearing_deg: float


@dataclass(frozen=True)
class Place:
    """Invented ground: where the norths lie, and what stands round the mark."""

    code: str
    norths: Norths
    landmarks: tuple[Landmark, ...]


PLACES = (
    Place(
        "hill",
        Norths(12.0, 1.0),
        (
            Landmark("A", 34.0),
            Landmark("B", 97.0),
            Landmark("C", 152.0),
            Landmark("D", 238.0),
            Landmark("E", 311.0),
        ),
    ),
    Place(
        "bay",
        Norths(-9.0, -1.0),
        (
            Landmark("A", 58.0),
            Landmark("B", 121.0),
            Landmark("C", 196.0),
            Landmark("D", 263.0),
            Landmark("E", 327.0),
        ),
    ),
)
ASKED = (
    ("sight", "magnetic"),
    ("sight", "magnetic"),
    ("follow", "magnetic"),
    ("sight", "true"),
    ("follow", "true"),
)  # easy first


@dataclass(frozen=True)
class Wrong:
    """A number, or a direction faced, to which one mistake leads: degrees in the asked north."""

    cause: str
    degrees: float


def tasks(place: Place) -> tuple[Answer, ...]:
    """The answers of a place's tasks, from easy to hard: each landmark once, two bearings to
    convert, and one to turn round.
    """
    landmarks = place.landmarks
    # neighbours do not follow each other
    order = [landmarks[step * 2 % len(landmarks)] for step in range(len(landmarks))]
    ground = [
        along(str(number), kind, landmark, north, place)
        for number, ((kind, north), landmark) in enumerate(zip(ASKED, order, strict=True), start=1)
    ]
    return (
        *ground,
        conversion("6", 74.0, "magnetic", "true", place),
        conversion("7", 205.0, "true", "magnetic", place),
        _way_back("8", order[1], "magnetic", place),
    )


def along(label: str, kind: str, landmark: Landmark, north: str, place: Place) -> Answer:
    """A task along a sight line, its bearing to be read or to be followed."""
    bearings = {name: place.norths.turn(landmark.bearing_deg, "true", name) for name in NORTHS}
    others = tuple(
        Other(other.code, other.bearing_deg) for other in place.landmarks if other != landmark
    )
    is_given = wants.GIVEN in kind_of(kind).wants
    return Answer(
        task=label,
        kind=kind,
        station="",
        target=landmark.code,
        north=north,
        band=PRESETS["sighted"].band,
        norths=place.norths,
        bearings_deg=bearings,
        distance_m=DISTANCE_M,
        budget=budget.of_arithmetic(),
        others=others,
        form=kind_of(kind).form(),
        given_deg=wrap(round(bearings[north])) if is_given else None,
        given_north=north if is_given else "",
    )


def conversion(label: str, given_deg: float, given_north: str, north: str, place: Place) -> Answer:
    """A bearing to be turned from one north into another."""
    return Answer(
        task=label,
        kind="convert",
        station="",
        target="",
        north=north,
        band=PRESETS["paper"].band,
        norths=place.norths,
        bearings_deg={name: place.norths.turn(given_deg, given_north, name) for name in NORTHS},
        distance_m=0.0,
        budget=budget.of_arithmetic(),
        given_deg=given_deg,
        given_north=given_north,
    )


def _way_back(label: str, landmark: Landmark, north: str, place: Place) -> Answer:
    """A bearing to be turned round."""
    given_deg = wrap(round(place.norths.turn(landmark.bearing_deg, "true", north)))
    return Answer(
        task=label,
        kind="back",
        station="",
        target=landmark.code,
        north=north,
        band=PRESETS["paper"].band,
        norths=place.norths,
        bearings_deg={name: place.norths.turn(back(given_deg), north, name) for name in NORTHS},
        distance_m=DISTANCE_M,
        budget=budget.of_arithmetic(),
        given_deg=given_deg,
        given_north=north,
    )


def wrongs(answer: Answer) -> tuple[Wrong, ...]:
    """Where single mistakes lead, likeliest first: for a bearing the number written, for one
    followed the true direction faced.
    """
    right_deg = answer.expected_deg if answer.form.in_figures else answer.bearings_deg["true"]
    by_number: dict[tuple[str, int], Wrong] = {}
    for prediction in kind_of(answer.kind).predictions(answer):
        code = combined({prediction.habit, prediction.slip} - {"ok"})
        off_deg = abs((prediction.centre_deg - right_deg + 180.0) % 360.0 - 180.0)
        is_single = code != "ok" and "+" not in code
        if is_single and prediction.writing == PLAIN and off_deg >= LEAST_SHIFT_DEG:
            wrong = Wrong(code, prediction.centre_deg)
            by_number.setdefault((code, round(prediction.centre_deg)), wrong)
    return tuple(by_number.values())
