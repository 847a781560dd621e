"""The rest of a rotation with as little changed as can be: people hold it on paper and in mind."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from .rotation import Rotation, built
from .rotation_grid import WAITS, Grid, Pair, coloured
from .rotation_left import needed
from .rotation_live import State
from .rotation_timing import Begin, Round
from .rotation_values import Problem


def rest_as_planned(
    rotation: Rotation, to_come: Sequence[Round], state: State, from_min: float
) -> Rotation | None:
    """The rounds to come as they are planned, from a minute on, with what groups miss by now put
    where they would wait, and then into rounds more; these as far as there is time for them.

    None where there is no time for the rounds as they are planned. A group that is away has no
    round that begins before it is back, and one that stays away has none. The hard promises hold.
    """
    problem = rotation.problem
    grid = _planned(problem, to_come, state)
    left = _into_waits(grid, _missed(problem, grid, state), to_come, problem, state)
    places = [station.places for station in problem.stations]
    more = coloured(left, len(grid), places, needed(left, places))
    station_of = [at for at, count in enumerate(places) for _ in range(count)]
    bases = {group.code: problem.base for group in problem.groups if problem.base}
    begin = Begin({**bases, **state.starts()}, from_min, state.back_min)
    for count in range(len(more[0]) if more else 0, -1, -1):
        rows = [
            row + [station_of[place] if place != WAITS else WAITS for place in extra[:count]]
            for row, extra in zip(grid, more, strict=True)
        ]
        found = built(problem, _without_empty(rows), begin)
        if problem.minutes is None or found.minutes <= problem.minutes:
            return found
    return None


def _without_empty(grid: Grid) -> Grid:
    """A grid without the rounds in which nobody is anywhere any more."""
    used = [turn for turn, column in enumerate(zip(*grid, strict=True)) if set(column) != {WAITS}]
    return [[row[turn] for turn in used] for row in grid]


def _planned(problem: Problem, to_come: Sequence[Round], state: State) -> Grid:
    """The grid of the rounds to come, without the stations that a group has had meanwhile, and
    those while it is away.
    """
    number = {station.code: at for at, station in enumerate(problem.stations)}
    return [
        [
            number[one.at[group.code]]
            if group.code in one.at
            and one.at[group.code] not in state.had(group.code)
            and _is_back(group.code, one, state.back_min)
            else WAITS
            for one in to_come
        ]
        for group in problem.groups
    ]


def _is_back(group: str, one: Round, back_min: Mapping[str, float]) -> bool:
    """Whether a group is back when a round begins."""
    return back_min.get(group, one.from_min) <= one.from_min


def _missed(problem: Problem, grid: Grid, state: State) -> list[Pair]:
    """The visits that no round to come has, of the groups that come back."""
    return [
        (row, at)
        for row, group in enumerate(problem.groups)
        for at, station in enumerate(problem.stations)
        if station.code not in state.had(group.code)
        and at not in grid[row]
        and not math.isinf(state.back_min.get(group.code, 0.0))
    ]


def _into_waits(
    grid: Grid, missed: Sequence[Pair], to_come: Sequence[Round], problem: Problem, state: State
) -> list[Pair]:
    """Put visits where their group would wait and the station has a place; those for which there
    is none are given back.
    """
    left = []
    for row, at in missed:
        free = (
            turn
            for turn, one in enumerate(to_come)
            if grid[row][turn] == WAITS
            and _is_back(problem.groups[row].code, one, state.back_min)
            and sum(other[turn] == at for other in grid) < problem.stations[at].places
        )
        turn = next(free, None)
        if turn is None:
            left.append((row, at))
        else:
            grid[row][turn] = at
    return left
