"""A grid of the visits that are left while a rotation runs; groups may be away for a while."""

from __future__ import annotations

from collections.abc import Sequence

from .rotation_grid import WAITS, Grid, Pair, coloured


def remaining(
    left: Sequence[Sequence[int]],
    away: Sequence[int | None],
    places: Sequence[int],
    most: int | None,
) -> tuple[Grid, list[tuple[int, int]]]:
    """A grid of places in which each group gets the stations that are left for it, in as few rounds
    as that takes, or in `most`; and the stretches of rounds with the same groups there (from,
    until).

    `left`: the stations of each group; `away`: in how many rounds it is not there yet, None for
    one that stays away. In `most` rounds those with the most left come first.
    """
    rows: Grid = [[] for _ in left]
    undone = {(group, station) for group, stations in enumerate(left) for station in stations}
    stretches = []
    joins = sorted({rounds for rounds in away if rounds is not None})
    for begin, until in zip(joins, (*joins, None)[1:], strict=True):
        pairs = [
            pair for pair in sorted(undone) if (gone := away[pair[0]]) is not None and gone <= begin
        ]
        limits = [limit for limit in (most, until) if limit is not None]
        done = len(rows[0])
        count = max(0, min((limit - done for limit in limits), default=needed(pairs, places)))
        part = _part(pairs, count, len(left), places)
        for group, more in enumerate(part):
            rows[group] += more
            undone -= {(group, _station(place, places)) for place in more if place != WAITS}
        stretches.append((done, len(rows[0])))
    return rows, stretches


def needed(pairs: Sequence[Pair], places: Sequence[int]) -> int:
    """The fewest rounds for some visits: the most that a group has, or a place."""
    groups = [group for group, _ in pairs]
    stations = [station for _, station in pairs]
    of_groups = [groups.count(group) for group in set(groups)]
    of_places = [-(-stations.count(station) // places[station]) for station in set(stations)]
    return max([0, *of_groups, *of_places])


def _part(pairs: Sequence[Pair], count: int, groups: int, places: Sequence[int]) -> Grid:
    """Visits in no more than so many rounds: all, or as many as each group and station can have,
    beginning with the groups that have most left.
    """
    count = min(count, needed(pairs, places))
    chosen = pairs if count == needed(pairs, places) else _fewer(pairs, count, places)
    return coloured(chosen, groups, places, count)


def _fewer(pairs: Sequence[Pair], rounds: int, places: Sequence[int]) -> list[Pair]:
    """Visits for which there is time: station by station, the scarcest first, each by the groups
    that would miss most.
    """
    missing: dict[int, int] = {}
    by_station: dict[int, list[int]] = {}
    for group, station in pairs:
        missing[group] = missing.get(group, 0) + 1
        by_station.setdefault(station, []).append(group)
    had = dict.fromkeys(missing, 0)
    chosen = []
    for station, groups in sorted(by_station.items(), key=lambda one: (len(one[1]), one[0])):
        able = sorted(
            (group for group in groups if had[group] < rounds),
            key=lambda group: (-missing[group], had[group], group),
        )
        for group in able[: places[station] * rounds]:
            had[group] += 1
            missing[group] -= 1
            chosen.append((group, station))
    return chosen


def _station(place: int, places: Sequence[int]) -> int:
    """The station of a place."""
    return [at for at, count in enumerate(places) for _ in range(count)][place]
