"""What is good about a grid of groups and rounds: nobody behind those whose answers they could
copy, short walks, each north and kind early.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .rotation_grid import WAITS, Grid

# what it is worth that a group meets its norths and kinds a round earlier on the average, in metres
# of walk for each group; no source
LATE_M = 10.0


@dataclass(frozen=True)
class Cost:
    """What a grid costs; the less the better, in this order.

    `behind`: how often somebody walks right behind or beside the same group again, beyond the first
    time. `follows`: how often somebody comes to a station just after the same group, beyond the
    limit. `worth_m`: metres that a group walks on the average, and those of the group that walks
    most, and the rounds until norths and kinds are met, at LATE_M each.
    """

    behind: int
    follows: int
    worth_m: float

    @property
    def order(self) -> tuple[int, int, float]:
        """By which two are compared."""
        return self.behind, self.follows, self.worth_m


@dataclass(frozen=True)
class Ground:
    """What the cost of a grid is reckoned from, by numbers of stations.

    `station_of` gives the station of each place; `apart_m` is (stations, stations), metres;
    `from_m` (groups, stations), metres from where a group is before the first round; `home_m`
    those back to the base, 0 where there is none. `asks` are the numbers of the pairs of north and
    kind that a station asks, `pairs` how many there are; `met` those a group has met (replanned).
    """

    station_of: tuple[int, ...]
    apart_m: tuple[tuple[float, ...], ...]
    from_m: tuple[tuple[float, ...], ...]
    home_m: tuple[float, ...]
    asks: tuple[tuple[int, ...], ...]
    pairs: int
    follow_limit: int
    met: tuple[frozenset[int], ...]

    @property
    def groups(self) -> int:
        """How many groups."""
        return len(self.from_m)

    def stations(self, grid: Grid) -> Grid:
        """The grid of stations of one of places."""
        of = self.station_of
        return [[of[place] if place != WAITS else WAITS for place in row] for row in grid]


def cost(grid: Grid, ground: Ground) -> Cost:
    """What a grid of places costs."""
    at = ground.stations(grid)
    behind, follows = behind_counts(at, len(ground.home_m)), follow_counts(at)
    limit = ground.follow_limit
    walks_m = [walked_m(row, group, ground) for group, row in enumerate(at)]
    late = sum(lateness(row, group, ground) for group, row in enumerate(at))
    worth_m = math.fsum(walks_m) / len(walks_m) + max(walks_m)
    return Cost(
        sum(count - 1 for count in behind.values() if count > 1),
        sum(count - limit for count in follows.values() if count > limit),
        worth_m + LATE_M * late / (len(walks_m) * max(1, ground.pairs)),
    )


def walked_m(row: Sequence[int], group: int, ground: Ground) -> float:
    """The metres that a group walks by its row of stations, from where it is, and home."""
    total_m, last = 0.0, WAITS
    for station in row:
        if station == WAITS:
            continue
        if last == WAITS:
            total_m += ground.from_m[group][station]
        else:
            total_m += ground.apart_m[last][station]
        last = station
    return total_m + (ground.home_m[last] if last != WAITS else 0.0)


def lateness(row: Sequence[int], group: int, ground: Ground) -> int:
    """The rounds that go by before a group meets each pair of north and kind, added up; one that
    it does not meet counts all rounds.
    """
    unmet = set(range(ground.pairs)) - ground.met[group]
    late = 0
    for turn, station in enumerate(row):
        if not unmet:
            break
        if station != WAITS:
            met = unmet.intersection(ground.asks[station])
            late += turn * len(met)
            unmet -= met
    return late + len(row) * len(unmet)


def _occupants(at: Grid) -> list[dict[int, list[int]]]:
    """By round: the groups at each station in use."""
    columns: list[dict[int, list[int]]] = []
    for column in zip(*at, strict=True):
        here: dict[int, list[int]] = {}
        for group, station in enumerate(column):
            if station != WAITS:
                here.setdefault(station, []).append(group)
        columns.append(here)
    return columns


def follow_counts(at: Grid) -> dict[tuple[int, int], int]:
    """(earlier, later) groups to the number of stations to which `later` comes in the round after
    that of `earlier`, or at which they are together: there it could hear the answers.
    """
    counts: dict[tuple[int, int], int] = {}
    before: dict[int, list[int]] = {}
    for here in _occupants(at):
        for station, groups in here.items():
            for later in groups:
                for earlier in (*before.get(station, ()), *groups):
                    if earlier != later:
                        counts[earlier, later] = counts.get((earlier, later), 0) + 1
        before = here
    return counts


def behind_counts(at: Grid, stations: int) -> dict[tuple[int, int], int]:
    """(ahead, behind) groups to the number of ways that `behind` walks from one station to another
    right behind `ahead`, arriving a round later, or at its side.
    """
    arrivals: dict[int, list[int]] = {}  # (way, round) as one number, to groups
    rounds = 1 + len(at[0]) if at else 1
    for group, row in enumerate(at):
        last = WAITS
        for turn, station in enumerate(row):
            if station == WAITS:
                continue
            if last != WAITS:
                key = (last * stations + station) * rounds + turn
                arrivals.setdefault(key, []).append(group)
            last = station
    counts: dict[tuple[int, int], int] = {}
    for key, groups in arrivals.items():
        for behind in groups:
            for ahead in (*arrivals.get(key - 1, ()), *groups):
                if ahead != behind:
                    counts[ahead, behind] = counts.get((ahead, behind), 0) + 1
    return counts
