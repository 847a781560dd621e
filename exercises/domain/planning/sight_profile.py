"""Whether the ground rises over a sight line: what the heights of surveyed points say.

There is no model of the terrain: a point that lies near the line, between its ends, stands for the
ground there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..earth import geodesy
from ..earth.angles import difference
from ..tasks.site import Point, Site

EYE_M = 1.6  # above the mark; common practice, no source
# a point no farther to the side says how high the ground is on the line; common practice, no source
ASIDE_M = 10.0
LEAST_BELOW_M = 0.5  # heights are given no more finely; common practice, no source
EARTH_RADIUS_M = 6_371_000.0
REFRACTION = 0.13  # k of a light ray over land: C. F. Gauss's value, in any surveying text


@dataclass(frozen=True)
class Rise:
    """Ground over a line: at which point, how many metres from the station, and by how many metres
    the line passes below it.
    """

    point: str
    along_m: float
    below_m: float


def rises(site: Site, station: str, target: str) -> Iterator[Rise]:
    """The points near a line, between its ends, below whose ground it passes by more than
    LEAST_BELOW_M, in the order of the site.
    """
    here, there = site.point(station), site.point(target)
    here_m, target_m = here.position.elevation_m, there.position.elevation_m
    if here_m is None or target_m is None:
        return
    line, eye_m = site.sight_line(station, target), here_m + EYE_M
    for code, point in site.points.items():
        height_m = point.position.elevation_m
        # what stands lower than both ends of the line is not above it
        if code in (station, target) or height_m is None or height_m <= min(eye_m, target_m):
            continue
        along_m = _along_m(here, line, point)
        if along_m is not None:
            below_m = height_m - line_height_m(eye_m, target_m, along_m, line.distance_m)
            if below_m > LEAST_BELOW_M:
                yield Rise(code, along_m, below_m)


def line_height_m(eye_m: float, target_m: float, along_m: float, length_m: float) -> float:
    """The height of a line of sight over sea level, metres, some way along it: straight from eye to
    target, less the bulge of the Earth under it, (1 - k) s (S - s) / 2R with refraction k.

    Source: trigonometric levelling in any surveying text; at 2 km the bulge is 7 centimetres.
    """
    straight_m = eye_m + (target_m - eye_m) * along_m / length_m
    bulge_m = (1.0 - REFRACTION) * along_m * (length_m - along_m) / (2.0 * EARTH_RADIUS_M)
    return straight_m - bulge_m


def _along_m(here: Point, line: geodesy.SightLine, point: Point) -> float | None:
    """How far along a line a point lies near it and between its ends, metres; else None."""
    east_m, north_m = geodesy.east_north_m(here.position, point.position)
    bearing_deg = math.degrees(math.atan2(east_m, north_m))
    turn = math.radians(difference(bearing_deg, line.bearing_deg))
    away_m = math.hypot(east_m, north_m)
    along_m, aside_m = away_m * math.cos(turn), abs(away_m * math.sin(turn))
    is_between = ASIDE_M < along_m < line.distance_m - ASIDE_M
    return along_m if is_between and aside_m <= ASIDE_M else None
