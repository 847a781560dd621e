"""What people's numbers say of how they read and write them: the step of their dial, and fives."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from ..tasks.answer import Answer
from ..tasks.forms.direction import Direction
from ..tasks.kinds import reads_needle
from ..tasks.reading import Reading
from .arrays import Floats

GRADUATIONS_DEG = (1.0, 2.0, 5.0)
# how often people know their dial's step, and write a number between; common practice, no source
AS_STATED, OFF_GRADUATION = 0.6, 0.1


def graduations(answers: Sequence[Answer], readings: Sequence[Reading]) -> dict[str, float]:
    """The step in degrees to which each person reads, by person: the likeliest of what their
    numbers and their own word say.

    Only numbers that stand as they were on the dial tell: those asked in the dial's own north.
    """
    by_task = {answer.task: answer for answer in answers}
    shown: dict[str, list[float]] = {}
    stated: dict[str, Counter[float]] = {}
    for reading in readings:
        answer = by_task[reading.task]
        stated.setdefault(reading.person, Counter())[reading.instrument.graduation_deg] += 1
        dial_north = "true" if reading.instrument.declination_is_set else "magnetic"
        number = Direction.of(answer).dial_number(reading.seen)
        if number is not None and reads_needle(answer) and answer.north == dial_north:
            shown.setdefault(reading.person, []).append(number)
    return {
        person: _graduation(shown.get(person, ()), steps.most_common(1)[0][0])
        for person, steps in stated.items()
    }


def _graduation(numbers: Sequence[float], stated_deg: float) -> float:
    """The likeliest step of some numbers, where the person says another or the same."""
    if stated_deg > GRADUATIONS_DEG[-1]:
        return stated_deg  # read by touch

    def log_posterior(step_deg: float) -> float:
        fits = [
            step_deg * (1.0 - OFF_GRADUATION) * (number % step_deg == 0) + OFF_GRADUATION
            for number in numbers
        ]
        prior = AS_STATED if step_deg == stated_deg else (1.0 - AS_STATED) / 2.0
        return float(np.log(fits).sum() + np.log(prior))

    return max(GRADUATIONS_DEG, key=log_posterior)


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
