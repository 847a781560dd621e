"""Picks a course from everything that can be seen on a site: spread round the dial, fair, every
habit detectable, a short walk. It explains each pick.

A greedy choice, improved by exchanges; the same ground and date give the same course. People
overrule it by keeping lines and refusing lines.
"""

import itertools
import math
from dataclasses import dataclass

from ..earth import geodesy
from ..earth.angles import difference
from ..mistakes.causes import REGISTER
from ..tasks import key
from ..tasks.bands import PRESETS
from ..tasks.site import Task
from ..words import say
from . import measures
from .answer_checks import chance_of_full_credit, on_its_ground
from .findings import Finding
from .visibility import PROVABLE, habit_strengths, view

MOST_LINES = 200  # weighed against each other: those that the survey turns least
MOST_TASKS = 24
MIXED = "mixed"  # magnetic and true in turn
# What a pick is worth, all of about the same size; common practice, no source.
DIAL, FAIR, HABITS, WALK, VARIETY, SPREAD, FINDING = 3.0, 2.0, 2.0, 1.0, 1.0, 2.0, 0.5
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


@dataclass(frozen=True)
class Pick:
    """A line of the proposal, the task and answer it would be, and why it was picked."""

    line: Line
    answer: object
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
    line: Line
    answer: object
    chance: float
    findings: tuple
    shows: frozenset
    strengths: dict


def propose(
    site, on, *, tasks, north=MIXED, kind="sight", band=USUAL, keep=(), refuse=(), hazards=()
):
    """A course of some number of tasks of one kind, as `Proposal`.

    `north` is one of `norths.NORTHS`, or MIXED. `keep` are `Line`s that stay, `refuse` ones that do
    not come back, in any north. Fewer tasks come where fewer lines are left. Raises NothingToPick
    where no station sees a target, and what the answers raise.
    """
    refused = {(line.station, line.target) for line in refuse}
    kept = {(line.station, line.target): line for line in keep}
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
    seen = len(lines)
    lines = sorted(lines, key=lambda ends: (ends not in kept, _turned(site, *ends), ends))[
        :MOST_LINES
    ]
    pool = [
        _candidate(site, on, station, target, way, kind, band, hazards)
        for station, target in lines
        for way in (
            [kept[station, target].north]
            if (station, target) in kept
            else ["magnetic", "true"]
            if north == MIXED
            else [north]
        )
    ]
    pool = sorted(
        (one for one in pool if one),
        key=lambda one: (
            -one.chance,
            len(one.findings),
            one.line.station,
            one.line.target,
            one.line.north,
        ),
    )
    chosen = [one for one in pool if (one.line.station, one.line.target) in kept][:tasks]
    fixed = len(chosen)
    while len(chosen) < tasks:
        left = _open(pool, chosen)
        if not left:
            break
        chosen.append(max(left, key=lambda one: _worth([*chosen, one], site, north)))
    for _ in range(ROUNDS):
        if not _improve(chosen, fixed, pool, site, north):
            break
    order = measures.shortest_order(tuple(dict.fromkeys(one.line.station for one in chosen)), site)
    chosen.sort(key=lambda one: (order.index(one.line.station), one.line.target))
    answers = key.compute(
        [_task(str(number), one.line, kind, band) for number, one in enumerate(chosen, start=1)],
        site,
        on,
    )
    picks = tuple(
        Pick(
            one.line,
            answer,
            tuple(_reasons(one, chosen, site)),
            (one.line.station, one.line.target) in kept,
        )
        for one, answer in zip(chosen, answers, strict=True)
    )
    return Proposal(picks, measures.measure(answers, site), seen)


def _turned(site, station, target):
    """How far the survey may turn a line, as metres across over metres along; without end where
    both are one place.
    """
    one, other = site.point(station), site.point(target)
    distance_m = geodesy.apart_m(one.position, other.position)
    return (one.accuracy_m + other.accuracy_m) / distance_m if distance_m else math.inf


