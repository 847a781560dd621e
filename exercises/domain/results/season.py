"""What the classes of a season say together: skill by kind of task, causes that fall or rise, and
what of the ground was mended.

Readings of one person are alike, so that intervals are those of people and not of readings: a
share's number of readings is divided by the design effect of its people (Kish 1965, Survey
Sampling; from memory), then Wilson's interval is taken. Two shares are compared by Newcombe (1998),
Statistics in Medicine 17, 873-890, method 10. As many causes are compared as were seen, and the
level is shared between them (Bonferroni), so that of twenty seasons in which nothing changed one
says that something did.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

from ..mistakes import causes
from . import cohort

LEVEL = 0.05
FALLING, RISING, UNTOLD = "falling", "rising", "untold"
AT_FAULT, MENDED = "at_fault", "mended"
LEAST_FAULT_DEG = 1.0  # below, a station's bias is nothing to mend; as pages over time have it
Biases = Mapping[str, tuple[float, float]]  # degrees and standard error, by station


@dataclass(frozen=True)
class Read:
    """A reading: who gave it (unlike in every class), its kind of task, credit and cause."""

    person: str
    kind: str
    credit: float
    cause: str


@dataclass(frozen=True)
class Estimate:
    """A share of readings with its 95 % interval, of how many readings of how many people."""

    share: float
    low: float
    high: float
    readings: int
    people: int


@dataclass(frozen=True)
class Change:
    """A cause in the first and in the last classes, each as a share of readings; how much it rose
    (last minus first) with an interval, and what can be told: FALLING, RISING or UNTOLD.
    """

    cause: str
    first: Estimate
    last: Estimate
    low: float
    high: float

    @property
    def told(self) -> str:
        """What the interval leaves to be said."""
        if self.high < 0.0:
            return FALLING
        return RISING if self.low > 0.0 else UNTOLD


def estimate(marks: Iterable[tuple[str, bool]], level: float = LEVEL) -> Estimate:
    """The share of marks that hold, of (person, whether it holds), with its interval at 1 - level.

    >>> one = estimate([("a", True), ("b", True), ("c", False), ("d", True)])
    >>> one.share, round(one.low, 3), round(one.high, 3)
    (0.75, 0.301, 0.954)
    """
    people: dict[str, list[bool]] = {}
    for person, holds in marks:
        people.setdefault(person, []).append(holds)
    number = sum(map(len, people.values()))
    hits = sum(map(sum, people.values()))
    share = hits / number if number else 0.0
    told_by = _effective(list(people.values()), share, number)
    z = NormalDist().inv_cdf(1.0 - level / 2.0)
    low, high = cohort.share_interval(share * told_by, told_by, z)
    return Estimate(share, low, high, number, len(people))


def _effective(people: Sequence[Sequence[bool]], share: float, number: int) -> float:
    """How many independent readings tell as much as these of some people: their number over the
    design effect, never more than there are. Where all are alike nothing shows the effect: then
    each person counts once.
    """
    if not 0.0 < share < 1.0 or len(people) < 2:
        return float(len(people))
    squares = sum((sum(marks) - share * len(marks)) ** 2 for marks in people)
    of_people = squares * len(people) / (len(people) - 1) / number**2
    of_readings = share * (1.0 - share) / (number - 1)
    return number / max(1.0, of_people / of_readings)


def skill(readings: Iterable[Read]) -> dict[str, Estimate]:
    """The share of full credit by kind of task, in the order in which kinds come."""
    marks: dict[str, list[tuple[str, bool]]] = {}
    for reading in readings:
        marks.setdefault(reading.kind, []).append((reading.person, reading.credit == 1.0))
    return {kind: estimate(group) for kind, group in marks.items()}


def changes(first: Sequence[Read], last: Sequence[Read]) -> list[Change]:
    """Each cause in the first and in the last readings, the most frequent first; none where either
    has no readings.
    """
    if not first or not last:
        return []
    counts = {
        code: sum(code in causes.mistakes(reading.cause) for reading in (*first, *last))
        for code in causes.CODES
    }
    seen = [code for code, count in counts.items() if count]
    level = LEVEL / max(1, len(seen))
    found = [_change(code, first, last, level) for code in seen]
    return sorted(found, key=lambda change: (-counts[change.cause], change.cause))


def _change(code: str, first: Iterable[Read], last: Iterable[Read], level: float) -> Change:
    """One cause, compared at a level."""
    marks_first, marks_last = (
        [(one.person, code in causes.mistakes(one.cause)) for one in group]
        for group in (first, last)
    )
    before, after = estimate(marks_first, level), estimate(marks_last, level)
    rise = after.share - before.share
    return Change(
        code,
        estimate(marks_first),
        estimate(marks_last),
        rise - math.hypot(after.share - after.low, before.high - before.share),
        rise + math.hypot(after.high - after.share, before.share - before.low),
    )


def ground(classes: Sequence[Biases]) -> dict[str, str]:
    """What became of stations that were at fault in a class, classes in their order: AT_FAULT, or
    MENDED where a later class shows that the fault is gone. Every station of every class is looked
    at, and the level is shared between them.
    """
    z = NormalDist().inv_cdf(1.0 - LEVEL / 2.0 / max(1, sum(map(len, classes))))
    state: dict[str, str] = {}
    fault: dict[str, tuple[float, float]] = {}
    for biases in classes:
        for station, (degrees, error) in biases.items():
            if abs(degrees) > max(LEAST_FAULT_DEG, z * error):
                state[station], fault[station] = AT_FAULT, (degrees, error)
            elif station in fault and _is_gone(fault[station], (degrees, error), z):
                state[station] = MENDED
    return state


def _is_gone(was: tuple[float, float], now: tuple[float, float], z: float) -> bool:
    """Whether a bias is surely another than before, and not merely unknown."""
    return abs(now[0] - was[0]) > z * math.hypot(was[1], now[1])
