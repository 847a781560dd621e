"""Better grids, step by step, by exchanges that keep the hard promises.

Each exchange follows its consequences until nothing collides any more (chains of A. B. Kempe, used
here on groups, rounds and places): two rounds, two places or two groups change sides. Grids that
are a little worse are taken now and then (simulated annealing: S. Kirkpatrick and others, Science
220 (1983) 671-680, from memory), the best one seen is kept.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from .rotation_cost import Cost, Ground, cost
from .rotation_grid import WAITS, Grid

# grids looked at times groups times rounds: a second or two on a small computer. A number of steps
# and not a time, so that the same generator state gives the same rotation everywhere.
CELLS = 900_000
MOST_STEPS = 8_000
COLD = 0.02  # of the first temperature, at the end; no source, by trial

Windows = Sequence[tuple[int, int]]  # stretches of rounds: from, until
Exchange = Callable[[Grid, Ground, tuple[int, int], np.random.Generator], Grid]


def improved(
    starts: Sequence[Grid],
    ground: Ground,
    rng: np.random.Generator,
    windows: Windows,
    exchanges: Sequence[Exchange] = (),
) -> Grid:
    """The best grid found from some to begin with; never worse than the best of these.

    `windows` are stretches of rounds with the same groups in them: rounds are exchanged within one.
    `exchanges`: which are made, EXCHANGES unless said; ROUND_EXCHANGES leave each group the
    stations that it has.
    """
    best = min(starts, key=lambda grid: cost(grid, ground).order)
    wide = [window for window in windows if window[1] - window[0] >= 2]
    if not wide:
        return best
    steps = min(MOST_STEPS, CELLS // (len(best) * len(best[0]))) // len(starts)
    walk = _Walk(ground, rng, wide, exchanges or EXCHANGES)
    found = [best, *(walk.best_from(start, steps) for start in starts)]
    return min(found, key=lambda grid: cost(grid, ground).order)


class _Walk:
    """A way from grid to grid."""

    def __init__(
        self,
        ground: Ground,
        rng: np.random.Generator,
        windows: Windows,
        exchanges: Sequence[Exchange],
    ) -> None:
        self.ground, self.rng = ground, rng
        self.windows, self.exchanges = windows, exchanges
        self.fine_m = _fine_m(ground)

    def best_from(self, start: Grid, steps: int) -> Grid:
        """The best grid seen on one way of so many steps."""
        grid, now = start, cost(start, self.ground)
        best, least = grid, now
        for step in range(steps):
            changed = self._changed(grid)
            then = cost(changed, self.ground)
            worse_m = self._weighed_m(then) - self._weighed_m(now)
            warmth_m = self.fine_m * COLD ** (step / steps)
            if worse_m <= 0.0 or self.rng.random() < math.exp(-worse_m / warmth_m):
                grid, now = changed, then
                if now.order < least.order:
                    best, least = grid, now
        return best

    def _changed(self, grid: Grid) -> Grid:
        """A grid after one exchange."""
        window = self.windows[int(self.rng.integers(len(self.windows)))]
        exchange = self.exchanges[int(self.rng.integers(len(self.exchanges)))]
        return exchange([list(row) for row in grid], self.ground, window, self.rng)

    def _weighed_m(self, found: Cost) -> float:
        """One number for a cost on the way; the best is kept by its order and not by this."""
        return found.worth_m + self.fine_m * (2.0 * found.behind + found.follows)


def _fine_m(ground: Ground) -> float:
    """What one repeat too many costs on the way, metres: a walk between stations."""
    apart_m = [metres for row in ground.apart_m for metres in row if metres]
    return sum(apart_m) / len(apart_m) if apart_m else 1.0


def exchange_rounds(
    grid: Grid, ground: Ground, window: tuple[int, int], rng: np.random.Generator
) -> Grid:
    """One group has what it had in one round in another, and so has everyone in its way."""
    one, other = _two(range(*window), rng)
    first = int(rng.integers(len(grid)))
    by_place = [
        {row[turn]: group for group, row in enumerate(grid) if row[turn] != WAITS}
        for turn in (one, other)
    ]
    chain, new = {first}, [first]
    while new:
        row = grid[new.pop()]
        for place, elsewhere in ((row[one], by_place[1]), (row[other], by_place[0])):
            met = elsewhere.get(place)
            if met is not None and met not in chain:
                chain.add(met)
                new.append(met)
    for group in chain:
        row = grid[group]
        row[one], row[other] = row[other], row[one]
    return grid


def turn_rounds(
    grid: Grid, ground: Ground, window: tuple[int, int], rng: np.random.Generator
) -> Grid:
    """A stretch of rounds goes the other way round for all."""
    one, other = sorted(_two(range(*window), rng))
    for row in grid:
        row[one : other + 1] = row[one : other + 1][::-1]
    return grid


def exchange_places(
    grid: Grid, ground: Ground, window: tuple[int, int], rng: np.random.Generator
) -> Grid:
    """Who is at one place in a round is at another, and so on, as the group was there before."""
    if len(ground.station_of) < 2:
        return grid
    one, other = _two(range(len(ground.station_of)), rng)
    undone = [list(row) for row in grid]
    turns, done = [int(rng.integers(*window))], set()
    while turns:
        turn = turns.pop()
        if turn in done:
            continue
        done.add(turn)
        for row in grid:
            if row[turn] in (one, other):
                row[turn] = other if row[turn] == one else one
                turns += _again(row, turn, ground)
    # at a station of two places a group may be at the one that is not exchanged
    is_sound = not any(_again(row, turn, ground) for row in grid for turn in done)
    return grid if is_sound else undone


def exchange_groups(
    grid: Grid, ground: Ground, window: tuple[int, int], rng: np.random.Generator
) -> Grid:
    """Two groups exchange what they do in one round, and in others as far as they must; not so that
    one would wait more than before.
    """
    if len(grid) < 2:
        return grid
    mine, yours = (grid[group] for group in _two(range(len(grid)), rng))
    undone = list(mine), list(yours)
    turns, done = [int(rng.integers(*window))], set()
    while turns:
        turn = turns.pop()
        if turn in done:
            continue
        done.add(turn)
        mine[turn], yours[turn] = yours[turn], mine[turn]
        turns += [*_again(mine, turn, ground), *_again(yours, turn, ground)]
    if mine.count(WAITS) != undone[0].count(WAITS):
        mine[:], yours[:] = undone
    return grid


def _again(row: Sequence[int], turn: int, ground: Ground) -> list[int]:
    """The other rounds in which a row is at the station of a round."""
    if row[turn] == WAITS:
        return []
    of = ground.station_of
    station = of[row[turn]]
    return [
        then
        for then, place in enumerate(row)
        if then != turn and place != WAITS and of[place] == station
    ]


def _two(numbers: range, rng: np.random.Generator) -> tuple[int, int]:
    """Two different ones of two or more."""
    one = int(rng.integers(len(numbers)))
    other = int(rng.integers(len(numbers) - 1))
    return numbers[one], numbers[other + (other >= one)]


ROUND_EXCHANGES: tuple[Exchange, ...] = (exchange_rounds, exchange_rounds, turn_rounds)
EXCHANGES: tuple[Exchange, ...] = (*ROUND_EXCHANGES, exchange_places, exchange_groups)
