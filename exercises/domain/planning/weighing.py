"""What a set of lines is worth as a course: first how little the check has against it, then how
good it is.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..earth import geodesy
from ..mistakes.causes import REGISTER
from ..tasks.answer import Answer, Ends
from ..tasks.site import Site
from .course_check import UNPROVABLE
from .findings import OF_THE_PLACE, Finding, Severity
from .measures import copied_apart_deg, widest_gap
from .visibility import PROVABLE

MIXED = "mixed"  # magnetic and true in turn
# What a pick is worth, all of about the same size; common practice, no source.
DIAL, FAIR, HABITS, WALK, VARIETY, SPREAD = 3.0, 2.0, 2.0, 1.0, 1.0, 2.0
LONGEST_WALK_M = 3000.0  # a walk of this length is worth nothing; common practice, no source
WORST_FIRST = (Severity.DANGER, Severity.FAULT, Severity.NOTE)
Worth = tuple[int, int, int, float]  # minus the dangers, faults and notes, then how good it is


@dataclass(frozen=True)
class Line:
    """A sight line with the north to ask it in, by the codes of its ends."""

    station: str
    target: str
    north: str

    @property
    def ends(self) -> Ends:
        """The codes of its station and its target."""
        return self.station, self.target


@dataclass(frozen=True, eq=False)
class Candidate:
    """A line with what it is worth by itself, and what the check finds about it."""

    line: Line
    answer: Answer
    chance: float
    findings: tuple[Finding, ...]
    shows: frozenset[str]
    strengths: Mapping[str, float]

    @functools.cached_property
    def costs(self) -> tuple[Severity, ...]:
        """The severities of what another line might be without."""
        return tuple(
            finding.severity for finding in self.findings if finding.code not in OF_THE_PLACE
        )

    @functools.cached_property
    def worst(self) -> Severity:
        """The worst of them."""
        return max(self.costs, default=Severity.REASON)


@dataclass
class Weighing:
    """Weighs sets of candidates on a site; what is found about two of them is kept."""

    site: Site
    north: str
    _copies: dict[tuple[Candidate, Candidate], float | None] = field(default_factory=dict)

    def copied_deg(self, one: Candidate, other: Candidate) -> float | None:
        """How far apart two answers lie of which one may be copied for the other, or None: so of
        one and itself.
        """
        if one is other:
            return None
        if (one, other) not in self._copies:
            apart_deg = copied_apart_deg(one.answer, other.answer)
            self._copies[one, other] = self._copies[other, one] = apart_deg
        return self._copies[one, other]

    def cost(self, candidate: Candidate, rest: Sequence[Candidate]) -> Severity:
        """The worst of what the check has against a candidate beside others."""
        is_copied = any(self.copied_deg(candidate, other) is not None for other in rest)
        return max(candidate.worst, Severity.FAULT if is_copied else Severity.REASON)

    def best(self, open_ones: Sequence[Candidate], rest: Sequence[Candidate]) -> Candidate:
        """The candidate that makes the best set with the rest: goodness is weighed only between
        those that cost the least.
        """
        rest_costs = [self.cost(one, rest) for one in rest]
        costs = {one: self._complaints(one, rest, rest_costs) for one in open_ones}
        least = min(costs.values())
        return max(
            (one for one, cost in costs.items() if cost == least),
            key=lambda one: self._goodness([*rest, one]),
        )

    def worth(self, chosen: Sequence[Candidate]) -> Worth:
        """How good a set of lines is: the greater, the better. Danger and faults are constraints,
        never outweighed.
        """
        *rest, last = chosen
        rest_costs = [self.cost(one, rest) for one in rest]
        dangers, faults, notes = self._complaints(last, rest, rest_costs)
        return -dangers, -faults, -notes, self._goodness(chosen)

    def _complaints(
        self, candidate: Candidate, rest: Sequence[Candidate], rest_costs: Sequence[Severity]
    ) -> tuple[int, int, int]:
        """How many lines of a set have a danger, a fault or a note as the worst against them."""
        costs, own = list(rest_costs), candidate.worst
        for place, other in enumerate(rest):
            if self.copied_deg(candidate, other) is not None:
                own, costs[place] = max(own, Severity.FAULT), max(costs[place], Severity.FAULT)
        costs.append(own)
        dangers, faults, notes = (costs.count(one) for one in WORST_FIRST)
        return dangers, faults, notes

    def _goodness(self, chosen: Sequence[Candidate]) -> float:
        """How good a set of lines is, whatever the check has against it."""
        number = len(chosen)
        stations = [candidate.line.station for candidate in chosen]
        fair = math.fsum(candidate.chance for candidate in chosen) / number
        variety = len(frozenset().union(*(candidate.shows for candidate in chosen))) / len(REGISTER)
        crowd = max(stations.count(station) for station in stations) / number
        return (
            DIAL * _spread_round_dial(chosen)
            + FAIR * fair
            + HABITS * _habits_proved(chosen)
            + WALK * _shortness(tuple(dict.fromkeys(stations)), self.site)
            + VARIETY * variety
            - self._imbalance(chosen)
            - SPREAD * crowd
        )

    def _imbalance(self, chosen: Sequence[Candidate]) -> float:
        """How unevenly magnetic and true are asked, where both are."""
        if self.north != MIXED:
            return 0.0
        magnetic = sum(candidate.line.north == "magnetic" for candidate in chosen)
        return abs(magnetic - len(chosen) / 2) / len(chosen)


def _spread_round_dial(chosen: Sequence[Candidate]) -> float:
    """How evenly the answers lie round the dial: 1 where the widest gap is no wider than it must
    be, 0 of one answer.
    """
    gap = widest_gap([candidate.answer.expected_deg for candidate in chosen])
    if gap is None or len(chosen) == 1:
        return 0.0
    return min(1.0, (360.0 / len(chosen)) / gap.width_deg)


def _habits_proved(chosen: Sequence[Candidate]) -> float:
    """How well the habits could be proved, on the average: 1 where each of them could be."""
    proved = [
        min(1.0, math.sqrt(math.fsum(pick.strengths[cause] ** 2 for pick in chosen)) / PROVABLE)
        for cause in chosen[0].strengths
        if cause != UNPROVABLE
    ]
    return math.fsum(proved) / len(proved)


def _shortness(stations: Sequence[str], site: Site) -> float:
    """How short the walk is, by the widest span of the stations and how many there are."""
    span_m = max(
        (
            geodesy.apart_m(site.point(one).position, site.point(other).position)
            for one, other in itertools.combinations(stations, 2)
        ),
        default=0.0,
    )
    return 1.0 - min(1.0, span_m * max(1, len(stations) - 1) / LONGEST_WALK_M)


def turned(site: Site, station: str, target: str) -> float:
    """How far the survey may turn a line, as metres across over metres along; without end where
    both are one place.
    """
    start, end = site.point(station), site.point(target)
    distance_m = geodesy.apart_m(start.position, end.position)
    return (start.accuracy_m + end.accuracy_m) / distance_m if distance_m else math.inf
