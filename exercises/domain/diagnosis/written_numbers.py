"""What people's numbers say of how they read and write them: the step of their dial, and fives."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from ..earth.angle_units import AngleUnit
from ..tasks.answer import Answer
from ..tasks.forms.direction import Direction
from ..tasks.kinds import reads_needle
from ..tasks.reading import Reading
from .arrays import Floats

# how often people know their dial's step, and write a number between; common practice, no source
AS_STATED, OFF_GRADUATION = 0.6, 0.1


def graduations(
    answers: Sequence[Answer], readings: Sequence[Reading]
) -> dict[tuple[str, AngleUnit], float]:
    """The step in degrees to which each person reads, by person and the unit of the compass: the
    likeliest of what their numbers and their own word say.

    Only numbers that stand as they were on the dial tell: those asked in the dial's own north.
    """
    by_task = {answer.task: answer for answer in answers}
    shown: dict[tuple[str, AngleUnit], list[float]] = {}
    stated: dict[tuple[str, AngleUnit], Counter[float]] = {}
    for reading in readings:
        answer = by_task[reading.task]
        instrument = reading.instrument
        whose = reading.person, instrument.unit
        stated.setdefault(whose, Counter())[instrument.graduation_deg] += 1
        number = Direction.of(answer).dial_number(reading.seen)
        if number is not None and reads_needle(answer) and answer.north == instrument.dial_north:
            shown.setdefault(whose, []).append(number)
    return {
        (person, unit): _graduation(shown.get((person, unit), ()), steps.most_common(1)[0][0], unit)
        for (person, unit), steps in stated.items()
    }


def _graduation(numbers: Sequence[float], stated_deg: float, unit: AngleUnit) -> float:
    """The likeliest step of some numbers, degrees, where the person says another or the same; the
    numbers are in the unit of the dial.
    """
    stated = round(unit.number(stated_deg), 6)
    if stated > unit.steps[-1]:
        return stated_deg  # read by touch

    def log_posterior(step: float) -> float:
        fits = [
            step * (1.0 - OFF_GRADUATION) * (number % step == 0) + OFF_GRADUATION
            for number in numbers
        ]
        others = len(unit.steps) - 1
        prior = AS_STATED if step == stated else (1.0 - AS_STATED) / others
        return float(np.log(fits).sum() + np.log(prior))

    return unit.degrees(max(unit.steps, key=log_posterior))


def of_writing(numbers_deg: Floats, fives: Floats) -> Floats:
    """By how much likelier a number is for one who writes fives with a probability, than for one
    who writes what they read: the arguments are broadcast.
    """
    is_five = np.remainder(numbers_deg, 5.0) == 0.0
    by_them = np.where(is_five, 5.0 * FAITHFUL, 1.25 * (1.0 - FAITHFUL))
    return np.where(np.isnan(numbers_deg), 1.0, 1.0 + fives * (by_them - 1.0))


# how often one who writes fives does; and a fifth and a little more of the numbers of the others
# end so (27 % in open cave surveys, fixtures/published/real_readings.csv)
FAITHFUL, BY_CHANCE = 0.93, 0.27
WRITE_FIVES = 0.12  # of people; common practice, no source


def writes_fives(numbers_deg: Sequence[float]) -> float:
    """How probable it is that a person writes multiples of five, by their numbers."""
    fives = sum(number % 5 == 0 for number in numbers_deg)
    others = len(numbers_deg) - fives
    log_odds = (
        np.log(WRITE_FIVES / (1.0 - WRITE_FIVES))
        + fives * np.log(FAITHFUL / BY_CHANCE)
        + others * np.log((1.0 - FAITHFUL) / (1.0 - BY_CHANCE))
    )
    return float(1.0 / (1.0 + np.exp(-np.clip(log_odds, -50.0, 50.0))))
