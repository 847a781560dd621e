"""What the readings of a class say of its tasks and its mistakes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import cast

from ..earth.angles import circular_mean, circular_spread, difference
from ..mistakes import causes
from ..tasks.forms.direction import DirectionGrade
from .judged import Judged

AnswerGiven = tuple[str, str, str, float, float]  # person, task, text, credit, seconds
SameAnswer = tuple[str, str, tuple[str, ...]]  # task, text, people


@dataclass(frozen=True)
class CauseCount:
    """How often a mistake was the likeliest, in how many people and tasks, the credit that it cost,
    how probable it was on the average, and the surest example."""

    code: str
    readings: int
    people: int
    credit_lost: float
    probability: float
    tasks: tuple[str, ...]
    example: Judged


@dataclass(frozen=True)
class TaskSummary:
    """The readings of one task: how many, and how many with full and with part credit."""

    task: str
    readings: int
    full: int
    partial: int


def whole_percents(counts: Sequence[int]) -> tuple[int, ...]:
    """The shares of a whole in whole percent that add up to 100: each is rounded down, and what is
    left goes to those with the largest remainders, the earlier first. Nothing has no shares: 0.

    Source: the method of largest remainders, as seats are shared out.

    >>> whole_percents([1, 1, 1]), whole_percents([0, 0])
    ((34, 33, 33), (0, 0))
    """
    whole = sum(counts)
    if not whole:
        return (0,) * len(counts)
    percents = [100 * count // whole for count in counts]
    by_remainder = sorted(range(len(counts)), key=lambda place: -(100 * counts[place] % whole))
    for place in by_remainder[: 100 - sum(percents)]:
        percents[place] += 1
    return tuple(percents)


def causes_by_credit_lost(judged: Iterable[Judged]) -> list[CauseCount]:
    """Mistakes of people, the dearest first. A combination counts for each of its mistakes, and its
    credit is shared between them; faults of the ground and of compasses are none of these.
    """
    groups: dict[str, list[Judged]] = {}
    for reading in judged:
        for code in causes.mistakes(reading.cause):
            groups.setdefault(code, []).append(reading)
    counts = [_cause_count(code, readings) for code, readings in groups.items()]
    return sorted(counts, key=lambda count: (-count.credit_lost, -count.readings, count.code))


def _cause_count(code: str, readings: Sequence[Judged]) -> CauseCount:
    """One mistake, from the readings in which it was likeliest."""
    return CauseCount(
        code,
        readings=len(readings),
        people=len({reading.person for reading in readings}),
        credit_lost=sum(
            (1.0 - reading.credit) / len(causes.mistakes(reading.cause)) for reading in readings
        ),
        probability=sum(reading.verdict.probability for reading in readings) / len(readings),
        tasks=tuple(sorted({reading.task for reading in readings}, key=lambda t: (len(t), t))),
        example=max(
            readings, key=lambda reading: (reading.cause == code, reading.verdict.probability)
        ),
    )


@dataclass(frozen=True)
class Spread:
    """A standard deviation in degrees of `number` values, with its 95 % interval."""

    degrees: float
    low_deg: float
    high_deg: float
    number: int


def spread_of_sound(judged: Iterable[Judged]) -> Spread | None:
    """The spread of sound readings about their answers as directions, or None of fewer than three.

    The interval takes 1 / sqrt(2 (n - 1)) for the relative standard error of a standard deviation.
    Source: GUM, E.4.3.
    """
    errors = _sound_errors_deg(judged)
    if len(errors) < 3:
        return None
    spread_deg = circular_spread(errors)
    relative = min(0.95, 1.96 / math.sqrt(2.0 * (len(errors) - 1)))
    return Spread(
        spread_deg, spread_deg * (1.0 - relative), spread_deg * (1.0 + relative), len(errors)
    )


def _sound_errors_deg(judged: Iterable[Judged]) -> list[float]:
    """What sound readings of directions are off by, each in its asked north."""
    return [
        cast(DirectionGrade, reading.grade).error_deg for reading in judged if reading.cause == "ok"
    ]


Z_95 = 1.959964  # of the standard normal distribution, both sides


def share_interval(hits: float, number: float, z: float = Z_95) -> tuple[float, float]:
    """The 95 % interval of a share, (low, high), or that of another `z`. Source: Wilson (1927), J.
    Am. Stat. Assoc. 22, 209-212; (0, 1) of nothing.

    >>> [round(limit, 3) for limit in share_interval(1, 10)]
    [0.018, 0.404]
    """
    if not number:
        return 0.0, 1.0
    z2, share = z**2, hits / number
    middle = share + z2 / (2 * number)
    half = math.sqrt(z2 * (share * (1 - share) / number + z2 / (4 * number**2)))
    whole = 1 + z2 / number
    return max(0.0, (middle - half) / whole), min(1.0, (middle + half) / whole)


def pooled(biases: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Mean and standard error of (degrees, error) pairs, each weighted by its variance; the error
    grows where they disagree.

    Source: weighted mean with the Birge ratio, e.g. Bodnar & Elster (2014), Metrologia 51, 516-521;
    from memory.

    >>> pooled([(4.0, 1.0), (6.0, 1.0)])
    (5.0, 1.0)
    """
    weighed = [(1.0 / error**2, degrees) for degrees, error in biases]
    total = sum(weight for weight, _ in weighed)
    mean = sum(weight * degrees for weight, degrees in weighed) / total
    chi2 = sum(weight * (degrees - mean) ** 2 for weight, degrees in weighed)
    ratio = max(1.0, math.sqrt(chi2 / (len(biases) - 1))) if len(biases) > 1 else 1.0
    return round(mean, 9), round(ratio / math.sqrt(total), 9)


