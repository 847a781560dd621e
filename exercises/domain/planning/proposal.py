"""Picks a course from everything that can be seen on a site: spread round the dial, fair, every
habit detectable, a short walk. It explains each pick.

A greedy choice, improved by exchanges; the same ground and date give the same course. People
overrule it by keeping lines and refusing lines.
"""

from __future__ import annotations

import datetime
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ..earth import geodesy
from ..earth.angles import difference
from ..mistakes.causes import REGISTER
from ..tasks import key
from ..tasks.answer import Answer, Ends
from ..tasks.bands import PRESETS, Band
from ..tasks.site import Site, Task
from ..words import say
from . import measures
from .answer_checks import chance_of_full_credit, on_its_ground
from .course_check import UNPROVABLE
from .findings import Finding
from .hazards import Hazard
from .visibility import PROVABLE, habit_strengths, view

MOST_LINES = 200  # weighed against each other: those that the survey turns least
MOST_TASKS = 24
MIXED = "mixed"  # magnetic and true in turn
# What a pick is worth, all of about the same size; common practice, no source.
DIAL, FAIR, HABITS, WALK, VARIETY, SPREAD, FINDING = 3.0, 2.0, 2.0, 1.0, 1.0, 2.0, 0.5
LONGEST_WALK_M = 3000.0  # a walk of this length is worth nothing; common practice, no source
ROUNDS = 2
USUAL = PRESETS["usual"].band


class NothingToPick(ValueError):
    """A site on which no course can be picked. The message says what is missing."""


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


@dataclass(frozen=True)
class Pick:
    """A line of the proposal, the task and answer it would be, and why it was picked."""

    line: Line
    answer: Answer
    reasons: tuple[Finding, ...]
    kept: bool


@dataclass(frozen=True)
class Proposal:
    """Picks in walking order, the measures of the whole, and how many lines there were to choose
    from.
    """

    picks: tuple[Pick, ...]
    measures: measures.Measures
    candidates: int


@dataclass(frozen=True)
class _Candidate:
    """A line with what it is worth by itself."""

    line: Line
    answer: Answer
    chance: float
    findings: tuple[Finding, ...]
    shows: frozenset[str]
    strengths: Mapping[str, float]


@dataclass(frozen=True)
class _Wish:
    """What is asked of a proposal: how many tasks, in which north or MIXED, of which kind and band,
    and the lines that stay, by their ends.
    """

    site: Site
    on: datetime.date
    tasks: int
    north: str
    kind: str
    band: Band
    hazards: Sequence[Hazard]
    kept: Mapping[Ends, Line] = field(default_factory=dict)

    def norths_of(self, ends: Ends) -> tuple[str, ...]:
        """The norths in which a line may be asked."""
        if ends in self.kept:
            return (self.kept[ends].north,)
        return ("magnetic", "true") if self.north == MIXED else (self.north,)

    def task(self, label: str, line: Line) -> Task:
        """The task that a line would be."""
        return Task(label, self.kind, line.station, line.target, line.north, self.band)


def propose(
    site: Site,
    on: datetime.date,
    *,
    tasks: int,
    north: str = MIXED,
    kind: str = "sight",
    band: Band = USUAL,
    keep: Sequence[Line] = (),
    refuse: Sequence[Line] = (),
    hazards: Sequence[Hazard] = (),
) -> Proposal:
    """A course of some number of tasks of one kind, as `Proposal`.

    `north` is one of `norths.NORTHS`, or MIXED. `keep` are `Line`s that stay, `refuse` ones that do
    not come back, in any north. Fewer tasks come where fewer lines are left. Raises NothingToPick
    where no station sees a target, and what the answers raise.
    """
    kept = {line.ends: line for line in keep}
    wish = _Wish(site, on, tasks, north, kind, band, hazards, kept)
    seen = _lines_seen(site, refused={line.ends for line in refuse})
    chosen = _chosen(_pool(wish, seen), wish)
    answers = key.compute(
        [wish.task(str(number), pick.line) for number, pick in enumerate(chosen, start=1)], site, on
    )
    picks = tuple(
        Pick(
            candidate.line, answer, tuple(_reasons(candidate, chosen)), candidate.line.ends in kept
        )
        for candidate, answer in zip(chosen, answers, strict=True)
    )
    return Proposal(picks, measures.measure(answers, site), len(seen))


def _lines_seen(site: Site, refused: set[Ends]) -> list[Ends]:
    """The lines that may be picked. Raises NothingToPick where there are none."""
    lines = [
        (station, target)
        for station, point in site.points.items()
        if point.is_station
        for target in site.choices_from(station)
        if (station, target) not in refused
    ]
    if not lines:
        raise NothingToPick(
            say(
                "No station sees a target here. Add a mark to stand on, and say at each station "
                "which targets are seen from it."
            )
        )
    return lines


def _pool(wish: _Wish, seen: Sequence[Ends]) -> list[_Candidate]:
    """The candidates, the fairest first: kept lines, and of the others those that the survey turns
    least.
    """
    weighed = sorted(seen, key=lambda ends: (ends not in wish.kept, turned(wish.site, *ends), ends))
    candidates = [
        _candidate(Line(*ends, north), wish)
        for ends in weighed[:MOST_LINES]
        for north in wish.norths_of(ends)
    ]
    return sorted(
        (candidate for candidate in candidates if candidate),
        key=lambda candidate: (
            -candidate.chance,
            len(candidate.findings),
            *candidate.line.ends,
            candidate.line.north,
        ),
    )


