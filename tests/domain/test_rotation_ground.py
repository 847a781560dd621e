"""From a course to a rotation: minutes at stations, safe ways, dangers, by hand."""

import pytest

from exercises.domain.earth.geodesy import Position, destination
from exercises.domain.planning.hazards import Hazard
from exercises.domain.running.rotation import rotate
from exercises.domain.running.rotation_ground import minutes_for, problem, safe_ways
from exercises.domain.running.rotation_values import Group, NoRotation
from exercises.domain.tasks.site import Point, Site
from tests.ground import answer
from tests.rotations import rng

MIDDLE = Position(47.6, -121.9)


def site(**marks):
    """Marks at (bearing, metres) from the middle."""
    return Site(
        {
            code: Point(code, code, destination(MIDDLE, bearing, metres), 0.5, "peg")
            for code, (bearing, metres) in marks.items()
        }
    )


def pond(bearing, metres, half_width):
    """A line of water across a bearing from the middle."""
    centre = destination(MIDDLE, bearing, metres)
    ends = (destination(centre, bearing + turn, half_width) for turn in (-90, 90))
    return Hazard("water", "the pond", tuple(ends))


# A and B with a pond between; C lies so that one comes from A to B round it
ROUND_A_POND = site(A=(90, 0.1), B=(90, 300), C=(45, 250))
POND = pond(90, 150, 60)


def test_one_person_needs_three_minutes_at_a_station_with_one_task():
    # "novices need three to five minutes": common practice, no source
    one = problem([answer()], site(A=(0, 0.1)), [Group("g", 1)])

    assert one.stations[0].minutes == 3.0


@pytest.mark.parametrize(("people", "minutes"), [(1, 2.0), (2, 2.5), (4, 3.5)])
def test_people_take_turns_on_the_mark(people, minutes):
    assert minutes_for(answer(), people) == minutes


@pytest.mark.parametrize("people", [1, 4])
def test_a_sum_is_done_side_by_side(people):
    line = answer(kind="convert", given_deg=74.0, given_north="true", north="magnetic")

    assert minutes_for(line, people) == 2.0


def test_who_follows_a_bearing_walks_there_and_back():
    # 200 m and back at 5 km/h: 4.8 minutes
    line = answer(kind="follow", given_deg=66.0, given_north="magnetic")

    assert minutes_for(line, 1) == pytest.approx(2.0 + 4.8)


def test_minutes_that_are_known_better_are_taken():
    known = problem(
        [answer()], site(A=(0, 0.1)), [Group("g", 3)], task_minutes={"1": 10.0}, places={"A": 2}
    )

    assert (known.stations[0].minutes, known.stations[0].places) == (11.0, 2)


def test_the_largest_group_decides():
    two = problem([answer()], site(A=(0, 0.1)), [Group("few", 2), Group("many", 5)])

    assert two.stations[0].minutes == 1.0 + 2.0 + 4 * 0.5


def test_a_way_keeps_clear_of_a_danger_by_way_of_another_mark():
    ways = safe_ways("ABC", ROUND_A_POND, [POND])

    straight = safe_ways("ABC", ROUND_A_POND)
    assert straight["A", "B"].via == ()
    assert straight["A", "B"].length_m == pytest.approx(299.9, abs=0.1)
    assert ways["A", "B"].via == ("C",)
    assert ways["A", "B"].length_m == pytest.approx(
        ways["A", "C"].length_m + ways["C", "B"].length_m
    )


def test_a_kept_crossing_is_walked_only_where_there_is_no_other_way():
    with_other = safe_ways("ABC", ROUND_A_POND, [POND], kept=["the pond"])
    without = safe_ways("AB", ROUND_A_POND, [POND], kept=["the pond"])

    assert with_other["A", "B"].kept == ()
    assert without["A", "B"].kept == ("the pond",)


def test_nobody_is_sent_over_a_danger_that_nobody_keeps():
    with pytest.raises(NoRotation, match="no way from “A” to “B” but over a danger"):
        safe_ways("AB", ROUND_A_POND, [POND])


def test_the_way_up_takes_longer_than_the_way_down():
    # 60 m up at 600 m an hour: 6 minutes more (Naismith 1892, from memory)
    low, high = (
        Position(place.latitude_deg, place.longitude_deg, height)
        for place, height in ((MIDDLE, 100.0), (destination(MIDDLE, 90, 500), 160.0))
    )
    ground = Site(
        {code: Point(code, code, at, 0.5, "peg") for code, at in (("A", low), ("B", high))}
    )

    ways = safe_ways("AB", ground)

    assert ways["A", "B"].minutes - ways["B", "A"].minutes == pytest.approx(6.0)


@pytest.mark.parametrize(("metres", "is_dangerous"), [(40, True), (60, False)])
def test_a_station_near_a_danger_is_kept(metres, is_dangerous):
    found = problem([answer()], site(A=(0, 0.1)), [Group("g")], hazards=[pond(0, metres, 30)])

    assert found.stations[0].is_dangerous is is_dangerous


def test_a_station_from_which_a_task_leads_into_a_danger_is_kept():
    # the line to follow leads 200 m along 74 degrees; the pond lies 150 m out
    line = answer(kind="follow", given_deg=66.0, given_north="magnetic")

    found = problem([line], site(A=(0, 0.1)), [Group("g")], hazards=[pond(74, 150, 30)])

    assert found.stations[0].is_dangerous


def test_a_course_becomes_a_rotation():
    course = [
        answer(task="1"),
        answer(task="2", kind="convert", given_deg=74.0, given_north="true"),
    ]

    found = rotate(
        problem(course, site(A=(0, 0.1), base=(0, 50)), [Group("g", 2)], base="base"), rng=rng()
    )

    # 50 m: a minute out and home; 1 to settle, 2.5 and 2 for the tasks
    assert [(one.from_min, one.until_min, one.at) for one in found.rounds] == [
        (1.0, 6.5, {"g": "A"})
    ]
    assert found.minutes == 7.5
