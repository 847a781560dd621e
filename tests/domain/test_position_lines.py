"""Positions from bearings, against constructed cases, a search that shares no code with the
solution, and geometry that every text on resection states.
"""

import itertools
import math
import random

import numpy as np
import pytest

from exercises.domain.surveying.position_lines import NoCrossing, PositionLine, cross, cut
from tests import published

SIX_DECIMALS_M = 0.0001  # what bearings of six decimals leave open over 2 km


def line(east_m, north_m, to_east_m, to_north_m, sigma_deg=1.0, off_deg=0.0, known_m=0.0):
    bearing_deg = math.degrees(math.atan2(to_east_m - east_m, to_north_m - north_m)) % 360
    return PositionLine(
        f"{east_m:g}", east_m, north_m, (bearing_deg + off_deg) % 360, sigma_deg, known_m
    )


@pytest.mark.parametrize("row", published.rows("intersection_resection"), ids=lambda row: row["id"])
def test_two_bearings_meet_where_the_published_position_is(row):
    a, b, place = (
        tuple(float(row[f"{name}_{axis}_m"]) for axis in ("east", "north")) for name in "ABP"
    )
    lines = [
        PositionLine(name, *at, float(row[f"grid_bearing_{name}_deg"]), 1.0)
        for name, at in (("A", a), ("B", b))
    ]

    found = cross(lines)

    assert math.hypot(found.east_m - place[0], found.north_m - place[1]) < SIX_DECIMALS_M * 10
    assert found.cut_deg == pytest.approx(
        min(abs(float(row["crossing_angle_deg"])), 180 - abs(float(row["crossing_angle_deg"]))),
        abs=1e-4,
    )


def test_a_back_bearing_drawn_the_wrong_way_out_is_the_same_line():
    lines = [line(0, 0, 300, 400), line(500, 0, 300, 400)]

    turned = cross([lines[0].turned(180), lines[1]])

    assert (round(turned.east_m, 6), round(turned.north_m, 6)) == (300, 400)


def searched(lines):
    """The place from which the bearings miss least, by halving a mesh: no derivatives, no linear
    algebra, nothing of the solution's code.
    """

    def missed(east, north):
        return sum(
            math.sin(
                math.atan2(east - one.east_m, north - one.north_m) - math.radians(one.bearing_deg)
            )
            ** 2
            / math.radians(one.sigma_deg) ** 2
            for one in lines
        )

    at, step = (0.0, 0.0), 400.0
    while step > 1e-5:
        at = min(
            (
                (at[0] + step * i, at[1] + step * j)
                for i, j in itertools.product((-2, -1, 0, 1, 2), repeat=2)
            ),
            key=lambda place: missed(*place),
        )
        step /= 1.6
    return at


@pytest.mark.parametrize("seed", range(25))
def test_three_bearings_that_do_not_meet_give_the_least_squares_place(seed):
    rng = random.Random(seed)
    around = [
        (600 * math.sin(turn), 600 * math.cos(turn))
        for turn in (rng.uniform(0, 1.5), rng.uniform(2.2, 3.2), rng.uniform(4.2, 5.5))
    ]
    place = rng.uniform(-150, 150), rng.uniform(-150, 150)
    lines = [
        line(*known, *place, sigma_deg=rng.uniform(0.8, 2.5), off_deg=rng.gauss(0, 2))
        for known in around
    ]

    found = cross(lines)

    assert math.dist((found.east_m, found.north_m), searched(lines)) < 0.001


def test_the_ellipse_is_the_spread_of_repeated_fixes():
    """Monte Carlo after JCGM 101: 4000 fixes with normal errors, seed 7; the axes within 4 %."""
    rng, lines = (
        random.Random(7),
        [line(0, 900, 0, 0, 1.5), line(700, 100, 0, 0, 1.5), line(-300, -400, 0, 0, 2.0)],
    )
    places = np.array(
        [
            (found.east_m, found.north_m)
            for found in (
                cross([one.turned(rng.gauss(0, one.sigma_deg)) for one in lines])
                for _ in range(4000)
            )
        ]
    )

    variances = np.sort(np.linalg.eigvalsh(np.cov(places.T)))[::-1]
    ellipse = cross(lines).ellipse

    assert np.sqrt(variances) == pytest.approx([ellipse.major_m, ellipse.minor_m], rel=0.04)


def test_known_points_that_are_known_badly_widen_the_ellipse():
    sharp, blurred = (
        cross(
            [line(0, 500, 0, 0, 1.0, known_m=known), line(500, 0, 0, 0, 1.0, known_m=known)]
        ).ellipse.accuracy_m
        for known in (0.0, 20.0)
    )

    assert blurred == pytest.approx(math.hypot(sharp, 20.0), rel=0.001)


@pytest.mark.parametrize(
    ("cut_deg", "long"),
    [(90, 1.0), (30, 1 / math.tan(math.radians(15))), (20, 1 / math.tan(math.radians(10)))],
)
def test_a_poor_cut_stretches_the_ellipse(cut_deg, long):
    """Two lines of one uncertainty and length: the axes' ratio is cot of half the cut."""
    lines = [
        line(800 * math.sin(turn), 800 * math.cos(turn), 0, 0)
        for turn in (0.0, math.radians(cut_deg))
    ]
    found = cross(lines)

    assert found.ellipse.major_m / found.ellipse.minor_m == pytest.approx(long, rel=1e-6)
    assert found.cut_deg == pytest.approx(cut_deg)


@pytest.mark.parametrize("turn", [-20, -7, 4, 15])
def test_with_two_targets_a_wrong_north_moves_the_fix_along_the_circle_through_both(turn):
    """The inscribed angle: the place stays on the circle through both targets and the true position
    (Euclid III.21).
    """
    targets, place = ((0.0, 600.0), (500.0, 100.0)), (0.0, 0.0)
    found = cross([line(*target, *place).turned(turn) for target in targets])
    moved = np.array([found.east_m, found.north_m])

    points = np.array([*targets, place])
    centre = np.linalg.solve(
        2 * (points[1:] - points[0]), (points[1:] ** 2).sum(axis=1) - (points[0] ** 2).sum()
    )

    assert np.linalg.norm(moved) > 30
    assert np.linalg.norm(moved - centre) == pytest.approx(
        np.linalg.norm(points[0] - centre), abs=1e-4
    )


def test_with_three_targets_a_wrong_north_opens_a_triangle_of_error():
    lines = [line(*target, 0, 0).turned(12) for target in ((0, 600), (500, 100), (-300, -200))]

    corners = [cross(pair) for pair in itertools.combinations(lines, 2)]

    assert (
        min(
            math.dist((one.east_m, one.north_m), (other.east_m, other.north_m))
            for one, other in itertools.combinations(corners, 2)
        )
        > 50
    )


def test_lines_that_run_alongside_do_not_meet():
    with pytest.raises(NoCrossing, match="alongside"):
        cross([PositionLine("A", 0, 0, 40, 1), PositionLine("B", 300, 0, 220.5, 1)])


def test_one_line_is_no_place():
    with pytest.raises(NoCrossing):
        cross([PositionLine("A", 0, 0, 40, 1)])


def test_cuts_are_counted_as_acute_angles():
    assert [
        round(cut(PositionLine("A", 0, 0, one, 1), PositionLine("B", 0, 0, other, 1)), 6)
        for one, other in ((10, 100), (350, 20), (10, 170), (10, 190))
    ] == [90, 30, 20, 0]
