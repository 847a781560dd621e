"""Ways of legs: against two published traverses, and a simulation of paced ways."""

import math
import random

import numpy as np
import pytest
from hypothesis import given, strategies as st

from exercises.domain.surveying.traverse import (
    PACE_COUNT_SHARE,
    PACED_SHARE,
    WALKED_BEARING_DEG,
    BadLegs,
    Leg,
    Misclosure,
    corners,
    ellipse_of,
    end,
    misclosure,
    parse_legs,
)
from tests import published

LAST_DIGIT_FT = 0.0006  # published to 0.001 ft, bearings to the second
ROWS = published.rows("traverse")


@pytest.mark.parametrize(
    "row",
    [row for row in ROWS if row["line"] != "sum"],
    ids=lambda row: f"{row['traverse']} {row['line']}",
)
def test_latitude_and_departure_of_a_published_line(row):
    leg = Leg(float(row["azimuth_deg"]), float(row["length_ft"]))

    assert (leg.latitude_m, leg.departure_m) == pytest.approx(
        (float(row["latitude_ft"]), float(row["departure_ft"])), abs=LAST_DIGIT_FT
    )


@pytest.mark.parametrize(("traverse", "goal"), [("loop", (0.0, 0.0)), ("link", (336.140, 112.800))])
def test_misclosure_of_a_published_traverse(traverse, goal):
    """The link's own check: T should lie at 2713.280 N, 1727.810 E from Q at 2600.480 N, 1391.670
    E; the page prints the errors +0.555 and -0.070.
    """
    legs = [
        Leg(float(row["azimuth_deg"]), float(row["length_ft"]))
        for row in ROWS
        if row["traverse"] == traverse and row["line"] != "sum"
    ]
    total = next(row for row in ROWS if row["traverse"] == traverse and row["line"] == "sum")

    found = misclosure(legs, *goal)

    assert found.length_m == pytest.approx(float(total["length_ft"]), abs=1e-6)
    assert (found.north_m + goal[1], found.east_m + goal[0]) == pytest.approx(
        (float(total["latitude_ft"]), float(total["departure_ft"])), abs=2 * LAST_DIGIT_FT
    )


def test_the_linear_misclosure_of_the_published_loop():
    """sqrt(0.083^2 + 0.075^2) = 0.112 ft."""
    legs = [
        Leg(float(row["azimuth_deg"]), float(row["length_ft"]))
        for row in ROWS
        if row["traverse"] == "loop" and row["line"] != "sum"
    ]

    assert misclosure(legs).linear_m == pytest.approx(0.112, abs=0.001)


@pytest.mark.parametrize(
    ("bearing_deg", "along_m", "across_m"), [(0, 4, 3), (90, 3, -4), (180, -4, -3), (270, -3, 4)]
)
def test_a_miss_is_split_along_a_bearing_and_to_its_right(bearing_deg, along_m, across_m):
    assert Misclosure(3.0, 4.0, 100.0).split(bearing_deg) == pytest.approx((along_m, across_m))


@given(st.floats(0, 359.9), st.floats(5, 500), st.floats(0, 359.9))
def test_splitting_keeps_the_length(bearing_deg, distance_m, other_deg):
    leg = Leg(bearing_deg, distance_m)

    assert math.hypot(
        *Misclosure(leg.departure_m, leg.latitude_m, 1.0).split(other_deg)
    ) == pytest.approx(distance_m)


def test_one_leg_is_as_uncertain_as_its_turned_diagonal():
    """By matrix algebra with NumPy: R diag(along^2, across^2) R^T, and the pace count along it."""
    along = 100 * math.hypot(PACED_SHARE, PACE_COUNT_SHARE)
    across = 100 * math.radians(WALKED_BEARING_DEG)
    east, north = math.sin(math.radians(30)), math.cos(math.radians(30))
    turn = np.array([[east, north], [north, -east]])
    expected = turn @ np.diag([along**2, across**2]) @ turn.T

    assert ellipse_of([Leg(30, 100)]).covariance() == pytest.approx(
        [expected[0, 0], expected[1, 1], expected[0, 1]]
    )


def test_the_ellipse_is_the_spread_of_paced_ways():
    """Monte Carlo, 6000 walks, seed 11: bearings, paces of each leg, one pace count; axes within 4
    %.
    """
    rng, legs, ends = random.Random(11), [Leg(40, 160), Leg(130, 145), Leg(250, 90)], []
    for _ in range(6000):
        count = 1 + rng.gauss(0, PACE_COUNT_SHARE)
        ends.append(
            end(
                [
                    Leg(
                        leg.bearing_deg + rng.gauss(0, WALKED_BEARING_DEG),
                        leg.distance_m * (count + rng.gauss(0, PACED_SHARE)),
                    )
                    for leg in legs
                ]
            )
        )

    axes = np.sqrt(np.sort(np.linalg.eigvalsh(np.cov(np.array(ends).T)))[::-1])
    ellipse = ellipse_of(legs)

    assert axes == pytest.approx([ellipse.major_m, ellipse.minor_m], rel=0.04)


@pytest.mark.parametrize("text", ["040 60", " 040  60 m ;", "040°  60", "40 60\n"])
def test_legs_are_read_as_people_write_them(text):
    assert parse_legs(text) == (Leg(40.0, 60.0),)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("040", "not a leg"),
        ("400 60", "more than a full circle"),
        ("040 2", "5 to 2000 m"),
        ("040 60 130 45", "not a leg"),
        ("; ".join(["040 60"] * 9), "at most 8"),
        ("−40 60", "not a leg"),
    ],
)
def test_legs_that_cannot_be_walked_are_refused_in_words(text, complaint):
    with pytest.raises(BadLegs, match=complaint):
        parse_legs(text)


@given(st.lists(st.tuples(st.integers(0, 359), st.integers(5, 2000)), max_size=8))
def test_legs_survive_being_written_and_read(legs):
    assert parse_legs(
        "; ".join(f"{bearing:03d} {distance}" for bearing, distance in legs)
    ) == tuple(Leg(float(bearing), float(distance)) for bearing, distance in legs)


def test_a_way_turns_where_its_legs_meet():
    assert [
        tuple(round(metres, 6) for metres in place) for place in corners([Leg(90, 30), Leg(0, 40)])
    ] == [(0, 0), (30, 0), (30, 40)]
