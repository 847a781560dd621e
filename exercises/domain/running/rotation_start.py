"""Grids to begin with: a loop one way, both ways, or in Williams' order; or visits coloured."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from .rotation_grid import Grid, coloured, cycle, placed, rounds_needed, spread, visits


def starts(
    groups: int, places: Sequence[int], apart_m: Sequence[Sequence[float]], rounds: int
) -> list[Grid]:
    """Grids of places that keep the hard promises, the plainest first: for all stations a short
    loop, one way and, where that can be, both ways and in Williams' order; for fewer rounds than
    all stations need, as many visits as there can be.
    """
    order = loop(apart_m)
    needed = rounds_needed(groups, places)
    if rounds < needed:
        return [coloured(visits(groups, places, rounds), groups, places, rounds)]
    slots = spread(order, needed)
    each_way = (1,) * needed
    ways = [cycle(groups, slots, each_way)]
    if needed % 2 == 0:
        ways += [
            cycle(groups, slots, each_way, both_ways=True),
            cycle(groups, slots, williams(needed)),
        ]
    return [placed(grid, places) for grid in ways]


def williams(count: int) -> tuple[int, ...]:
    """The steps of Williams' order on an even number of slots: 1, -2, 3, -4 and so on. Round a loop
    all are different, and so nobody comes just after the same group twice.

    Source: E. J. Williams, Experimental designs balanced for the estimation of residual effects of
    treatments, Australian Journal of Scientific Research A 2 (1949) 149-168, from memory.

    >>> list(itertools.accumulate(williams(6), initial=0))[:6]
    [0, 1, -1, 2, -2, 3]
    """
    return (*(step if step % 2 else -step for step in range(1, count)), 0)


def loop(apart_m: Sequence[Sequence[float]]) -> list[int]:
    """A short way round all stations and back: the nearest next one, then parts turned round for as
    long as that shortens it. `apart_m` is (stations, stations), metres.
    """
    order, left = [0], list(range(1, len(apart_m)))
    while left:
        order.append(min(left, key=lambda one: (apart_m[order[-1]][one], one)))
        left.remove(order[-1])
    length_m, is_better = round_m(order, apart_m), True
    while is_better:
        is_better = False
        for begin, end in itertools.combinations(range(1, len(order) + 1), 2):
            turned = order[:begin] + order[begin:end][::-1] + order[end:]
            turned_m = round_m(turned, apart_m)
            if turned_m < length_m - 1e-9:
                order, length_m, is_better = turned, turned_m, True
    return order


def round_m(order: Sequence[int], apart_m: Sequence[Sequence[float]]) -> float:
    """The length of a way round all and back, metres."""
    return sum(
        apart_m[one][other] for one, other in zip(order, (*order[1:], order[0]), strict=True)
    )
