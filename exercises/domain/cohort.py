"""What the readings of a class say of its tasks and its mistakes."""
import math
from collections import Counter
from dataclasses import dataclass

from . import causes
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
        tuple(dict.fromkeys(r.task for r in results if r.cause == code)),
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


HABIT_PRIOR = 0.05  # that a given persistent cause is somebody's habit; common practice, no source
FAULT_PRIOR = 0.05  # that a station is at fault; common practice, no source
HABIT_RATE = 0.85  # how often a person with a habit follows it
FAULT_SPREAD_DEG = 10.0  # standard deviation of the bias of a station that is at fault
SCATTER_DEG = 3.5  # of one reading about its station's bias, when the class is too small to tell


def offset(results):
    """Mean error of some sound readings and its standard error, degrees: `(0.0, inf)` without any."""
    sound = [result.error_deg for result in results if result.cause == "ok"]
    if not sound:
        return 0.0, math.inf
    spread_deg = max(circular_spread(sound), 1.0) if len(sound) > 2 else SCATTER_DEG
    return difference(circular_mean(sound) or 0.0, 0.0), spread_deg / math.sqrt(len(sound))


def habit(results):
    """The habit of a person and its probability: `("none", p)` when none is more probable than a habit.

    Each reading says how probable a persistent cause is in it; a habit makes that cause frequent in all of them (binomial).
    """
    shown = {code: [_share(result, code) for result in results] for code in causes.PERSISTENT}
    weight = {"none": 1.0 - HABIT_PRIOR * len(shown)}
    for code, shares in shown.items():
        rate = causes.REGISTER[code].rate
        weight[code] = HABIT_PRIOR * math.prod(
            share * HABIT_RATE / rate + (1.0 - share) * (1.0 - HABIT_RATE) / (1.0 - rate) for share in shares)
    best = max(weight, key=weight.get)
    return best, weight[best] / sum(weight.values())


def _share(result, code):
    pairs = ((result.cause, result.probability), *result.alternatives)
    return min(1.0, sum(probability for cause, probability in pairs if code in cause.split("+")))


def fault_probability(results):
    """How probable it is that a station is at fault, from the sound readings there: a bias of some ten degrees against none."""
    bias_deg, error_deg = offset(results)
    if math.isinf(error_deg):
        return FAULT_PRIOR
    narrow, wide = math.hypot(error_deg, 1.0), math.hypot(error_deg, FAULT_SPREAD_DEG)
    ratio = narrow / wide * math.exp(0.5 * bias_deg ** 2 * (1.0 / narrow ** 2 - 1.0 / wide ** 2))
    return FAULT_PRIOR * ratio / (1.0 - FAULT_PRIOR + FAULT_PRIOR * ratio)
