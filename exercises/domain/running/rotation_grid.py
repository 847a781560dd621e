"""Who is where in which round, as a grid that keeps the hard promises by the way it is made.

A station that takes two groups at once has two *places*. Groups, places and rounds are numbered
from 0. A grid has a row for each group and a column for each round: the number of a place, or
WAITS. No place twice in a column, no station twice in a row.
"""

from __future__ import annotations

from collections.abc import Sequence

WAITS = -1
Grid = list[list[int]]  # (groups, rounds): places, or WAITS
Pair = tuple[int, int]  # a group and a station


def rounds_needed(groups: int, places: Sequence[int]) -> int:
    """The fewest rounds in which some groups can each be at every station once: one for each
    station, and more where the station with the fewest places cannot take all groups in these.
    `places` are those of each station, 1 or more. There is such a grid: `cycle` makes it.

    >>> rounds_needed(3, [1, 1, 1, 1]), rounds_needed(5, [1, 2, 2])
    (4, 5)
    """
    return max(len(places), *(-(-groups // count) for count in places))


def visits(groups: int, places: Sequence[int], rounds: int) -> list[Pair]:
    """Who goes where, if there are so many rounds: as many visits as there can be, and as many to
    each group, to one. Stations in order are filled first, each by those who have the least.

    None can have more: a group is at one station in a round, and a station takes as many groups as
    it has places.
    """
    had = [0] * groups
    found = []
    for station, count in enumerate(places):
        able = [group for group in range(groups) if had[group] < rounds]
        # those with the least first; begun elsewhere at each station, so that not the same ones are
        # left over
        able = able[station % len(able) :] + able[: station % len(able)] if able else []
        able.sort(key=had.__getitem__)
        for group in able[: count * rounds]:
            had[group] += 1
            found.append((group, station))
    return found


def cycle(
    groups: int, slots: Sequence[int], steps: Sequence[int], *, both_ways: bool = False
) -> Grid:
    """Everybody round one loop of slots (stations, or WAITS), begun as far apart as can be, and by
    so many slots further from each round to the next: one at a time, or the steps of
    `rotation_start.williams`.

    `both_ways`: the groups that begin at odd slots go the other way round. With single steps and an
    even number of slots two that go against each other are never at one slot: in each round the
    ones are at even slots and the others at odd ones.

    More groups than slots begin two and more at one slot: there are so many places at each
    (`rounds_needed`), and `placed` tells them apart.
    """
    count = len(slots)
    grid = []
    for group in range(groups):
        slot = group * count // groups if groups <= count else group % count
        way = -1 if both_ways and slot % 2 else 1
        row = []
        for step in steps:
            row.append(slots[slot % count])
            slot += way * step
        grid.append(row)
    return grid


def spread(order: Sequence[int], rounds: int) -> list[int]:
    """A loop of so many slots: the stations in order, and between them, evenly, slots to wait."""
    slots = [WAITS] * rounds
    for turn, station in enumerate(order):
        slots[turn * rounds // len(order)] = station
    return slots


def placed(stations_at: Grid, places: Sequence[int]) -> Grid:
    """A grid of stations as one of places: those who are at one station in one round get different
    places of it, in order of groups.
    """
    first = [sum(places[:station]) for station in range(len(places))]
    grid = [list(row) for row in stations_at]
    for turn in range(len(grid[0]) if grid else 0):
        taken = [0] * len(places)
        for row in grid:
            station = row[turn]
            if station != WAITS:
                row[turn] = first[station] + taken[station]
                taken[station] += 1
    return grid


def coloured(pairs: Sequence[Pair], groups: int, places: Sequence[int], rounds: int) -> Grid:
    """Visits put into rounds, so that none collide: an edge colouring of groups against places.

    It exists where no group has more visits than there are rounds, and no place either (D. König,
    Mathematische Annalen 77 (1916) 453-465, from memory), and is found by exchanging two rounds
    along a path whenever a group and a place have no round free in common. The visits of a
    station are dealt out evenly to its places. Raises ValueError where there are too many.
    """
    first = [sum(places[:station]) for station in range(len(places))]
    dealt = [0] * len(places)
    by_group = [[WAITS] * rounds for _ in range(groups)]
    by_place = [[WAITS] * rounds for _ in range(sum(places))]
    for group, station in pairs:
        place = first[station] + dealt[station] % places[station]
        dealt[station] += 1
        mine, its = by_group[group].index(WAITS), by_place[place].index(WAITS)
        _free(by_group, by_place, place, mine, its)
        by_group[group][mine], by_place[place][mine] = place, group
    return by_group


def _free(by_group: Grid, by_place: Grid, place: int, mine: int, its: int) -> None:
    """Makes a place free in the round `mine`, in which a group is free, by exchanging it with the
    round `its` along the path that begins at the place. The path never comes to the group: it
    would have to come by the round in which that is free.
    """
    path = []
    while (group := by_place[place][mine]) != WAITS:
        path.append((group, place, mine))
        place = by_group[group][its]
        if place == WAITS:
            break
        path.append((group, place, its))
    for group, place_then, turn in path:
        by_group[group][turn] = by_place[place_then][turn] = WAITS
    for group, place_then, turn in path:
        other = its if turn == mine else mine
        by_group[group][other], by_place[place_then][other] = place_then, group
