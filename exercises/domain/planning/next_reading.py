"""Which one reading more would tell two habits of a person apart."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from ..earth.angles import difference
from ..tasks.answer import Answer
from ..tasks.kinds import reads_needle
from .visibility import SCATTER_DEG, acting

# From so much up the lesser of two habits is worth a reading more; common practice, no source.
WORTH_A_READING = 0.05
TOLD_SIGMAS = 2.5  # by which one reading tells two habits apart


@dataclass(frozen=True)
class NextReading:
    """A task that tells two habits apart, by codes or "ok" for none, and how far they lie apart
    there, degrees.
    """

    answer: Answer
    one: str
    other: str
    apart_deg: float


def telling(
    answers: Iterable[Answer], one: str, other: str, faulty: Collection[str] = ()
) -> NextReading | None:
    """The task at which two habits lie farthest apart, or None where one reading would not tell
    them. `faulty` are stations and tasks whose ground is at fault: what is read there tells
    nothing.
    """
    best = None
    for answer in answers:
        is_sound = not {answer.station, answer.task} & set(faulty)
        if is_sound and reads_needle(answer) and answer.form.in_figures:
            apart_deg = _apart_deg(answer, one, other)
            if best is None or apart_deg > best.apart_deg:
                best = NextReading(answer, one, other, apart_deg)
    return best if best and best.apart_deg >= TOLD_SIGMAS * SCATTER_DEG else None


def _apart_deg(answer: Answer, one: str, other: str) -> float:
    """How far two habits lie apart at a task; who has one that does not act there reads right."""
    centres = {prediction.habit: prediction.centre_deg for prediction in acting(answer)}
    first, second = (centres.get(habit, answer.expected_deg) for habit in (one, other))
    return abs(difference(first, second))
