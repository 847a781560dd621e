"""What lies on a site besides its points: things that bend a needle, and dangers that nobody may be
led into.

Geometry is done on a flat sheet round the place that is asked about, which is exact to millimetres
over the kilometres of a walk. The only importer of shapely.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass

from shapely import LineString, Point as Place, Polygon
from shapely.geometry.base import BaseGeometry

from ..earth import geodesy
from ..earth.angles import difference
from ..earth.geodesy import EastNorth, Position
from ..surveying.traverse import Leg, corners
from ..tasks.answer import Answer
from ..tasks.kinds import kind_of
from ..tasks.site import Site
from ..words import say

FIELD_MANUAL = "US Army FM 3-25.26, ch. 9, compass handling"
OVERSHOOT = 1.25  # people walk past what they look for; common practice, no source
# a walker strays this far to either side of the line walked: two sigma of a beginner; common
# practice, no source
WANDER_DEG = 6.0
# nobody draws an edge on a map more finely, or walks it more exactly; common practice, no source
EDGE_M = 5.0
ALIKE_DEG = 0.5  # ways that turn no further apart are one way


class BadShape(ValueError):
    """A shape that cannot be used. The message says why and what to do."""


@dataclass(frozen=True)
class HazardKind:
    """What a thing is: how far a compass must keep from it in metres (0: it bends none), whether
    nobody may be led over it, and who says so. `is_edge`: only its outline counts, and people are
    inside. `leads_out`: who is lost and comes to it is found there.
    """

    code: str
    keep_away_m: float
    is_danger: bool
    source: str
    is_edge: bool = False
    leads_out: bool = False

    @property
    def clear_m(self) -> float:
        """How far from it somebody must stay who walks by the needle, metres: where the needle is
        not bent, and no nearer than an edge is known.
        """
        return max(self.keep_away_m, EDGE_M)


KINDS = {
    kind.code: kind
    for kind in (
        HazardKind("power_line", 55.0, True, FIELD_MANUAL),
        HazardKind("vehicles", 18.0, False, FIELD_MANUAL + ": truck"),
        HazardKind("steel", 18.0, False, FIELD_MANUAL + ": as for a truck"),
        HazardKind("fence", 10.0, False, FIELD_MANUAL + ": barbed wire, telephone wires"),
        HazardKind(
            "iron", 2.0, False, FIELD_MANUAL + ": as for a machine gun; civil values 2 to 3 m"
        ),
        HazardKind(
            "road",
            18.0,
            True,
            FIELD_MANUAL + ": truck; common practice for the rest, no source",
            leads_out=True,
        ),
        HazardKind("water", 0.0, True, "common practice, no source"),
        HazardKind("drop", 0.0, True, "common practice, no source"),
        HazardKind("boundary", 0.0, True, "common practice, no source", is_edge=True),
    )
}


@dataclass(frozen=True)
class Hazard:
    """A thing on a site: its kind's code, a name, and its corners in order. One corner is a spot,
    `is_area` closes three or more.
    """

    kind: str
    name: str
    corners: tuple[Position, ...]
    is_area: bool = False

    def __post_init__(self) -> None:
        if not self.corners:
            raise BadShape(say("A hazard needs at least one place."))
        if self.is_area and len(self.corners) < 3:
            raise BadShape(say("An area needs at least three corners."))
        if self.is_area and not Polygon(self._flat(self.corners[0])).is_valid:
            raise BadShape(
                say(
                    "The outline crosses or touches itself. Give the corners in order, all the "
                    "way round, each once."
                )
            )

    def _flat(self, origin: Position) -> list[EastNorth]:
        """Its corners, metres east and north of an origin."""
        return [geodesy.east_north_m(origin, corner) for corner in self.corners]

    def shape(self, origin: Position) -> BaseGeometry:
        """The shape on a flat sheet, metres east and north of an origin."""
        flat = self._flat(origin)
        if len(flat) == 1:
            return Place(flat[0])
        if not self.is_area:
            return LineString(flat)
        return Polygon(flat).exterior if KINDS[self.kind].is_edge else Polygon(flat)


@dataclass(frozen=True)
class TooNear:
    """A point nearer to a hazard than a compass may be, metres."""

    point: str
    hazard: Hazard
    distance_m: float
    keep_away_m: float


def too_near(
    site: Site, hazards: Iterable[Hazard], codes: Container[str] | None = None
) -> list[TooNear]:
    """The stations of a site (those of some codes, or all) that stand too near to things that bend
    a needle, nearest in proportion first.
    """
    near = []
    for point, hazard in itertools.product(site.points.values(), hazards):
        keep_away_m = KINDS[hazard.kind].keep_away_m
        if point.is_station and keep_away_m and (codes is None or point.code in codes):
            distance_m = hazard.shape(point.position).distance(Place(0, 0))
            if distance_m < keep_away_m:
                near.append(TooNear(point.code, hazard, distance_m, keep_away_m))
    return sorted(
        near,
        key=lambda stand: (stand.distance_m / stand.keep_away_m, stand.point, stand.hazard.name),
    )


def dangers_near(position: Position, hazards: Iterable[Hazard], within_m: float) -> list[Hazard]:
    """The dangers that lie within some metres of a position, 0 or more."""
    return [
        hazard
        for hazard in hazards
        if KINDS[hazard.kind].is_danger and hazard.shape(position).distance(Place(0, 0)) <= within_m
    ]


@dataclass(frozen=True)
class Astray:
    """A danger that a walk along a bearing would lead into: after how many metres, in which true
    direction, and by which cause ("ok" for none at all). `gap_m` is how far from it the walk stays:
    0 where it leads in, else less than the kind's `clear_m`.
    """

    task: str
    hazard: Hazard
    cause: str
    bearing_deg: float
    distance_m: float
    gap_m: float


def astray(answer: Answer, position: Position, hazards: Iterable[Hazard]) -> list[Astray]:
    """Where people who walk along a task's bearing might end: each danger with the cause that leads
    there first, as `Astray`, where the line itself leads before what mistakes make of it.

    The way itself, its reverse and what the habits of the declination make of it (sound first) are
    walked, the last leg to OVERSHOOT times its length, straying up to WANDER_DEG to either side,
    and must stay clear of the danger. Only for kinds in which people walk.
    """
    ways = ways_at_risk(answer)
    if not ways:
        return []
    met_first: dict[Hazard, Astray] = {}
    for hazard in (hazard for hazard in hazards if KINDS[hazard.kind].is_danger):
        shape, clear_m = hazard.shape(position), KINDS[hazard.kind].clear_m
        away_m = shape.distance(Place(0, 0))
        for cause, legs in ways.items():
            reach_m = OVERSHOOT * math.fsum(leg.distance_m for leg in legs)
            if away_m <= reach_m + clear_m and (met := _met(shape, legs, clear_m)):
                met_first.setdefault(hazard, Astray(answer.task, hazard, cause, *met))
    return sorted(met_first.values(), key=lambda way: (way.cause != "ok", way.gap_m > 0.0))


def ways_at_risk(answer: Answer) -> dict[str, tuple[Leg, ...]]:
    """Where people might walk: the ways of the kind, and the declination applied to either side,
    asked for or not, where no way of the kind turns so.
    """
    ways = dict(kind_of(answer.kind).ways_walked(answer))
    if not ways:
        return {}
    for sign, name in ((1.0, "declination_wrong_way"), (-1.0, "declination_twice")):
        turned = tuple(leg.turned(sign * answer.norths.declination_deg) for leg in ways["ok"])
        if not any(_turns_alike(turned, way) for way in ways.values()):
            ways.setdefault(name, turned)
    return ways


def _turns_alike(these: Sequence[Leg], those: Sequence[Leg]) -> bool:
    """Whether two ways of the same legs set out alike."""
    return abs(difference(these[0].bearing_deg, those[0].bearing_deg)) <= ALIKE_DEG


def _met(
    shape: BaseGeometry, legs: Sequence[Leg], clear_m: float
) -> tuple[float, float, float] | None:
    """Where a way from the origin first comes too near to a shape: the bearing of the leg, metres
    walked by then and how near it comes on that leg; None where it stays clear.
    """
    walked_m = 0.0
    for start, leg in zip(corners(legs), legs, strict=False):
        length_m = leg.distance_m * (OVERSHOOT if leg is legs[-1] else 1.0)
        strip = _strip(start, leg.bearing_deg, length_m)
        gap_m = float(strip.distance(shape))
        if gap_m <= clear_m:
            # a little more, because the buffer's round corners are cut
            near = shape if gap_m == 0.0 else shape.buffer(1.02 * clear_m)
            reached_m = float(strip.intersection(near).distance(Place(*start)))
            return leg.bearing_deg, walked_m + reached_m, gap_m
        walked_m += leg.distance_m
    return None


def _strip(start: EastNorth, bearing_deg: float, length_m: float) -> Polygon:
    """The ground on which somebody walks along a bearing: a narrow fan."""
    directions = [
        math.radians(bearing_deg + turn_deg) for turn_deg in (-WANDER_DEG, 0.0, WANDER_DEG)
    ]
    ends = [
        (start[0] + length_m * math.sin(direction), start[1] + length_m * math.cos(direction))
        for direction in directions
    ]
    return Polygon([start, *ends])


def crossed(start: Position, end: Position, hazards: Iterable[Hazard]) -> list[Hazard]:
    """The dangers that a straight walk between two positions crosses."""
    line = LineString([(0.0, 0.0), geodesy.east_north_m(start, end)])
    return [
        hazard
        for hazard in hazards
        if KINDS[hazard.kind].is_danger and line.intersects(hazard.shape(start))
    ]


@dataclass(frozen=True)
class OnTheWayOut:
    """A danger that somebody meets who walks the safety bearing from a station, after how many
    metres.
    """

    station: str
    hazard: Hazard
    distance_m: float


WAY_OUT_M = 2000.0  # that somebody who is lost may walk; common practice, no source


def on_the_way_out(site: Site, hazards: Iterable[Hazard], bearing_deg: float) -> list[OnTheWayOut]:
    """The dangers on the way out from each station along a true bearing, straying as people do, as
    far as the first road; the nearest first. A road itself is where the way out leads.
    """
    met = []
    for point in site.points.values():
        if not point.is_station:
            continue
        walk = _met_walking(point.position, bearing_deg, hazards)
        found = sorted(walk, key=lambda met: met[0])
        for distance_m, hazard in found:
            if KINDS[hazard.kind].leads_out:
                break
            met.append(OnTheWayOut(point.code, hazard, distance_m))
    return sorted(met, key=lambda way: way.distance_m)


def _met_walking(
    start: Position, bearing_deg: float, hazards: Iterable[Hazard]
) -> Iterator[tuple[float, Hazard]]:
    """The dangers on a straight walk, each with the metres walked by then."""
    legs = (Leg(bearing_deg, WAY_OUT_M / OVERSHOOT),)
    for hazard in hazards:
        if KINDS[hazard.kind].is_danger and (met := _met(hazard.shape(start), legs, 0.0)):
            yield met[1], hazard