def _task(label, line, kind, band):
    return Task(label, kind, line.station, line.target, line.north, band)


def _candidate(site, on, station, target, north, kind, band, hazards):
    """A line with what it is worth by itself, or None where its two ends are one place."""
    line = Line(station, target, north)
    task = _task("1", line, kind, band)
    try:
        (answer,) = key.compute([task], site, on)
    except geodesy.SamePoint:
        return None
    return _Candidate(
        line,
        answer,
        chance_of_full_credit(answer),
        tuple(on_its_ground(answer, site, hazards)),
        frozenset(view(answer).shows),
        habit_strengths([answer]),
    )


def _open(pool, chosen):
    """The candidates whose line is not chosen yet."""
    taken = {(one.line.station, one.line.target) for one in chosen}
    return [one for one in pool if (one.line.station, one.line.target) not in taken]


def _worth(chosen, site, north):
    """How good a set of lines is; each part runs from 0 to 1, findings and twins take away."""
    number, bearings = len(chosen), [one.answer.expected_deg for one in chosen]
    dial = (
        min(1.0, (360.0 / number) / measures.widest_gap(bearings).width_deg) if number > 1 else 0.0
    )
    fair = math.fsum(one.chance for one in chosen) / number
    strengths = [
        min(1.0, math.sqrt(math.fsum(one.strengths[cause] ** 2 for one in chosen)) / PROVABLE)
        for cause in chosen[0].strengths
        if cause != "convergence_ignored"
    ]
    stations = tuple(dict.fromkeys(one.line.station for one in chosen))
    span_m = max(
        (
            geodesy.apart_m(site.point(a).position, site.point(b).position)
            for a, b in itertools.combinations(stations, 2)
        ),
        default=0.0,
    )
    walk = 1.0 - min(1.0, span_m * max(1, len(stations) - 1) / 3000.0)
    variety = len(frozenset().union(*(one.shows for one in chosen))) / len(REGISTER)
    twins = sum(
        abs(difference(a, b)) <= 2 * chosen[0].answer.band.full_credit_deg
        for a, b in itertools.combinations(bearings, 2)
    )
    balance = (
        abs(sum(one.line.north == "magnetic" for one in chosen) - number / 2) / number
        if north == MIXED
        else 0.0
    )
    crowd = max(sum(one.line.station == station for one in chosen) for station in stations) / number
    return (
        DIAL * dial
        + FAIR * fair
        + HABITS * math.fsum(strengths) / len(strengths)
        + WALK * walk
        + VARIETY * variety
        - FINDING * sum(len(one.findings) for one in chosen) / number
        - twins / number
        - balance
        - SPREAD * crowd
    )


def _improve(chosen, fixed, pool, site, north):
    """Exchange one pick after another for a better candidate; says whether any was."""
    improved = False
    for place in range(fixed, len(chosen)):
        rest = chosen[:place] + chosen[place + 1 :]
        best = max(_open(pool, rest), key=lambda one: _worth([*rest, one], site, north))
        if _worth([*rest, best], site, north) > _worth(chosen, site, north) + 1e-9:
            chosen[place], improved = best, True
    return improved


def _reasons(one, chosen, site):
    """Why a line was picked: codes with their numbers, then what the check finds about it."""
    rest = [other for other in chosen if other is not one]
    if rest:
        here = one.answer.expected_deg
        nearest = min(abs(difference(here, other.answer.expected_deg)) for other in rest)
        yield Finding("nearest_answer", values={"apart_deg": nearest})
    yield Finding("chance", values={"chance": one.chance})
    elsewhere = frozenset().union(*(other.shows for other in rest))
    if alone := tuple(cause for cause in REGISTER if cause in one.shows - elsewhere):
        yield Finding("shows_alone", values={"causes": alone})
    else:
        yield Finding("shows", values={"number": len(one.shows)})
    yield from one.findings
    yield Finding("length", values={"distance_m": one.answer.distance_m})
