"""What the readings of a class say of its tasks and its mistakes."""

import math
from collections import Counter
from dataclasses import dataclass

from ..earth.angles import circular_mean, circular_spread, difference
from ..mistakes import causes
from ..tasks.places import Miss


@dataclass(frozen=True)
class Result:
    """One reading that counts, graded and explained. Field names are those of `grading.Grade` and
    `diagnosis.Verdict`.
    """

    person: str
    task: str
    text: str
    reading_deg: float | None
    error_deg: float | None
    credit: float
    cause: str
    probability: float
    alternatives: tuple = ()
    detail: str = ""
    miss: Miss | None = None


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
    example: Result


@dataclass(frozen=True)
class TaskSummary:
    """The readings of one task. `mean_deg` and `spread_deg` are those of its sound readings'
    errors, None without any; `misses` are set instead of `errors_deg` where answers are places,
    nearest first."""

    task: str
    readings: int
    full: int
    partial: int
    sound: int
    mean_deg: float | None
    spread_deg: float | None
    errors_deg: tuple[float, ...]
    misses: tuple[Miss, ...] = ()


def causes_by_credit_lost(results):
    """Mistakes of people, the dearest first. A combination counts for each of its mistakes, and its
    credit is shared between them; faults of the ground and of compasses are none of these."""
    groups = {}
    for result in results:
        for code in mistakes(result.cause):
            groups.setdefault(code, []).append(result)
    counts = [
        CauseCount(
            code,
            len(own),
            len({result.person for result in own}),
            sum((1.0 - result.credit) / len(mistakes(result.cause)) for result in own),
            sum(result.probability for result in own) / len(own),
            tuple(sorted({result.task for result in own}, key=lambda task: (len(task), task))),
            max(own, key=lambda result: (result.cause == code, result.probability)),
        )
        for code, own in groups.items()
    ]
    return sorted(counts, key=lambda count: (-count.credit_lost, -count.readings, count.code))


def mistakes(code):
    """The mistakes of a person in a code, single or combined.

    >>> mistakes("reversed+station_fault"), mistakes("ok")
    (['reversed'], [])
    """
    return [cause.code for cause in causes.mistakes(code)]


@dataclass(frozen=True)
class Spread:
    """A standard deviation in degrees of `number` values, with its 95 % interval."""

    degrees: float
    low_deg: float
    high_deg: float
    number: int


def spread_of_sound(results):
    """The spread of sound readings about their answers as directions, or None of fewer than three.

    The interval takes 1 / sqrt(2 (n - 1)) for the relative standard error of a standard deviation.
    Source: GUM, E.4.3.
    """
    errors = [result.error_deg for result in results if result.cause == "ok"]
    if len(errors) < 3:
        return None
    spread_deg = circular_spread(errors)
    relative = min(0.95, 1.96 / math.sqrt(2.0 * (len(errors) - 1)))
    return Spread(
        spread_deg, spread_deg * (1.0 - relative), spread_deg * (1.0 + relative), len(errors)
    )


def share_interval(hits, number):
    """The 95 % interval of a share, (low, high). Source: Wilson (1927), J. Am. Stat. Assoc. 22,
    209-212; (0, 1) of nothing.

    >>> [round(limit, 3) for limit in share_interval(1, 10)]
    [0.018, 0.404]
    """
    if not number:
        return 0.0, 1.0
    z2, share = 1.959964**2, hits / number
    middle, half = (
        share + z2 / (2 * number),
        math.sqrt(z2 * (share * (1 - share) / number + z2 / (4 * number**2))),
    )
    return max(0.0, (middle - half) / (1 + z2 / number)), min(
        1.0, (middle + half) / (1 + z2 / number)
    )


def pooled(biases):
    """Mean and standard error of (degrees, error) pairs, each weighted by its variance; the error
    grows where they disagree.

    Source: weighted mean with the Birge ratio, e.g. Bodnar & Elster (2014), Metrologia 51, 516-521;
    from memory.

    >>> pooled([(4.0, 1.0), (6.0, 1.0)])
    (5.0, 1.0)
    """
    weights = [1.0 / error**2 for _, error in biases]
    mean = sum(
        weight * degrees for weight, (degrees, _) in zip(weights, biases, strict=True)
    ) / sum(weights)
    chi2 = sum(
        weight * (degrees - mean) ** 2 for weight, (degrees, _) in zip(weights, biases, strict=True)
    )
    ratio = max(1.0, math.sqrt(chi2 / (len(biases) - 1))) if len(biases) > 1 else 1.0
    return round(mean, 9), round(ratio / math.sqrt(sum(weights)), 9)


def same_answers(given, within_s=180.0, share=0.2):
    """Groups of people who gave the same answer without credit close in time, as [(task, text,
    people), ...].

    `given` lists (person, task, text, credit, seconds). Only answers that at most a fifth of the
    task's people gave count as unusual. A fact, not a verdict: they may have shared a compass, a
    mistake, or an answer.
    """
    by_answer, at_task = {}, Counter(task for _, task, *_ in given)
    for person, task, text, credit, seconds in given:
        if credit == 0.0:
            by_answer.setdefault((task, text), []).append((seconds, person))
    found = []
    for (task, text), own in sorted(by_answer.items()):
        own.sort()
        if len(own) <= max(2, share * at_task[task]):
            close = [
                person
                for place, (seconds, person) in enumerate(own)
                if any(
                    abs(seconds - other) <= within_s
                    for at, (other, _) in enumerate(own)
                    if at != place
                )
            ]
            if len(close) > 1:
                found.append((task, text, tuple(close)))
    return found


def task_summary(task, results):
    """The summary of one task. Errors are averaged as directions, so 359 and 1 do not give 180."""
    own = [result for result in results if result.task == task]
    sound = [
        result.error_deg for result in own if result.cause == "ok" and result.error_deg is not None
    ]
    mean_deg = circular_mean(sound) if sound else None
    return TaskSummary(
        task,
        len(own),
        sum(r.credit == 1.0 for r in own),
        sum(0.0 < r.credit < 1.0 for r in own),
        sum(r.cause == "ok" for r in own),
        None if mean_deg is None else difference(mean_deg, 0.0),
        circular_spread(sound) if len(sound) > 1 else None,
        tuple(sorted(r.error_deg for r in own if r.error_deg is not None)),
        tuple(sorted((r.miss for r in own if r.miss), key=lambda miss: miss.error_m)),
    )
