"""Where you stand matters: pairs of marks that one bearing leads from to different things.
Expectations by plane trigonometry, no outside source.
"""

import datetime
import math

import pytest

from exercises.domain.earth.geodesy import Position, destination
from exercises.domain.planning import pairs
from exercises.domain.planning.hazards import Hazard
from exercises.domain.planning.surroundings import Surroundings
from exercises.domain.tasks import key
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.site import Point, Site, Task
from tests.ground import bent_by

MIDDLE, DAY, BAND = Position(-45.13, 170.1, 400), datetime.date(2026, 10, 3), Band(5, 10)


def ground(*points, visible=()):
    """A site of (code, metres east, metres north, whether somebody stands there)."""
    found = {}
    for code, east, north, is_station in points:
        place = destination(
            MIDDLE, math.degrees(math.atan2(east, north)) % 360, math.hypot(east, north)
        )
        found[code] = Point(
            code, code, place, 0.5, "peg" if is_station else "", is_target=not is_station
        )
    return Site(found, dict(visible), 2193)


# A and B lie 40 m apart, east and west; T lies 200 m north of A, U 260 m north of B.
TWO = (
    ("A", 0.0, 0.01, True),
    ("B", 40.0, 0.0, True),
    ("T", 0.0, 200.0, False),
    ("U", 40.0, 260.0, False),
)


def offered(*points, north="true", **known):
    return pairs.offers(Surroundings(ground(*points), **known), DAY, BAND, north=north)


def test_the_same_bearing_from_two_marks_leads_to_different_things():
    (pair,) = offered(*TWO)

    assert (pair.stations, pair.targets, pair.given_deg) == (("A", "B"), ("T", "U"), 0.0)
    assert (pair.apart_m, pair.aside_m, pair.ends_m) == pytest.approx(
        (40.0, 40.0, math.hypot(40, 60)), abs=0.1
    )


def test_the_nearer_the_target_the_more_the_wrong_mark_turns_it():
    (pair,) = offered(*TWO)

    assert [(length, round(turn, 1)) for length, turn in pair.turns_deg] == [
        (50.0, 38.7),
        (100.0, 21.8),
        (300.0, 7.6),
    ]  # atan(40 / length)


def test_the_bearing_is_given_in_the_north_that_is_asked():
    (pair,) = offered(*TWO, north="magnetic")
    norths, _ = ground(*TWO).north_of(MIDDLE, DAY)

    assert pair.given_deg == round(-norths.declination_deg) % 360


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        (("B", 240.0, 0.0, True), "marks far apart"),
        (("B", 2.0, 0.0, True), "lines that lie on one another"),
        (("B", 0.0, -60.0, True), "marks one behind the other"),
        (("U", 70.0, 260.0, False), "nothing on the line from the second"),
    ],
)
def test_ground_that_teaches_nothing_offers_nothing(changed, why):
    points = [changed if point[0] == changed[0] else point for point in TWO]

    assert offered(*points) == [], why


def test_what_leads_into_a_danger_is_not_offered():
    road = Hazard(
        "road",
        "Shingle road",
        tuple(destination(MIDDLE, bearing, 130.0) for bearing in (320.0, 40.0)),
        False,
    )

    assert offered(*TWO, hazards=[road]) == []


def test_a_pair_does_not_begin_where_the_needle_is_bent():
    assert offered(*TWO, bent={"B": bent_by(8.0, 0.7)}) == []


def test_each_two_marks_are_offered_once_and_three_pairs_at_most():
    stations = [(code, 30.0 * place, 0.01, True) for place, code in enumerate("ABCDE")]
    targets = [(f"T{place}", 30.0 * place, 200.0 + 10 * place, False) for place in range(5)]

    found = offered(*stations, *targets)

    assert len(found) == 3
    assert len({frozenset(pair.stations) for pair in found}) == 3


def test_a_key_that_asks_a_pair_is_recognised():
    site = ground(*TWO)
    tasks = [
        Task("1", "follow", "A", "T", "true", BAND, 0.0, "true"),
        Task("2", "sight", "A", "T", "true", BAND),
        Task("3", "follow", "B", "U", "true", BAND, 0.0, "true"),
    ]

    (pair,) = pairs.asked(
        key.compute(tasks, site, DAY), {code: point.position for code, point in site.points.items()}
    )

    assert (pair.tasks, pair.stations, pair.targets, round(pair.aside_m)) == (
        ("1", "3"),
        ("A", "B"),
        ("T", "U"),
        40,
    )


def test_other_bearings_or_one_mark_make_no_pair():
    site = ground(*TWO)
    tasks = [
        Task("1", "follow", "A", "T", "true", BAND, 0.0, "true"),
        Task("2", "follow", "B", "U", "true", BAND, 1.0, "true"),
        Task("3", "follow", "A", "T", "true", BAND, 0.0, "true"),
    ]

    assert (
        pairs.asked(
            key.compute(tasks, site, DAY),
            {code: point.position for code, point in site.points.items()},
        )
        == []
    )
