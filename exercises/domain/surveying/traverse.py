"""A way of legs, each a bearing and a distance: where it ends, how far that misses, and how
uncertain a paced way is.

Metres east (departure) and north (latitude) on flat ground, true bearings in degrees.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ..earth import ellipse
from ..earth.angles import NotABearing, parse_bearing, wrap
from ..earth.ellipse import Covariance, Ellipse
from ..earth.geodesy import EastNorth
from ..words import say

# how straight a bearing is walked, one sigma after instruction; common practice, no source
WALKED_BEARING_DEG = 3.0
# pacing with practice on open ground, leg by leg ("Pacing", agricultural engineering text;
# University of Washington, course FE 345)
PACED_SHARE = 0.02
# what a person's own pace count leaves open, the same on every leg; common practice, no source
PACE_COUNT_SHARE = 0.03
MOST_LEGS, SHORTEST_LEG_M, LONGEST_LEG_M = 8, 5.0, 2000.0


class BadLegs(ValueError):
    """Legs that cannot be walked. The message says which and what to write."""


@dataclass(frozen=True)
class Leg:
    """One leg: a bearing in degrees and a distance in metres."""

    bearing_deg: float
    distance_m: float

    @property
    def departure_m(self) -> float:
        """Metres to the east."""
        return self.distance_m * math.sin(math.radians(self.bearing_deg))

    @property
    def latitude_m(self) -> float:
        """Metres to the north."""
        return self.distance_m * math.cos(math.radians(self.bearing_deg))

    def stretched(self, factor: float) -> Leg:
        """The same leg, longer or shorter by a factor."""
        return replace(self, distance_m=self.distance_m * factor)

    def turned(self, degrees: float) -> Leg:
        """The same leg along another bearing."""
        return replace(self, bearing_deg=wrap(self.bearing_deg + degrees))


@dataclass(frozen=True)
class Misclosure:
    """How far the end of a way misses where it should be: metres east and north, end minus right
    end, over a way of some length in metres.
    """

    east_m: float
    north_m: float
    length_m: float

    @property
    def linear_m(self) -> float:
        """The miss itself."""
        return math.hypot(self.east_m, self.north_m)

    def split(self, bearing_deg: float) -> tuple[float, float]:
        """The miss along a bearing (forward positive: paced too far) and across it (to the right
        positive: walked too far clockwise), metres.
        """
        angle = math.radians(bearing_deg)
        along_m = self.east_m * math.sin(angle) + self.north_m * math.cos(angle)
        across_m = self.east_m * math.cos(angle) - self.north_m * math.sin(angle)
        return along_m, across_m


def end(legs: Iterable[Leg]) -> EastNorth:
    """Where a way from the origin ends: the sums of departures and of latitudes, metres east and
    north.

    >>> tuple(round(metres, 6) for metres in end([Leg(90, 30), Leg(0, 40)]))
    (30.0, 40.0)
    """
    return math.fsum(leg.departure_m for leg in legs), math.fsum(leg.latitude_m for leg in legs)


def corners(legs: Sequence[Leg]) -> list[EastNorth]:
    """Where each leg of a way from the origin begins, and where the last one ends: metres east and
    north, one more than legs.
    """
    return [end(legs[:number]) for number in range(len(legs) + 1)]


def misclosure(legs: Sequence[Leg], east_m: float = 0.0, north_m: float = 0.0) -> Misclosure:
    """By how much a way misses a place (its own beginning, if none is named), as `Misclosure`.

    Source: the sums of latitudes and departures of any surveying text; checked against two
    published traverses in tests/domain/test_traverse.py.
    """
    end_east_m, end_north_m = end(legs)
    length_m = math.fsum(leg.distance_m for leg in legs)
    return Misclosure(end_east_m - east_m, end_north_m - north_m, length_m)


def ellipse_of(legs: Sequence[Leg], turned_deg: float = 0.0) -> Ellipse:
    """The standard error ellipse of where a paced way ends: bearings walked across each leg, paces
    along it, one pace count for all of them, and what turns all of them alike (`turned_deg`: the
    standard uncertainty of the declination, degrees).

    Independent errors add up as variances (JCGM 100, 5.1.2); the pace count stretches the whole way
    alike, so that it acts along the line from beginning to end, and a common turn across it.
    """
    parts = [ellipse.from_covariance(*_leg_covariance(leg)) for leg in legs]
    east, north = end(legs)
    straight_m, towards_deg = math.hypot(east, north), math.degrees(math.atan2(east, north))
    turned_m = straight_m * math.radians(turned_deg)
    return ellipse.added(
        *parts, ellipse.crosswise(towards_deg, straight_m * PACE_COUNT_SHARE, turned_m)
    )


def _leg_covariance(leg: Leg) -> Covariance:
    """Of where one leg ends, square metres."""
    along, across = leg.distance_m * PACED_SHARE, leg.distance_m * math.radians(WALKED_BEARING_DEG)
    s, c = math.sin(math.radians(leg.bearing_deg)), math.cos(math.radians(leg.bearing_deg))
    return (
        (along * s) ** 2 + (across * c) ** 2,
        (along * c) ** 2 + (across * s) ** 2,
        (along**2 - across**2) * s * c,
    )


# whole numbers, as they are told
LEG = re.compile(
    r"(?P<bearing>\d{1,3})(?:\s*(?:°|deg))?\s+(?P<distance>\d{1,4})\s*m?", re.IGNORECASE
)


def parse_legs(text: str) -> tuple[Leg, ...]:
    """Legs as typed, `040 60; 130 45 m`: a bearing and metres, legs apart by semicolons or line
    ends. Raises BadLegs; nothing typed is no leg.

    >>> parse_legs("040 60; 130 45 m")
    (Leg(bearing_deg=40.0, distance_m=60.0), Leg(bearing_deg=130.0, distance_m=45.0))
    """
    parts = [part.strip() for part in re.split(r"[;\n]", text) if part.strip()]
    if len(parts) > MOST_LEGS:
        raise BadLegs(say("A walk has at most {most} legs.", most=MOST_LEGS))
    return tuple(_leg(part) for part in parts)


def _leg(part: str) -> Leg:
    """One leg as typed. Raises BadLegs."""
    written = LEG.fullmatch(part)
    if not written:
        raise BadLegs(
            say(
                "“{text}” is not a leg. Write a bearing and metres in whole numbers, such as 040 "
                "60, and a semicolon between legs.",
                text=part[:30],
            )
        )
    try:
        bearing_deg = parse_bearing(written["bearing"]).degrees
    except NotABearing as error:
        raise BadLegs(error.args[0]) from error
    distance_m = float(written["distance"])
    if not SHORTEST_LEG_M <= distance_m <= LONGEST_LEG_M:
        raise BadLegs(
            say(
                "“{text}”: a leg is {least:g} to {most:g} m long.",
                text=part[:30],
                least=SHORTEST_LEG_M,
                most=LONGEST_LEG_M,
            )
        )
    return Leg(bearing_deg, distance_m)
