"""A traverse on its site: from the field book to positions over the ellipsoid."""

import datetime
import math

import pytest

from exercises.domain.earth import geodesy
from exercises.domain.earth.ellipse import circle
from exercises.domain.earth.geodesy import Position, apart_m, destination, moved
from exercises.domain.earth.magnetics import LOCAL_FIELD_DEG
from exercises.domain.surveying.traverses.field_book import BadBook, read_book
from exercises.domain.surveying.traverses.leg_sets import Instruments
from exercises.domain.surveying.traverses.surveyed_traverse import survey_traverse
from exercises.domain.surveying.traverses.traverse_adjustment import MeasuredLeg, Traverse, adjust
from exercises.domain.tasks.site import Point, Site

HERE = Position(-45.13, 170.10, 400)
DAY = datetime.date(2026, 10, 3)
COMPASS = Instruments(1.0, 0.1)
SITE = Site(
    {
        "A": Point("A", "gate", HERE, 0.5, "peg"),
        "B": Point("B", "stone", moved(HERE, 120.0, 30.0), 2.0, "dot"),
    },
    {},
    2193,
    HERE,
)
LOOP = "P1 060 80\nP2 150 70\nA 283 107"


def surveyed(text, end="A", north="true", instruments=COMPASS):
    return survey_traverse(SITE, read_book(text, "A", end), north, instruments, on=DAY)


def test_corners_lie_where_least_squares_puts_them_about_the_start():
    """Against the adjustment of the same legs in the plane, for which see its own tests."""
    legs = tuple(MeasuredLeg(b, d, 1.0, 0.1) for b, d in ((60, 80), (150, 70), (283, 107)))
    expected = adjust(Traverse(legs, circle(0.5)))

    found = surveyed(LOOP)

    assert [corner.code for corner in found.corners] == ["P1", "P2"]
    for corner, flat in zip(found.corners, expected.corners, strict=False):
        for place, where in (
            (corner.measured, flat.measured),
            (corner.bowditch, flat.bowditch),
            (corner.adjusted, flat.adjusted),
        ):
            assert apart_m(place, moved(HERE, *where)) < 1e-6
        assert corner.ellipse == flat.ellipse
        assert apart_m(corner.measured, corner.adjusted) > 0.1


def test_what_is_known_of_the_end_counts_on_a_link_and_not_on_a_loop():
    east, north = geodesy.east_north_m(HERE, SITE.points["B"].position)
    link = surveyed("P1 040 80\nB 118 78", "B").adjustment
    loop = surveyed(LOOP).adjustment
    one_way = math.hypot(math.radians(1) * 80, math.radians(1) * 78, 0.1 * math.sqrt(2))

    assert link.allowed_m == pytest.approx(
        math.hypot(one_way, 0.5 * 2**0.5, 2.0 * 2**0.5), rel=1e-4
    )
    assert loop.allowed_m == pytest.approx(
        math.hypot(*(math.radians(1) * d for d in (80, 70, 107)), 0.1 * math.sqrt(3)), rel=1e-4
    )
    assert link.misclosure.east_m == pytest.approx(
        80 * math.sin(math.radians(40)) + 78 * math.sin(math.radians(118)) - east
    )
    assert link.misclosure.north_m == pytest.approx(
        80 * math.cos(math.radians(40)) + 78 * math.cos(math.radians(118)) - north
    )


@pytest.mark.parametrize("north", ["magnetic", "grid"])
def test_bearings_are_turned_from_their_north(north):
    norths, _ = SITE.north_of(HERE, DAY)

    found = surveyed(LOOP, north=north).corners[0].measured

    true_deg = norths.turn(60.0, north, "true")
    assert abs(true_deg - 60.0) > 0.5
    assert apart_m(found, destination(HERE, true_deg, 80)) < 1e-6


def test_the_declinations_uncertainty_turns_a_magnetic_traverse_alone():
    _, declination = SITE.north_of(HERE, DAY)
    fine = Instruments(0.001, 0.001)
    text = "P1 060 1000\nP2 060 1000\nA 240 2000"

    by_needle = surveyed(text, north="magnetic", instruments=fine).corners[1].ellipse
    by_sun = surveyed(text, instruments=fine).corners[1].ellipse

    turned = math.radians(math.hypot(declination.uncertainty_deg, LOCAL_FIELD_DEG)) * 2000
    assert by_needle.major_m == pytest.approx(math.hypot(turned, 0.5), rel=1e-3)
    assert by_sun.major_m == pytest.approx(0.5, rel=1e-2)


def test_only_what_does_not_close_is_asked_for_its_slip():
    assert surveyed(LOOP).suspicion is None
    assert surveyed(LOOP.replace("70", "97")).suspicion is not None


def test_bearings_of_one_leg_that_point_different_ways_are_named_with_their_line():
    with pytest.raises(BadBook) as error:
        surveyed("P1 060 80\nP1 240 80\nP2 150/151 70\nA 283 107")

    assert [str(problem)[:36] for problem in error.value.problems] == [
        "Line 2: the bearings from A to P1 po",
        "Line 3: the bearings from P1 to P2 p",
    ]
    assert "(060.0, 240.0)" in error.value.problems[0]


def test_angles_of_a_loop_read_from_both_ends_are_added_up():
    found = surveyed("P1 060/240.5 80\nP2 150/329 70\nA 283/103 107")

    assert found.angular_misclosure_deg == pytest.approx(-0.5 + 1.0)
    assert surveyed(LOOP).angular_misclosure_deg is None
