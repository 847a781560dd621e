"""A rotation while it runs: who is ahead or behind, and a new one for what remains."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from .rotation import Rotation, built, ground_of
from .rotation_grid import WAITS, Grid
from .rotation_left import remaining
from .rotation_search import ROUND_EXCHANGES, improved
from .rotation_timing import Begin


@dataclass(frozen=True)
class Visit:
    """A group at a station, minutes from the start of the rotation; `until_min` is None while it
    is there.
    """

    group: str
    station: str
    from_min: float
    until_min: float | None = None


@dataclass(frozen=True)
class State:
    """How a class stands: the visits so far, in any order, and of groups that are away the minute
    from which they are expected back. A group that is late at a station counts as away until then.
    """

    visits: tuple[Visit, ...] = ()
    back_min: Mapping[str, float] = field(default_factory=dict)

    def of(self, group: str) -> list[Visit]:
        """The visits of a group, in order of time."""
        mine = (visit for visit in self.visits if visit.group == group)
        return sorted(mine, key=lambda visit: visit.from_min)

    def had(self, group: str) -> frozenset[str]:
        """The stations that a group has had, or is at."""
        return frozenset(visit.station for visit in self.visits if visit.group == group)

    def starts(self) -> dict[str, str]:
        """Where each group was last."""
        groups = {visit.group for visit in self.visits}
        return {group: self.of(group)[-1].station for group in groups}


def standing(rotation: Rotation, state: State, now_min: float) -> dict[str, float]:
    """By how many minutes each group is ahead (positive) or behind (negative), at a minute of the
    rotation.

    Counts are compared, in whatever order stations were visited. A group at its k-th station is
    ahead by what it began earlier than planned for a k-th one, and no more than what is left until
    that should end. One that is between stations is ahead by what it ended its last one earlier,
    and no more than what is left until the next one should begin. So who skips a station, or stays
    too long, falls behind by the minute. At the start all are at 0.
    """
    return {
        group.code: _ahead_min(rotation, state.of(group.code), group.code, now_min)
        for group in rotation.problem.groups
    }


def _ahead_min(rotation: Rotation, visits: Sequence[Visit], group: str, now_min: float) -> float:
    """By how many minutes one group is ahead; `visits` are its own, in order of time."""
    plan = [(one.from_min, one.until_min) for one in rotation.rounds if group in one.at]
    ended = [visit.until_min for visit in visits if visit.until_min is not None]
    under_way = [visit.from_min for visit in visits if visit.until_min is None]
    count = min(len(ended), len(plan))
    ahead_min = plan[count - 1][1] - max(ended) if count else 0.0
    if count == len(plan):
        return ahead_min
    from_min, until_min = plan[count]
    if under_way:
        return min(from_min - under_way[-1], until_min - now_min)
    return min(ahead_min, from_min - now_min)


def replan(
    rotation: Rotation, state: State, now_min: float, *, rng: np.random.Generator
) -> Rotation:
    """A new rotation for what remains, from the end of the round that is under way, or from now.

    A group that skipped a station, or came late, is taken up again: each gets every station of the
    problem that it has not had, in as few rounds as that takes, or, where the time is short, in
    those that fit; then those who have had the least come first. The hard promises hold for the new
    rounds, and no group goes back to a station that it has had. Groups that are away wait until
    they are back. Rounds, walks and posts are those to come; minutes still count from the start.

    Raises NoRotation where helpers became too few (`Problem`); an empty rotation is one that ends.
    """
    left = _Left(rotation, state, now_min)
    fitting = left.all_rounds
    while fitting and not left.fits(left.built(left.grid(fitting)[0])):
        fitting -= 1
    grid, windows = left.grid(fitting)
    ground = ground_of(rotation.problem, left.starts, left.had)
    better = improved([grid], ground, rng, windows, ROUND_EXCHANGES) if fitting else grid
    found = left.built(better)
    return found if left.fits(found) else left.built(grid)


class _Left:
    """What is left of a rotation, by numbers of groups and stations."""

    def __init__(self, rotation: Rotation, state: State, now_min: float) -> None:
        self.problem = problem = rotation.problem
        self.places = [station.places for station in problem.stations]
        under_way = (one for one in rotation.rounds if one.from_min <= now_min < one.until_min)
        self.from_min = max((one.until_min for one in under_way), default=now_min)
        bases = {group.code: problem.base for group in problem.groups if problem.base}
        self.starts = {**bases, **state.starts()}
        self.had = {group.code: state.had(group.code) for group in problem.groups}
        self.back_min = dict(state.back_min)
        self.away = [self._rounds_away(group.code) for group in problem.groups]
        self.all_rounds = len(self.grid(None)[0][0])

    def _rounds_away(self, group: str) -> int | None:
        """Before how many new rounds a group is surely not back; None for one that stays away. No
        round is shorter than the quickest station, or taken for less than a minute.
        """
        away_min = self.back_min.get(group, self.from_min) - self.from_min
        quickest_min = max(1.0, min(one.minutes for one in self.problem.stations))
        return None if math.isinf(away_min) else max(0, math.ceil(away_min / quickest_min))

    def grid(self, most: int | None) -> tuple[Grid, list[tuple[int, int]]]:
        """A grid of what is left, as `rotation_left.remaining` has it."""
        left = [
            [at for at, one in enumerate(self.problem.stations) if one.code not in had]
            for had in self.had.values()
        ]
        return remaining(left, self.away, self.places, most)

    def built(self, grid: Grid) -> Rotation:
        """The rotation of a grid of places."""
        stations = [at for at, count in enumerate(self.places) for _ in range(count)]
        at = [[stations[place] if place != WAITS else WAITS for place in row] for row in grid]
        when = Begin(self.starts, self.from_min, self.back_min)
        return built(self.problem, at, when)

    def fits(self, rotation: Rotation) -> bool:
        """Whether it ends within the time there is."""
        return self.problem.minutes is None or rotation.minutes <= self.problem.minutes
