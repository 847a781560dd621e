"""A rotation: which group is at which station in which round, who walks where, who stands where.

All groups change at one signal. `rotate` makes a rotation of all stations; `rotation_time.fitted`
one for the time there is; `rotation_ground.problem` what both need, from a course; `rotation_live`
follows it while it runs. README.md of this room tells what is promised, and how it is found.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from . import rotation_start
from .rotation_cost import Ground, behind_counts, follow_counts
from .rotation_grid import Grid, rounds_needed
from .rotation_posts import Post, posts
from .rotation_search import improved
from .rotation_timing import Begin, Round, Walked, timed
from .rotation_values import Problem


@dataclass(frozen=True)
class Rotation:
    """A rotation of a problem's groups, minutes from its start.

    `misses`: group to the stations of the problem that it does not get. `dropped`: the tasks left
    out for all because of the time, and `lost` the information that goes with them and with what
    groups miss, of a group on the average (`rotation_time`). `behind` is how often a group walks
    right behind or beside the same one again, after a first time; `follows` the most stations at
    which a group comes just after the same group, or is there with it.
    """

    problem: Problem
    rounds: tuple[Round, ...]
    walks: tuple[Walked, ...]
    minutes: float
    posts: tuple[Post, ...]
    behind: int
    follows: int
    dropped: tuple[str, ...] = ()
    lost: float = 0.0

    @property
    def misses(self) -> dict[str, tuple[str, ...]]:
        """Of each group that misses some: the stations that it does not get."""
        found = {}
        for group in self.problem.groups:
            had = {one.at.get(group.code) for one in self.rounds}
            missed = tuple(one.code for one in self.problem.stations if one.code not in had)
            if missed:
                found[group.code] = missed
        return found

    @property
    def waits(self) -> dict[str, int]:
        """In how many rounds each group waits."""
        return {
            group.code: sum(group.code in one.waits for one in self.rounds)
            for group in self.problem.groups
        }

    @property
    def walked_m(self) -> dict[str, float]:
        """How far each group walks, metres."""
        return {
            group.code: sum(walk.length_m for walk in self.walks if walk.group == group.code)
            for group in self.problem.groups
        }


def rotate(problem: Problem, *, rng: np.random.Generator, rounds: int | None = None) -> Rotation:
    """A rotation of all stations for all groups, in as few rounds as that takes, or in as many as
    are given, 1 or more; then groups miss some stations, as many as each other, to one.

    The time there is (`problem.minutes`) is not asked: see `rotation_time.fitted`. The same
    generator state gives the same rotation.
    """
    ground = ground_of(problem)
    begun = grids(problem, rounds)
    grid = improved(begun, ground, rng, [(0, len(begun[0][0]))])
    return built(problem, ground.stations(grid))


def plain(problem: Problem, rounds: int | None = None) -> Rotation:
    """The same without a search: the loop both ways where that can be, else one way. It depends on
    nothing but stations, ways and the number of groups.
    """
    one_way, *both_ways = grids(problem, rounds)[:2]
    grid = both_ways[0] if both_ways else one_way
    return built(problem, ground_of(problem).stations(grid))


def grids(problem: Problem, rounds: int | None) -> list[Grid]:
    """Grids of places to begin with, for the rounds that are needed or fewer."""
    places = [station.places for station in problem.stations]
    needed = rounds_needed(len(problem.groups), places)
    wanted = needed if rounds is None else max(1, min(rounds, needed))
    return rotation_start.starts(len(problem.groups), places, apart_m(problem), wanted)


def apart_m(problem: Problem) -> tuple[tuple[float, ...], ...]:
    """The ways between stations: (stations, stations), metres."""
    codes = [station.code for station in problem.stations]
    return tuple(tuple(problem.way(one, other).length_m for other in codes) for one in codes)


def ground_of(
    problem: Problem,
    starts: Mapping[str, str] | None = None,
    had: Mapping[str, frozenset[str]] | None = None,
) -> Ground:
    """What the cost of a grid is reckoned from; `starts` are the marks where groups are, `had` the
    stations that they have had.
    """
    stations, base, pairs = problem.stations, problem.base, problem.pairs
    asks = tuple(
        tuple(dict.fromkeys(pairs.index((one.north, one.kind)) for one in station.asked))
        for station in stations
    )
    number = {station.code: place for place, station in enumerate(stations)}

    def from_m(group: str) -> tuple[float, ...]:
        mark = (starts or {}).get(group, base)
        return tuple(problem.way(mark, one.code).length_m if mark else 0.0 for one in stations)

    def met(group: str) -> frozenset[int]:
        codes = (had or {}).get(group, frozenset())
        return frozenset(pair for code in codes if code in number for pair in asks[number[code]])

    return Ground(
        station_of=tuple(
            place for place, station in enumerate(stations) for _ in range(station.places)
        ),
        apart_m=apart_m(problem),
        from_m=tuple(from_m(group.code) for group in problem.groups),
        home_m=tuple(problem.way(one.code, base).length_m if base else 0.0 for one in stations),
        asks=asks,
        pairs=len(pairs),
        follow_limit=problem.follow_limit,
        met=tuple(met(group.code) for group in problem.groups),
    )


def built(problem: Problem, at: Grid, begin: Begin | None = None) -> Rotation:
    """The rotation of a grid of stations, begun at the base or at each group's first station."""
    bases = {group.code: problem.base for group in problem.groups if problem.base}
    found = timed(at, problem, begin or Begin(bases))
    behind = behind_counts(at, len(problem.stations))
    return Rotation(
        problem=problem,
        rounds=found.rounds,
        walks=found.walks,
        minutes=found.until_min,
        posts=posts(problem, found.rounds, found.walks),
        behind=sum(count - 1 for count in behind.values() if count > 1),
        follows=max(follow_counts(at).values(), default=0),
    )
