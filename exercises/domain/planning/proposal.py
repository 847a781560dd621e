"""Picks a course from everything that can be seen on a site: safe, with nothing for the check to
complain of, spread round the dial, fair, every habit detectable, a short walk. It explains each
pick.

A greedy choice, improved by exchanges; the same ground and date give the same course. People
overrule it by keeping lines and refusing lines.
"""

from __future__ import annotations

import contextlib
import datetime
import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..earth import geodesy
from ..surveying.ground.estimate import Estimate
from ..tasks import key
from ..tasks.answer import Answer, Ends
from ..tasks.bands import PRESETS, Band
from ..tasks.kinds import kind_of
from ..tasks.kinds.base import Sighted
from ..tasks.site import Site, Task
from ..words import say
from . import measures
from .answer_checks import chance_of_full_credit
from .findings import Finding, Severity
from .ground_checks import on_its_ground
from .hazards import Hazard, crossed
from .reasons import against, copied_here, no_other, why
from .surroundings import Surroundings
from .visibility import habit_strengths, view
from .walking import safely_joined, shortest_order
from .weighing import MIXED, Candidate, Line, Weighing, turned

MOST_LINES = 200  # weighed against each other: those that the survey turns least
MOST_TRIED = 1000  # looked at for as many as that, where many lead into a danger
MOST_TASKS = 24
MOST_ROUNDS = 12  # of exchanges; two or three are usual until none makes a course better
USUAL = PRESETS["usual"].band


class NothingToPick(ValueError):
    """A site on which no course can be picked. The message says what is missing."""


@dataclass(frozen=True)
class Pick:
    """A line of the proposal, the task and answer it would be, why it was picked, and what speaks
    against it, with that there is no other.
    """

    line: Line
    answer: Answer
    reasons: tuple[Finding, ...]
    against: tuple[Finding, ...]
    kept: bool


@dataclass(frozen=True)
class Proposal:
    """Picks in walking order, the measures of the whole, how many lines there were to choose from,
    and how many of them were left out because they lead into a danger.
    """

    picks: tuple[Pick, ...]
    measures: measures.Measures
    candidates: int
    unsafe: int = 0


@dataclass(frozen=True)
class _Wish:
    """What is asked of a proposal: how many tasks, in which north or MIXED, of which kind and band,
    the lines that are kept, by their ends, and the answers of the course to which it is added;
    the lines that stand there already, in their order, with those that were refused among them.
    """

    ground: Surroundings
    on: datetime.date
    tasks: int
    north: str
    kind: str
    band: Band
    kept: Mapping[Ends, Line] = field(default_factory=dict)
    beside: Sequence[Answer] = ()
    standing: Mapping[Ends, Line] = field(default_factory=dict)

    @property
    def site(self) -> Site:
        """The site."""
        return self.ground.site

    def norths_of(self, ends: Ends) -> tuple[str, ...]:
        """The norths in which a line may be asked."""
        if line := self.kept.get(ends) or self.standing.get(ends):
            return (line.north,)
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
    bent: Mapping[str, Estimate] | None = None,
    beside: Sequence[Task] = (),
    standing: Sequence[Line] = (),
) -> Proposal:
    """A course of some number of tasks of one kind, as `Proposal`.

    `north` is one of `norths.NORTHS`, or MIXED. `keep` are `Line`s that stay, `refuse` ones that do
    not come back, in any north; `bent` the stations found at fault; `beside` the tasks that the
    course has already. `standing` are the lines of a proposal that was made before, in their order:
    they stay where they are as long as they are safe, and what comes instead of a refused one takes
    its place. A line whose walk leads into a danger is never picked, only kept. Fewer
    tasks come where fewer lines are left. Raises NothingToPick where no station sees a target or no
    line is safe, and what the answers raise.
    """
    wish = _Wish(
        Surroundings(site, hazards, bent or {}),
        on,
        tasks,
        north,
        kind,
        band,
        {line.ends: line for line in keep},
        tuple(_answers(beside, site, on)),
        {line.ends: line for line in standing},
    )
    seen = _lines_seen(site, refused={line.ends for line in refuse})
    pool, unsafe = _pool(wish, seen)
    weighing = Weighing(site, north)
    chosen = _chosen(_joined(pool, wish), wish, weighing)
    return _proposal(chosen, wish, weighing, len(seen), unsafe)


