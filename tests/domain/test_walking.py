"""The walk of a course: Naismith's rule by its own words, climb, order, dangers on the way."""

import math

import pytest

from exercises.domain.earth.geodesy import Position, destination
from exercises.domain.planning.hazards import Hazard
from exercises.domain.planning.walking import naismith_minutes, safely_joined, shortest_order, walk
from exercises.domain.tasks.site import Point, Site

MIDDLE = Position(47.6, -121.9)
FOOT_M, MILE_M = 0.3048, 1609.344  # exact, by the international yard and pound agreement of 1959


def ground(*stations):
    """A site of stations at (code, bearing, distance, height) from the middle."""
    points = {}
    for code, bearing, distance, height in stations:
        place = destination(MIDDLE, bearing, distance)
        position = Position(place.latitude_deg, place.longitude_deg, height)
        points[code] = Point(code, code, position, 0.5, "peg")
    return Site(points)


def river(bearing, distance, half_width):
    """Water across a bearing from the middle."""
    middle = destination(MIDDLE, bearing, distance)
    ends = (destination(middle, bearing + turn, half_width) for turn in (-90, 90))
    return Hazard("water", "the river", tuple(ends))


@pytest.mark.parametrize(
    ("miles", "feet", "hours"),
    [(3, 0, 1), (0, 2000, 1), (3, 2000, 2), (10, 6300, 10 / 3 + 6300 / 2000)],
)
def test_naismiths_rule_takes_the_time_of_its_own_words(miles, feet, hours):
    # Naismith (1892), from memory: three miles an hour, and an hour more for 2,000 feet; his round
    # over three hills was "10 miles, 6,300 feet of climbing", "six and a half hours". In round
    # metric figures the rule is 4 % slower or less.
    minutes = naismith_minutes(miles * MILE_M, feet * FOOT_M)

    assert minutes == pytest.approx(60 * hours, rel=0.04)


def test_on_level_ground_it_agrees_with_toblers_hiking_function():
    # W. Tobler, Three presentations on geographical analysis and modeling, NCGIA 93-1 (1993):
    # 6 exp(-3.5 |slope + 0.05|) km/h; level: 5.04
    tobler_m_a_minute = 6000.0 * math.exp(-3.5 * 0.05) / 60.0

    assert 1000.0 / naismith_minutes(1000.0, 0.0) == pytest.approx(tobler_m_a_minute, rel=0.01)


def test_only_ways_up_are_climbed():
    site = ground(("A", 0, 0.1, 100.0), ("B", 90, 500, 130.0), ("C", 90, 1000, 110.0))

    there, back = walk("ABC", site), walk("CBA", site)

    assert (there.climb_m, back.climb_m) == pytest.approx((30.0, 20.0))
    assert there.minutes == pytest.approx(12.0 + 3.0, abs=0.01)


def test_where_one_height_is_not_known_no_climb_is_told():
    site = ground(("A", 0, 0.1, 100.0), ("B", 90, 500, None))

    found = walk("AB", site)

    assert found.climb_m is None
    assert found.minutes == pytest.approx(6.0, abs=0.01)


def test_the_quickest_order_spares_a_climb():
    # four marks on a line, every other one 100 m higher: 100 m more to walk, 100 m less to climb
    heights = {"A": 150.0, "B": 250.0, "C": 150.0, "D": 250.0}
    line = [("A", 90, 0.1), ("B", 90, 100), ("C", 90, 200), ("D", 90, 300)]
    hilly = ground(*((*place, heights[place[0]]) for place in line))
    level = ground(*((*place, 150.0) for place in line))

    assert shortest_order("ABCD", level) == ("A", "B", "C", "D")
    assert shortest_order("ABCD", hilly) == ("A", "B", "D", "C")


def test_the_best_order_goes_round_a_danger():
    # A and B on one bank, C on the other, opposite A; from B one reaches C beside the river's end
    site = ground(("A", 0, 0.1, 0.0), ("C", 0, 100, 0.0), ("B", 90, 300, 0.0))
    bank = river(0, 50, 120.0)

    assert shortest_order("ACB", site) == ("A", "C", "B")
    assert shortest_order("ACB", site, [bank]) == ("A", "B", "C")
    assert (walk("ACB", site, [bank]).crossings, walk("ABC", site, [bank]).crossings) == (1, 0)


def test_stations_to_which_one_comes_back_are_told_with_the_way_until_then():
    site = ground(("A", 0, 0.1, 0.0), ("B", 90, 100, 0.0))

    assert walk("ABBA", site).again == (("A", pytest.approx(200.0, abs=0.3)),)
    assert walk("AABB", site).again == ()


def test_stations_are_joined_straight_or_by_way_of_others():
    site = ground(("A", 0, 0.1, 0.0), ("C", 0, 100, 0.0), ("B", 90, 300, 0.0), ("D", 0, 900, 0.0))
    dangers = [river(0, 50, 120.0), river(0, 600, 2000.0)]

    groups = safely_joined("ACBD", site, dangers)

    assert sorted(sorted(group) for group in groups) == [["A", "B", "C"], ["D"]]
