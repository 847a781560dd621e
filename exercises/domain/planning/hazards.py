"""What lies on a site besides its points: things that bend a needle, and dangers that nobody may be
led into.

Geometry is done on a flat sheet round the place that is asked about, which is exact to millimetres
over the kilometres of a walk. The only importer of shapely.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shapely import LineString, Point as Place, Polygon
from shapely.geometry.base import BaseGeometry

from ..earth import geodesy
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


class BadShape(ValueError):
    """A shape that cannot be used. The message says why and what to do."""


@dataclass(frozen=True)
class HazardKind:
    """What a thing is: how far a compass must keep from it in metres (0: it bends none), whether
    nobody may be led over it, and who says so.
    """

    code: str
    keep_away_m: float
    is_danger: bool
    source: str


KINDS = {
    kind.code: kind
    for kind in (
        HazardKind("power_line", 55.0, False, FIELD_MANUAL),
        HazardKind("vehicles", 18.0, False, FIELD_MANUAL + ": truck"),
        HazardKind("steel", 18.0, False, FIELD_MANUAL + ": as for a truck"),
        HazardKind("fence", 10.0, False, FIELD_MANUAL + ": barbed wire, telephone wires"),
        HazardKind(
            "iron", 2.0, False, FIELD_MANUAL + ": as for a machine gun; civil values 2 to 3 m"
        ),
        HazardKind(
            "road", 18.0, True, FIELD_MANUAL + ": truck; common practice for the rest, no source"
        ),
        HazardKind("water", 0.0, True, "common practice, no source"),
        HazardKind("drop", 0.0, True, "common practice, no source"),
        HazardKind("boundary", 0.0, True, "common practice, no source"),
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
        return Polygon(flat) if self.is_area else LineString(flat)


@dataclass(frozen=True)
class TooNear:
    """A point nearer to a hazard than a compass may be, metres."""

    point: str
    hazard: Hazard
    distance_m: float
    keep_away_m: float


def too_near(site: Site, hazards: Iterable[Hazard]) -> list[TooNear]:
    """The stations of a site that stand too near to things that bend a needle, nearest in
    proportion first.
    """
    near = []
    for point, hazard in itertools.product(site.points.values(), hazards):
        keep_away_m = KINDS[hazard.kind].keep_away_m
        if point.is_station and keep_away_m:
            distance_m = hazard.shape(point.position).distance(Place(0, 0))
            if distance_m < keep_away_m:
                near.append(TooNear(point.code, hazard, distance_m, keep_away_m))
    return sorted(
        near,
        key=lambda stand: (stand.distance_m / stand.keep_away_m, stand.point, stand.hazard.name),
    )


@dataclass(frozen=True)
class Astray:
    """A danger that a walk along a bearing would lead into: after how many metres, in which true
    direction, and by which cause ("ok" for none at all).
    """

    task: str
    hazard: Hazard
    cause: str
    bearing_deg: float
    distance_m: float


def astray(answer: Answer, position: Position, hazards: Iterable[Hazard]) -> list[Astray]:
    """Where people who walk along a task's bearing might end: each danger with the cause that leads
    there first, as `Astray`.

    The way itself, its reverse and what the habits of the declination make of it (sound first) are
    walked, the last leg to OVERSHOOT times its length, straying up to WANDER_DEG to either side.
    Only for kinds in which people walk.
    """
    ways = kind_of(answer.kind).ways_walked(answer)
    met_first: dict[Hazard, Astray] = {}
    for hazard in (hazard for hazard in hazards if KINDS[hazard.kind].is_danger):
        shape = hazard.shape(position)
        for cause, legs in ways.items():
            if met := _met(shape, legs):
                met_first.setdefault(hazard, Astray(answer.task, hazard, cause, *met))
    return list(met_first.values())


def _met(shape: BaseGeometry, legs: Sequence[Leg]) -> tuple[float, float] | None:
    """Where a way from the origin first meets a shape: the bearing of the leg and metres walked by
    then; None where it does not.
    """
    walked_m = 0.0
    for start, leg in zip(corners(legs), legs, strict=False):
        length_m = leg.distance_m * (OVERSHOOT if leg is legs[-1] else 1.0)
        distance_m = _reached(shape, start, leg.bearing_deg, length_m)
        if distance_m is not None:
            return leg.bearing_deg, walked_m + distance_m
        walked_m += leg.distance_m
    return None


def _reached(
    shape: BaseGeometry, start: EastNorth, bearing_deg: float, length_m: float
) -> float | None:
    """Metres from a start to a shape along a bearing, or None when it is not reached within a
    length; the strip walked is a narrow fan.
    """
    directions = [
        math.radians(bearing_deg + turn_deg) for turn_deg in (-WANDER_DEG, 0.0, WANDER_DEG)
    ]
    ends = [
        (start[0] + length_m * math.sin(direction), start[1] + length_m * math.cos(direction))
        for direction in directions
    ]
    met = Polygon([start, *ends]).intersection(shape)
    return None if met.is_empty else float(met.distance(Place(*start)))


def crossed(start: Position, end: Position, hazards: Iterable[Hazard]) -> list[Hazard]:
    """The dangers that a straight walk between two positions crosses."""
    line = LineString([(0.0, 0.0), geodesy.east_north_m(start, end)])
    return [
        hazard
        for hazard in hazards
        if KINDS[hazard.kind].is_danger and line.intersects(hazard.shape(start))
    ]