def same_answers(
    given: Sequence[AnswerGiven], within_s: float = 180.0, share: float = 0.2
) -> list[SameAnswer]:
    """Groups of people who gave the same answer without credit close in time, as [(task, text,
    people), ...].

    `given` lists (person, task, text, credit, seconds). Only answers that at most a fifth of the
    task's people gave count as unusual. A fact, not a verdict: they may have shared a compass, a
    mistake, or an answer.
    """
    by_answer: dict[tuple[str, str], list[tuple[float, str]]] = {}
    at_task = Counter(task for _, task, *_ in given)
    for person, task, text, credit, seconds in given:
        if credit == 0.0:
            by_answer.setdefault((task, text), []).append((seconds, person))
    groups = []
    for (task, text), times in sorted(by_answer.items()):
        people = _close_in_time(sorted(times), within_s)
        if len(times) <= max(2, share * at_task[task]) and len(people) > 1:
            groups.append((task, text, people))
    return groups


def _close_in_time(times: Sequence[tuple[float, str]], within_s: float) -> tuple[str, ...]:
    """The people of (seconds, person) who have somebody else within some seconds, in order."""
    return tuple(
        person
        for place, (seconds, person) in enumerate(times)
        if any(
            abs(seconds - other) <= within_s for at, (other, _) in enumerate(times) if at != place
        )
    )


def task_summary(task: str, judged: Iterable[Judged]) -> TaskSummary:
    """The summary of one task."""
    credits = [reading.credit for reading in judged if reading.task == task]
    return TaskSummary(
        task,
        len(credits),
        full=sum(credit == 1.0 for credit in credits),
        partial=sum(0.0 < credit < 1.0 for credit in credits),
    )


@dataclass(frozen=True)
class SoundErrors:
    """The errors of sound readings: how many, their mean and their spread, degrees. The mean is
    None where they cancel or there are none, the spread of fewer than two.
    """

    number: int
    mean_deg: float | None
    spread_deg: float | None


def sound_errors(judged: Iterable[Judged]) -> SoundErrors:
    """The errors of the sound among some readings of directions, averaged as directions: 359 and 1
    do not give 180.
    """
    errors = _sound_errors_deg(judged)
    mean_deg = circular_mean(errors) if errors else None
    return SoundErrors(
        len(errors),
        None if mean_deg is None else difference(mean_deg, 0.0),
        circular_spread(errors) if len(errors) > 1 else None,
    )
