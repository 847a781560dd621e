"""Invents the readings of a class: skill, habits and slips, from a seed. For demonstrations, never
for judging the diagnosis.

A person has a scatter (2 to 5 degrees), perhaps a habit, perhaps a compass that is off. Each
reading follows the habit, and one in nine also has a slip, drawn by the rates of `causes.py` among
the faults of that task. One station may bend the needle.
"""

from __future__ import annotations

import math
import random
from collections.abc import Collection
from dataclasses import dataclass, field, replace

from ..earth.angle_units import DEGREES
from ..earth.angles import three_digits, to_mils, wrap
from ..mistakes import causes
from ..mistakes.predictions import Prediction
from ..mistakes.stages import DROPPED, HUNDRED, MILS, OVER, SWAPPED
from ..tasks.answer import Answer
from ..tasks.forms import Bearing, Place, Target
from ..tasks.forms.target import seen_from
from ..tasks.kinds import kind_of, reads_needle
from ..tasks.map_references import figures
from ..tasks.site import Compass

SLIP_RATE = 0.11
REFERENCE_SHARE = 0.3  # of those with a map, who write a grid reference and no letter
# How common each habit is among those who read.
HABITS = {
    "ok": 0.70,
    "declination_ignored": 0.14,
    "declination_wrong_way": 0.08,
    "reversed": 0.08,
}


@dataclass(frozen=True)
class Participant:
    """One invented person."""

    name: str
    scatter_deg: float
    habit: str
    offset_deg: float
    compass: Compass = field(default_factory=Compass)


def participant(name: str, rng: random.Random) -> Participant:
    """A person drawn at random: `rng` is a random.Random."""
    offset_deg = rng.gauss(0, 6) if rng.random() < 0.08 else rng.gauss(0, 0.7)
    scatter_deg = rng.triangular(1.8, 5.0, 2.5)
    habit = rng.choices(list(HABITS), list(HABITS.values()))[0]
    return Participant(name, scatter_deg, habit, offset_deg)


def answer_text(
    answer: Answer, person: Participant, rng: random.Random, bias_deg: float = 0.0
) -> str:
    """What a person would write for a task, as text; `bias_deg` is what the station adds to a
    needle's reading.
    """
    return ACTED[answer.form.code](answer, person, rng, bias_deg)


def _bearing_text(answer: Answer, person: Participant, rng: random.Random, bias_deg: float) -> str:
    """The number that a person would write."""
    prediction, meant_deg = _turned(answer, person, rng, bias_deg)
    return _written(round(meant_deg) % 360, prediction.writing, rng)


def _target_text(answer: Answer, person: Participant, rng: random.Random, bias_deg: float) -> str:
    """The target that a person would name: the nearest to where they face."""
    _, meant_deg = _turned(answer, person, rng, bias_deg)
    bearings = seen_from(answer, "")
    return min(
        answer.form.choices(answer),
        key=lambda code: abs((bearings[code] - meant_deg + 180) % 360 - 180),
    )


def _turned(
    answer: Answer, person: Participant, rng: random.Random, bias_deg: float
) -> tuple[Prediction, float]:
    """The prediction that comes true, and the direction that is meant, degrees."""
    predictions = list(kind_of(answer.kind).predictions(answer, person.compass))
    habits = {prediction.habit for prediction in predictions}
    habit = person.habit if person.habit in habits else "ok"
    by_habit = [prediction for prediction in predictions if prediction.habit == habit]
    slip = "ok"
    if rng.random() < SLIP_RATE:
        slips = {prediction.slip for prediction in by_habit}
        slip = _drawn(slips - {"ok", *causes.PERSISTENT}, rng)
    ways = [prediction for prediction in by_habit if prediction.slip == slip] or [
        prediction for prediction in by_habit if prediction.slip == "ok"
    ]
    way = rng.choices(ways, [prediction.share for prediction in ways])[0]
    is_read = reads_needle(answer)
    scatter_deg = rng.gauss(0, person.scatter_deg) if is_read else rng.choice((0, 0, 0, 1, -1))
    needle_deg = way.sign * (person.offset_deg + bias_deg)
    return way, wrap(way.centre_deg + needle_deg + scatter_deg)


def _drawn(slips: Collection[str], rng: random.Random) -> str:
    """One of some slips, by how common they are."""
    ordered = sorted(slips)
    return rng.choices(ordered, [causes.REGISTER[code].rate for code in ordered])[0]


def _place_text(answer: Answer, person: Participant, rng: random.Random, bias_deg: float) -> str:
    """The spot, or for some the grid reference, at which a person ends: by the habit or a slip,
    scattered as the ellipse and their hand have it. What bends a needle is left out.
    """
    place = Place.of(answer)
    landings = list(kind_of(answer.kind).landings(answer, person.compass))
    habit = person.habit if any(landing.habit == person.habit for landing in landings) else "ok"
    slips = {landing.slip for landing in landings} - {"ok"}
    slip = _drawn(slips, rng) if rng.random() < SLIP_RATE else "ok"
    wanted = ("ok", slip) if slip != "ok" else (habit, "ok")
    ways = [landing for landing in landings if (landing.habit, landing.slip) == wanted]
    way = rng.choices(ways, [landing.share for landing in ways])[0]
    angle = math.radians(way.ellipse.azimuth_deg)
    along, across = rng.gauss(0, way.ellipse.major_m), rng.gauss(0, way.ellipse.minor_m)
    east_m = way.east_m + along * math.sin(angle) + across * math.cos(angle)
    north_m = way.north_m + along * math.cos(angle) - across * math.sin(angle)
    if place.spots_on_map and rng.random() < REFERENCE_SHARE:
        return figures(replace(place, east_m=east_m, north_m=north_m))
    return min(
        place.spots,
        key=lambda spot: (math.hypot(spot.east_m - east_m, spot.north_m - north_m), spot.code),
    ).code


def _written(number: int, writing: str, rng: random.Random) -> str:
    """A whole number as it ends up on paper."""
    if writing == SWAPPED and (others := DEGREES.swapped(number)):
        return three_digits(rng.choice(others))
    if writing == DROPPED:
        text, place = three_digits(number), rng.randrange(3)
        return text[:place] + text[place + 1 :]
    if writing == HUNDRED:
        return three_digits(number - 100 if number >= 260 else number + 100)
    if writing == OVER:
        return str(number + 360)
    if writing == MILS:
        return f"{to_mils(number):.0f}"
    return three_digits(number)


# How each form of an answer is acted out.
ACTED = {Bearing.code: _bearing_text, Target.code: _target_text, Place.code: _place_text}