def _answers(tasks: Sequence[Task], site: Site, on: datetime.date) -> Iterator[Answer]:
    """The answers of those tasks that have one."""
    sighted = Sighted((task.station, task.target) for task in tasks if task.target)
    for task in tasks:
        with contextlib.suppress(ValueError):
            yield kind_of(task.kind).answer(task, site, on, sighted)


def _proposal(
    chosen: Sequence[Candidate], wish: _Wish, weighing: Weighing, seen: int, unsafe: int
) -> Proposal:
    """The chosen lines as a proposal, with why each of them was picked."""
    answers = key.compute(
        [wish.task(str(number), pick.line) for number, pick in enumerate(chosen, start=1)],
        wish.site,
        wish.on,
    )
    whole = measures.measure(answers, wish.site, wish.ground.hazards)
    over = dict(_crossings(whole.walk.stations, wish))
    picks = []
    for candidate, answer in zip(chosen, answers, strict=True):
        is_kept, line = candidate.line.ends in wish.kept, candidate.line
        found = [*against(candidate, chosen, weighing), *over.pop(line.station, ())]
        last = () if is_kept else no_other(found, line.north)
        reasons = tuple(why(candidate, chosen))
        picks.append(Pick(line, answer, reasons, (*found, *last), is_kept))
    return Proposal(tuple(picks), whole, seen, unsafe)


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


def _pool(wish: _Wish, seen: Sequence[Ends]) -> tuple[list[Candidate], int]:
    """The candidates, the fairest first, and how many lines were left out because they lead into a
    danger: kept lines, and of the others those that the survey turns least. Raises NothingToPick
    where none is left.
    """
    held = {**wish.kept, **wish.standing}
    weighed = sorted(seen, key=lambda ends: (ends not in held, turned(wish.site, *ends), ends))
    pool: list[Candidate] = []
    lines, unsafe = 0, 0
    for ends in weighed[:MOST_TRIED]:
        asked = [_candidate(Line(*ends, north), wish) for north in wish.norths_of(ends)]
        there = [candidate for candidate in asked if candidate]
        safe = [one for one in there if ends in wish.kept or one.worst < Severity.DANGER]
        pool += safe
        lines, unsafe = lines + bool(safe), unsafe + (bool(there) and not safe)
        if lines == MOST_LINES:
            break
    if unsafe and not pool:
        raise NothingToPick(
            say(
                "No line is safe here: who walks along one of them, back to front or with the "
                "declination wrong, comes too near to a danger. Propose a kind in which nobody "
                "walks, or put marks and targets elsewhere."
            )
        )
    return sorted(pool, key=_rank), unsafe


def _rank(candidate: Candidate) -> tuple[float, int, str, str, str]:
    """The order in which candidates are tried: the fairest first."""
    line = candidate.line
    return (-candidate.chance, len(candidate.findings), line.station, line.target, line.north)


def _candidate(line: Line, wish: _Wish) -> Candidate | None:
    """A line with what it is worth by itself, or None where its two ends are one place."""
    try:
        (answer,) = key.compute([wish.task("1", line)], wish.site, wish.on)
    except geodesy.SamePoint:
        return None
    return Candidate(
        line,
        answer,
        chance_of_full_credit(answer),
        (*on_its_ground(answer, wish.ground), *copied_here(answer, wish.beside)),
        frozenset(view(answer).shows),
        habit_strengths([answer]),
    )


