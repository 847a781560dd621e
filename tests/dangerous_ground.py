"""Invented sites with dangers on them, and a judge of what is unsafe that shares no code with the
program: points sampled along a walked line, on its own flat sheet, against distances to segments.

The declination is asked of the program (it is checked against the model makers' values elsewhere);
everything else is reckoned here.
"""

import itertools
import math
import random

from exercises.domain.earth.geodesy import Position
from exercises.domain.planning.hazards import Hazard
from exercises.domain.tasks.site import Point, Site

# places with declinations from -14 to 26 degrees, some near 0
MIDDLES = (
    (-45.13, 170.10),
    (47.6, -121.9),
    (40.4, -3.9),
    (44.3, -71.2),
    (60.2, 24.7),
    (35.0, 137.2),
)
# how near a walked line may come, metres: 55 of a power line is US Army FM 3-25.26, ch. 9; the rest
# is common practice, no source
BUFFER_M = {"power_line": 55.0, "road": 3.0, "water": 3.0, "drop": 3.0, "boundary": 3.0}
OVERSHOOT = 1.25
SPAN_M = 700.0
METRES_A_DEGREE = 111_320.0


def _place(middle, east_m, north_m):
    latitude, longitude = middle
    return Position(
        latitude + north_m / METRES_A_DEGREE,
        longitude + east_m / (METRES_A_DEGREE * math.cos(math.radians(latitude))),
    )


def _somewhere(rng):
    return rng.uniform(-SPAN_M / 2, SPAN_M / 2), rng.uniform(-SPAN_M / 2, SPAN_M / 2)


def _winding(rng, middle):
    """A river, road, drop or power line: across the site, with bends, or a part of it."""
    (east, north), heading = _somewhere(rng), rng.uniform(0, 2 * math.pi)
    corners = []
    for _ in range(rng.randint(2, 6)):
        corners.append(_place(middle, east, north))
        length = rng.uniform(60, 350)
        heading += rng.uniform(-0.6, 0.6)
        east, north = east + length * math.sin(heading), north + length * math.cos(heading)
    return tuple(corners)


def _pond(rng, middle):
    """An area of five to eight corners round its middle."""
    east, north = _somewhere(rng)
    number, radius = rng.randint(5, 8), rng.uniform(15, 90)
    return tuple(
        _place(middle, east + reach * math.sin(turn), north + reach * math.cos(turn))
        for place in range(number)
        for turn, reach in [(2 * math.pi * place / number, radius * rng.uniform(0.6, 1.0))]
    )


def hazards(rng, middle):
    """Two to four dangers, lines and areas."""
    made = []
    for number in range(rng.randint(2, 4)):
        kind = rng.choice(("water", "water", "road", "power_line", "drop", "boundary"))
        is_area = kind == "water" and rng.random() < 0.5
        corners = _pond(rng, middle) if is_area else _winding(rng, middle)
        made.append(Hazard(kind, f"danger {number}", corners, is_area))
    return made


def ground(seed):
    """(site, hazards) of a seed: five marks, eight targets, some of them noted as seen or nothing
    noted at all; some sites have heights.
    """
    rng = random.Random(seed)
    middle, has_heights = rng.choice(MIDDLES), rng.random() < 0.3
    points = {}
    for code in (*"ABCDE", *(f"T{number}" for number in range(1, 9))):
        place = _place(middle, *_somewhere(rng))
        height_m = rng.uniform(200, 230) if has_heights else 0.0
        points[code] = Point(
            code,
            code,
            Position(place.latitude_deg, place.longitude_deg, height_m),
            rng.choice((0.3, 0.5, 2.0)),
            "peg" if len(code) == 1 else "",
            is_target=len(code) > 1,
        )
    seen = {
        station: tuple(code for code in points if len(code) > 1 and rng.random() < 0.8)
        for station in "ABCDE"
    }
    return Site(points, seen if rng.random() < 0.8 else {}), hazards(rng, middle)


