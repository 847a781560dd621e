"""The walk from station to station: how far, how much up, how long, over what, and in which order.

Straight over the ground from mark to mark: a path is longer. Heights that nobody gave stand as 0
metres, and are taken for unknown.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..earth import geodesy
from ..tasks.site import Site
from .hazards import Hazard, crossed

# W. W. Naismith, Scottish Mountaineering Club Journal 2 (1892), 136: "an hour for every three miles
# on the map, with an additional hour for every 2,000 feet of ascent"; in round metric figures
NAISMITH_M_AN_HOUR, NAISMITH_CLIMB_M_AN_HOUR = 5000.0, 600.0
MINUTES = 60.0
LONGEST_SEARCH = 9  # stations up to which every order is tried; more are improved step by step
AROUND_MIN = 1000.0  # a way over a danger counts so many minutes: no detour is as long


@dataclass(frozen=True)
class Walk:
    """The way from station to station in the order of the tasks, and the quickest order of the
    stations found that crosses no more dangers than it must, with its length, minutes and dangers.

    `climb_m` is the ascent, None where the height of a station is not known; then `minutes` are
    those of the level way. `again` are the stations to which one comes back, each once, with the
    metres until then.
    """

    stations: tuple[str, ...]
    length_m: float
    climb_m: float | None
    minutes: float
    best: tuple[str, ...]
    best_m: float
    best_minutes: float
    crossings: int
    best_crossings: int
    again: tuple[tuple[str, float], ...]


def walk(stations: Iterable[str], site: Site, hazards: Sequence[Hazard] = ()) -> Walk:
    """The walk through stations in order; neighbours that are the same count once."""
    stations = tuple(station for station, _ in itertools.groupby(stations))
    best = shortest_order(tuple(dict.fromkeys(stations)), site, hazards)
    legs = _Legs(best, site, hazards)
    return Walk(
        stations=stations,
        length_m=legs.length_m(stations),
        climb_m=legs.climb_m(stations),
        minutes=legs.minutes(stations),
        best=best,
        best_m=legs.length_m(best),
        best_minutes=legs.minutes(best),
        crossings=legs.crossings(stations),
        best_crossings=legs.crossings(best),
        again=tuple(_again(stations, legs)),
    )


def _again(stations: Sequence[str], legs: _Legs) -> Iterator[tuple[str, float]]:
    """The stations to which a walk comes back, with the metres until then."""
    for station in dict.fromkeys(stations):
        if stations.count(station) > 1:
            first = stations.index(station)
            back = stations.index(station, first + 1)
            yield station, legs.length_m(stations[first : back + 1])


def naismith_minutes(length_m: float, climb_m: float) -> float:
    """How long a walk takes by Naismith's rule, minutes: an hour for 5 kilometres, and an hour more
    for 600 metres of ascent. Source: Naismith (1892), as above. Metres, neither below 0.

    >>> naismith_minutes(5000.0, 600.0)
    120.0
    """
    hours = length_m / NAISMITH_M_AN_HOUR + climb_m / NAISMITH_CLIMB_M_AN_HOUR
    return MINUTES * hours


def shortest_order(
    stations: Sequence[str], site: Site, hazards: Sequence[Hazard] = ()
) -> tuple[str, ...]:
    """A quick walk that begins at the first station and visits each once, over as few dangers as
    may be: the quickest for a few, improved by reversals for more.
    """
    if len(stations) <= 2:
        return tuple(stations)
    legs = _Legs(stations, site, hazards)
    if len(stations) <= LONGEST_SEARCH:
        orders = ((stations[0], *rest) for rest in itertools.permutations(stations[1:]))
        return min(orders, key=legs.cost)
    return tuple(_reversed_while_quicker(_nearest_next(stations, legs), legs))


class _Legs:
    """The ways between stations, each computed once."""

    def __init__(self, stations: Sequence[str], site: Site, hazards: Sequence[Hazard]) -> None:
        places = {code: site.point(code).position for code in stations}
        self.is_known = all(place.elevation_m is not None for place in places.values())
        self.apart_m = {}
        self.up_m = {}
        self.is_danger = {}
        for one, other in itertools.combinations(stations, 2):
            pairs = (one, other), (other, one)
            apart_m = geodesy.apart_m(places[one], places[other])
            is_danger = bool(crossed(places[one], places[other], hazards))
            for here, there in pairs:
                rise_m = places[there].assumed_height_m - places[here].assumed_height_m
                self.apart_m[here, there] = apart_m
                self.up_m[here, there] = max(0.0, rise_m) if self.is_known else 0.0
                self.is_danger[here, there] = is_danger
        self._costs = {
            pair: naismith_minutes(self.apart_m[pair], self.up_m[pair])
            + AROUND_MIN * self.is_danger[pair]
            for pair in self.apart_m
        }

    def length_m(self, order: Sequence[str]) -> float:
        """The length of a walk, metres."""
        return sum(self.apart_m[pair] for pair in itertools.pairwise(order))

    def climb_m(self, order: Sequence[str]) -> float | None:
        """Its ascent, metres, or None where heights are not known."""
        if not self.is_known:
            return None
        return sum(self.up_m[pair] for pair in itertools.pairwise(order))

    def minutes(self, order: Sequence[str]) -> float:
        """How long it takes, minutes, level where heights are not known."""
        return naismith_minutes(self.length_m(order), self.climb_m(order) or 0.0)

    def crossings(self, order: Sequence[str]) -> int:
        """Over how many of its ways a danger lies."""
        return sum(self.is_danger[pair] for pair in itertools.pairwise(order))

    def cost(self, order: Sequence[str]) -> float:
        """Minutes, with a way over a danger as long as no detour."""
        return sum(self._costs[pair] for pair in itertools.pairwise(order))

    def cheapest(self, here: str, left: Sequence[str]) -> str:
        """Which of the stations that are left is reached first."""
        return min(left, key=lambda station: (self._costs[here, station], station))


def _nearest_next(stations: Sequence[str], legs: _Legs) -> list[str]:
    """The walk that goes on to whichever station is reached first."""
    order, left = [stations[0]], list(stations[1:])
    while left:
        order.append(legs.cheapest(order[-1], left))
        left.remove(order[-1])
    return order


def _reversed_while_quicker(order: list[str], legs: _Legs) -> list[str]:
    """A walk with parts of it turned round for as long as that makes it quicker."""
    improved = True
    while improved:
        improved = False
        for begin, end in itertools.combinations(range(1, len(order) + 1), 2):
            turned = order[:begin] + order[begin:end][::-1] + order[end:]
            if legs.cost(turned) < legs.cost(order) - 1e-9:
                order, improved = turned, True
    return order


def safely_joined(
    stations: Sequence[str], site: Site, hazards: Sequence[Hazard]
) -> list[frozenset[str]]:
    """The stations in groups within which one may walk from mark to mark over no danger, straight
    or by way of others.
    """
    groups: list[frozenset[str]] = []
    for station in stations:
        here = site.point(station).position
        joined = [
            group
            for group in groups
            if any(not crossed(here, site.point(code).position, hazards) for code in group)
        ]
        groups = [group for group in groups if group not in joined]
        groups.append(frozenset({station}).union(*joined))
    return groups