def _joined(pool: Sequence[Candidate], wish: _Wish) -> list[Candidate]:
    """The candidates, those marked whose station is cut off by a danger from the stations with the
    most lines that have nothing against them, or from those of the course.
    """
    if not pool:
        return []
    before = [answer.station for answer in wish.beside][-1:]
    kept = [line.station for line in wish.kept.values() if line.station in wish.site.points]
    groups = safely_joined(
        list(dict.fromkeys([*before, *kept, *(one.line.station for one in pool)])),
        wish.site,
        wish.ground.hazards,
    )
    fixed = {*before, *kept}
    main = max(
        groups,
        key=lambda group: (
            len(fixed & group),
            len({one.line.ends for one in pool if one.line.station in group and not one.costs}),
        ),
    )
    return [one if one.line.station in main else _cut_off(one, sorted(main), wish) for one in pool]


def _cut_off(candidate: Candidate, main: Sequence[str], wish: _Wish) -> Candidate:
    """A candidate to whose station the way from the nearest of others crosses a danger."""
    here, points = candidate.line.station, wish.site.points
    nearest = min(
        main, key=lambda code: geodesy.apart_m(points[code].position, points[here].position)
    )
    found = _crossing(nearest, here, wish)
    return replace(candidate, findings=(*candidate.findings, *found))


def _crossings(stations: Sequence[str], wish: _Wish) -> Iterator[tuple[str, tuple[Finding, ...]]]:
    """The stations of a walk to which the way crosses a danger, each with what it crosses."""
    for one, other in itertools.pairwise(stations):
        if found := tuple(_crossing(one, other, wish)):
            yield other, found


def _crossing(one: str, other: str, wish: _Wish) -> Iterator[Finding]:
    """The dangers that the straight way between two stations crosses."""
    points = wish.site.points
    for hazard in crossed(points[one].position, points[other].position, wish.ground.hazards):
        values = {"one": one, "other": other, "hazard": hazard.name, "hazard_kind": hazard.kind}
        yield Finding("walk_crosses", values=values)


def _chosen(pool: Sequence[Candidate], wish: _Wish, weighing: Weighing) -> list[Candidate]:
    """The candidates that make the best course, in walking order: kept lines and standing ones,
    then one after another whichever adds most, then exchanges.
    """
    chosen = [one for one in pool if one.line.ends in wish.kept]
    chosen += [one for one in pool if one.line.ends in {*wish.standing} - {*wish.kept}]
    del chosen[wish.tasks :]
    fixed = len(chosen)
    while len(chosen) < wish.tasks and (left := _open(pool, chosen)):
        chosen.append(weighing.best(left, chosen))
    for _ in range(MOST_ROUNDS):
        if not _improve(chosen, fixed, pool, weighing):
            break
    before = [answer.station for answer in wish.beside][-1:]
    stations = dict.fromkeys([*before, *(candidate.line.station for candidate in chosen)])
    order = shortest_order(tuple(stations), wish.site, wish.ground.hazards)
    chosen.sort(key=lambda pick: (order.index(pick.line.station), pick.line.target))
    return _in_place(chosen, wish)


def _in_place(chosen: Sequence[Candidate], wish: _Wish) -> list[Candidate]:
    """The standing lines where they stood, and new ones in the places of those that are gone."""
    there = {candidate.line.ends: candidate for candidate in chosen}
    new = [candidate for candidate in chosen if candidate.line.ends not in wish.standing]
    placed = [there.get(ends) or (new.pop(0) if new else None) for ends in wish.standing]
    return [candidate for candidate in placed if candidate] + new


def _open(pool: Sequence[Candidate], chosen: Sequence[Candidate]) -> list[Candidate]:
    """The candidates whose line is not chosen yet."""
    taken = {candidate.line.ends for candidate in chosen}
    return [candidate for candidate in pool if candidate.line.ends not in taken]


def _improve(
    chosen: list[Candidate], fixed: int, pool: Sequence[Candidate], weighing: Weighing
) -> bool:
    """Exchange one pick after another, but for the fixed first ones, for a better candidate; says
    whether any was.
    """
    improved = False
    for place in range(fixed, len(chosen)):
        rest = chosen[:place] + chosen[place + 1 :]
        best = weighing.best(_open(pool, rest), rest)
        *better, gain = weighing.worth([*rest, best])
        *present, here = weighing.worth(chosen)
        if better > present or (better == present and gain > here + 1e-9):
            chosen[place], improved = best, True
    return improved
