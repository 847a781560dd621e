"""Whether the ground rises over a line. Expectations by plane similar triangles; the bulge of the
Earth by the circle itself.
"""

import math

import pytest

from exercises.domain.earth.geodesy import Position, destination
from exercises.domain.planning.sight_profile import line_height_m, rises
from exercises.domain.tasks.site import Point, Site

MIDDLE = Position(-45.13, 170.10)


def ground(**points):
    """A site of points at (bearing, distance, height) from the middle."""
    made = {}
    for code, (bearing, distance, height) in points.items():
        place = destination(MIDDLE, bearing, distance)
        position = Position(place.latitude_deg, place.longitude_deg, height)
        made[code] = Point(code, code, position, 0.5, "peg")
    return Site(made)


def over(**points):
    return [(rise.point, rise.along_m, rise.below_m) for rise in rises(ground(**points), "A", "T")]


def test_a_rise_hides_a_target_by_the_metres_that_the_line_passes_below_it():
    # eye 101.6, target 100: half way the line is at 100.8 m, and the rise is 104 m high
    found = over(A=(0, 0.01, 100.0), T=(90, 400, 100.0), P=(90, 200, 104.0))

    assert found == [("P", pytest.approx(200, abs=0.1), pytest.approx(3.2, abs=0.01))]


@pytest.mark.parametrize(
    ("point", "why"),
    [
        ((90, 200, 101.2), "not half a metre over the line"),
        ((86, 200, 120.0), "14 m to the side"),
        ((90, 395, 120.0), "at the target"),
        ((90, 4, 120.0), "at the station"),
        ((90, 500, 120.0), "behind the target"),
        ((270, 100, 120.0), "behind the back"),
        ((90, 200, 0.0), "nobody gave its height"),
    ],
)
def test_a_point_that_is_not_over_the_line_hides_nothing(point, why):
    assert over(A=(0, 0.01, 100.0), T=(90, 400, 100.0), P=point) == [], why


def test_a_bump_before_the_feet_hides_a_target_that_stands_higher_than_it():
    # the line rises from 101.6 to 140 m over 400 m: after 50 m it is at 106.4 m
    found = over(A=(0, 0.01, 100.0), T=(90, 400, 140.0), P=(90, 50, 110.0))

    assert found == [("P", pytest.approx(50, abs=0.1), pytest.approx(3.6, abs=0.01))]


def test_a_high_target_is_seen_over_a_rise():
    # half way the line is at 120.8 m
    assert over(A=(0, 0.01, 100.0), T=(90, 400, 140.0), P=(90, 200, 120.0)) == []


@pytest.mark.parametrize("missing", ["A", "T"])
def test_without_the_heights_of_both_ends_nothing_is_said(missing):
    points = {"A": (0, 0.01, 100.0), "T": (90, 400, 100.0), "P": (90, 200, 150.0)}
    points[missing] = (*points[missing][:2], None)

    assert over(**points) == []


def test_a_height_of_zero_is_a_height():
    # a beach: the rise between its ends stands 5 m over the sea
    assert over(A=(0, 0.01, 0.0), T=(90, 400, 0.0), P=(90, 200, 5.0)) != []


def test_the_line_sinks_by_the_bulge_of_the_earth_less_refraction():
    # the sagitta of a circle of 6371 km under a chord of 2 km is 78 mm; refraction takes 13 %
    radius, chord = 6_371_000.0, 2000.0
    sagitta = radius - math.sqrt(radius**2 - (chord / 2) ** 2)

    assert 50.0 - line_height_m(50.0, 50.0, 1000.0, chord) == pytest.approx(
        0.87 * sagitta, rel=1e-3
    )
