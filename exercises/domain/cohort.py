"""What the readings of a class say of its tasks and its mistakes."""
from collections import Counter
from dataclasses import dataclass

from .angles import circular_mean, circular_spread, difference


@dataclass(frozen=True)
class Result:
    """One reading that counts, graded and explained. Field names are those of `grading.Grade` and `diagnosis.Verdict`."""

    person: str
    task: str
    text: str
    reading_deg: float
    error_deg: float
    credit: float
    cause: str
    probability: float
    alternatives: tuple = ()
    detail: str = ""


@dataclass(frozen=True)
class CauseCount:
    """How often a cause was the likeliest, in how many people, and the credit that it cost."""

    code: str
    readings: int
    people: int
    credit_lost: float
    tasks: tuple[str, ...]


@dataclass(frozen=True)
class TaskSummary:
    """The readings of one task. `mean_deg` and `spread_deg` are those of its sound readings' errors, None without any."""

    task: str
    readings: int
    full: int
    partial: int
    sound: int
    mean_deg: float | None
    spread_deg: float | None
    errors_deg: tuple[float, ...]


def causes_by_frequency(results):
    """Causes other than a sound reading, most frequent first."""
    counts = Counter(result.cause for result in results if result.cause != "ok")
    return [CauseCount(
        code, number, len({r.person for r in results if r.cause == code}),
        sum(1.0 - r.credit for r in results if r.cause == code),
        tuple(sorted({r.task for r in results if r.cause == code}, key=lambda task: (len(task), task))),
    ) for code, number in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))]


def task_summary(task, results):
    """The summary of one task. Errors are averaged as directions, so 359 and 1 do not give 180."""
    own = [result for result in results if result.task == task]
    sound = [result.error_deg for result in own if result.cause == "ok"]
    mean_deg = circular_mean(sound) if sound else None
    return TaskSummary(
        task, len(own), sum(r.credit == 1.0 for r in own), sum(0.0 < r.credit < 1.0 for r in own), len(sound),
        None if mean_deg is None else difference(mean_deg, 0.0), circular_spread(sound) if len(sound) > 1 else None,
        tuple(sorted(r.error_deg for r in own)))