class Judge:
    """What is unsafe on a site, by dense sampling."""

    def __init__(self, site, hazards):
        self.site = site
        first = next(iter(site.points.values())).position
        self.origin = first.latitude_deg, first.longitude_deg
        self.shapes = [
            (hazard.kind, [self.flat(corner) for corner in hazard.corners], hazard.is_area)
            for hazard in hazards
        ]

    def flat(self, position):
        """Metres east and north of the first point."""
        latitude, longitude = self.origin
        return (
            (position.longitude_deg - longitude)
            * METRES_A_DEGREE
            * math.cos(math.radians(latitude)),
            (position.latitude_deg - latitude) * METRES_A_DEGREE,
        )

    def is_unsafe_line(self, station, target, declination_deg):
        """Whether who walks from a station towards a target, back to front, or with the declination
        left out, needless, or twice, comes too near to a danger.
        """
        start, end = (self.flat(self.site.points[code].position) for code in (station, target))
        length = math.dist(start, end) * OVERSHOOT
        ahead = math.degrees(math.atan2(end[0] - start[0], end[1] - start[1]))
        turns = (0.0, 180.0, declination_deg, -declination_deg)
        return any(self._is_unsafe_way(start, ahead + turn, length) for turn in turns)

    def is_unsafe_walk(self, one, other):
        """Whether the straight way between two points crosses a danger: by the sides on which the
        ends of two segments lie.
        """
        start, end = (self.flat(self.site.points[code].position) for code in (one, other))
        return any(
            _do_cross(start, end, *segment)
            for _, corners, is_area in self.shapes
            for segment in itertools.pairwise([*corners, corners[0]] if is_area else corners)
        )

    def is_under_wires(self, station):
        """Whether a station stands within 55 m of a power line."""
        here = self.flat(self.site.points[station].position)
        return any(
            kind == "power_line" and _away(here, corners, is_area) < BUFFER_M[kind]
            for kind, corners, is_area in self.shapes
        )

    def _is_unsafe_way(self, start, bearing_deg, length_m):
        places = list(_along(start, bearing_deg, length_m, 2.0))
        return any(
            _away(place, corners, is_area) < BUFFER_M[kind]
            for kind, corners, is_area in self.shapes
            for place in places
        )


def _along(start, bearing_deg, length_m, step_m):
    turn = math.radians(bearing_deg)
    for number in range(int(length_m / step_m) + 1):
        reach = number * step_m
        yield start[0] + reach * math.sin(turn), start[1] + reach * math.cos(turn)


def _away(place, corners, is_area):
    """Metres from a place to a line, a spot or an area (0 inside)."""
    if is_area and _is_inside(place, corners):
        return 0.0
    ring = [*corners, corners[0]] if is_area else corners
    if len(ring) == 1:
        return math.dist(place, ring[0])
    return min(_to_segment(place, one, other) for one, other in itertools.pairwise(ring))


def _to_segment(place, one, other):
    east, north = other[0] - one[0], other[1] - one[1]
    square = east * east + north * north
    share = ((place[0] - one[0]) * east + (place[1] - one[1]) * north) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return math.dist(place, (one[0] + share * east, one[1] + share * north))


def _do_cross(start, end, one, other):
    def side(here, there, place):
        return (there[0] - here[0]) * (place[1] - here[1]) > (there[1] - here[1]) * (
            place[0] - here[0]
        )

    return side(start, end, one) != side(start, end, other) and side(one, other, start) != side(
        one, other, end
    )


def _is_inside(place, corners):
    """Even-odd rule: a ray to the east crosses the outline an odd number of times."""
    inside = False
    for one, other in itertools.pairwise([*corners, corners[0]]):
        if (one[1] > place[1]) != (other[1] > place[1]):
            at = one[0] + (place[1] - one[1]) * (other[0] - one[0]) / (other[1] - one[1])
            inside ^= at > place[0]
    return inside