def turned(site: Site, station: str, target: str) -> float:
    """How far the survey may turn a line, as metres across over metres along; without end where
    both are one place.
    """
    start, end = site.point(station), site.point(target)
    distance_m = geodesy.apart_m(start.position, end.position)
    return (start.accuracy_m + end.accuracy_m) / distance_m if distance_m else math.inf


def _candidate(line: Line, wish: _Wish) -> _Candidate | None:
    """A line with what it is worth by itself, or None where its two ends are one place."""
    try:
        (answer,) = key.compute([wish.task("1", line)], wish.site, wish.on)
    except geodesy.SamePoint:
        return None
    return _Candidate(
        line,
        answer,
        chance_of_full_credit(answer),
        tuple(on_its_ground(answer, wish.site, wish.hazards)),
        frozenset(view(answer).shows),
        habit_strengths([answer]),
    )


def _chosen(pool: Sequence[_Candidate], wish: _Wish) -> list[_Candidate]:
    """The candidates that make the best course, in walking order: kept lines, then one after
    another whichever adds most, then exchanges.
    """
    chosen = [candidate for candidate in pool if candidate.line.ends in wish.kept][: wish.tasks]
    fixed = len(chosen)
    while len(chosen) < wish.tasks and (left := _open(pool, chosen)):
        chosen.append(max(left, key=lambda candidate: _worth([*chosen, candidate], wish)))
    for _ in range(ROUNDS):
        if not _improve(chosen, fixed, pool, wish):
            break
    stations = dict.fromkeys(candidate.line.station for candidate in chosen)
    order = measures.shortest_order(tuple(stations), wish.site)
    return sorted(chosen, key=lambda pick: (order.index(pick.line.station), pick.line.target))


def _open(pool: Sequence[_Candidate], chosen: Sequence[_Candidate]) -> list[_Candidate]:
    """The candidates whose line is not chosen yet."""
    taken = {candidate.line.ends for candidate in chosen}
    return [candidate for candidate in pool if candidate.line.ends not in taken]


def _worth(chosen: Sequence[_Candidate], wish: _Wish) -> float:
    """How good a set of lines is; each part runs from 0 to 1, findings and twins take away."""
    number = len(chosen)
    stations = [candidate.line.station for candidate in chosen]
    fair = math.fsum(candidate.chance for candidate in chosen) / number
    variety = len(frozenset().union(*(candidate.shows for candidate in chosen))) / len(REGISTER)
    crowd = max(stations.count(station) for station in stations) / number
    return (
        DIAL * _spread_round_dial(chosen)
        + FAIR * fair
        + HABITS * _habits_proved(chosen)
        + WALK * _shortness(tuple(dict.fromkeys(stations)), wish.site)
        + VARIETY * variety
        - FINDING * sum(len(candidate.findings) for candidate in chosen) / number
        - _twins(chosen) / number
        - _imbalance(chosen, wish)
        - SPREAD * crowd
    )


def _spread_round_dial(chosen: Sequence[_Candidate]) -> float:
    """How evenly the answers lie round the dial: 1 where the widest gap is no wider than it must
    be, 0 of one answer.
    """
    gap = measures.widest_gap([candidate.answer.expected_deg for candidate in chosen])
    if gap is None or len(chosen) == 1:
        return 0.0
    return min(1.0, (360.0 / len(chosen)) / gap.width_deg)


def _habits_proved(chosen: Sequence[_Candidate]) -> float:
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


def _twins(chosen: Sequence[_Candidate]) -> int:
    """How many pairs of answers lie so near that one may be copied for the other."""
    bearings = [candidate.answer.expected_deg for candidate in chosen]
    limit_deg = 2 * chosen[0].answer.band.full_credit_deg
    return sum(
        abs(difference(one, other)) <= limit_deg
        for one, other in itertools.combinations(bearings, 2)
    )


def _imbalance(chosen: Sequence[_Candidate], wish: _Wish) -> float:
    """How unevenly magnetic and true are asked, where both are."""
    if wish.north != MIXED:
        return 0.0
    magnetic = sum(candidate.line.north == "magnetic" for candidate in chosen)
    return abs(magnetic - len(chosen) / 2) / len(chosen)


def _improve(chosen: list[_Candidate], fixed: int, pool: Sequence[_Candidate], wish: _Wish) -> bool:
    """Exchange one pick after another for a better candidate; says whether any was."""
    improved = False
    for place in range(fixed, len(chosen)):
        rest = chosen[:place] + chosen[place + 1 :]
        best = max(
            _open(pool, rest),
            key=lambda candidate: _worth([*rest, candidate], wish),
        )
        if _worth([*rest, best], wish) > _worth(chosen, wish) + 1e-9:
            chosen[place], improved = best, True
    return improved


def _reasons(candidate: _Candidate, chosen: Sequence[_Candidate]) -> Iterator[Finding]:
    """Why a line was picked: codes with their numbers, then what the check finds about it."""
    rest = [other for other in chosen if other is not candidate]
    if rest:
        here = candidate.answer.expected_deg
        nearest = min(abs(difference(here, other.answer.expected_deg)) for other in rest)
        yield Finding("nearest_answer", values={"apart_deg": nearest})
    yield Finding("chance", values={"chance": candidate.chance})
    elsewhere = frozenset().union(*(other.shows for other in rest))
    if alone := tuple(cause for cause in REGISTER if cause in candidate.shows - elsewhere):
        yield Finding("shows_alone", values={"causes": alone})
    else:
        yield Finding("shows", values={"number": len(candidate.shows)})
    yield from candidate.findings
    yield Finding("length", values={"distance_m": candidate.answer.distance_m})
