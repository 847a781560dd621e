"""Surveyed traverses: Bowditch's rule against published loops, least squares against a solution
written apart, ellipses and chances against simulated truth.
"""

import math
import random
from dataclasses import replace

import numpy as np
import pytest

from exercises.domain.earth.ellipse import SCALE_95, Ellipse, circle
from exercises.domain.surveying.traverse import Leg, corners
from exercises.domain.surveying.traverses.leg_sets import MeanLeg, SetMean
from exercises.domain.surveying.traverses.traverse_adjustment import (
    MeasuredLeg,
    Traverse,
    adjust,
    angular_misclosure,
    bowditch,
    chance,
    conditions_of,
)
from tests import published

# printed to 0.001 ft; a corner is a sum of up to five of them, and its corrections are rounded too
SUMMED_DIGITS_FT = 0.003
TRUE_LEGS = [(62.0, 84.0), (141.0, 63.0), (228.0, 120.0), (290.0, 45.0)]


KNOWN = circle(0.0)


def loop(legs, start=KNOWN):
    return Traverse(tuple(MeasuredLeg(b % 360, d, 1.0, 0.1) for b, d in legs), start)


def link(legs, end_at, **more):
    made = loop(legs, start=Ellipse(0.4, 0.2, 30.0))
    return Traverse(
        made.legs, made.start, end_at, **{"end": circle(0.3), "turn_error_deg": 0.4, **more}
    )


def published_loop(name):
    rows = published.rows("traverse_adjusted", traverse=name)
    legs = [
        Leg(float(row["azimuth_deg"]), float(row["length_ft"]))
        if row["azimuth_deg"]
        else Leg(
            math.degrees(math.atan2(float(row["departure_ft"]), float(row["latitude_ft"]))) % 360,
            math.hypot(float(row["departure_ft"]), float(row["latitude_ft"])),
        )
        for row in rows
    ]
    return rows, loop([(leg.bearing_deg, leg.distance_m) for leg in legs])


@pytest.mark.parametrize("name", ["mahun", "wolf"])
def test_bowditch_places_the_corners_of_a_published_loop(name):
    rows, traverse = published_loop(name)
    latitudes = np.cumsum([float(row["adjusted_latitude_ft"]) for row in rows])
    departures = np.cumsum([float(row["adjusted_departure_ft"]) for row in rows])

    found = np.array(bowditch(traverse))

    assert found[:, 0] == pytest.approx(departures, abs=SUMMED_DIGITS_FT)
    assert found[:, 1] == pytest.approx(latitudes, abs=SUMMED_DIGITS_FT)


@pytest.mark.parametrize(
    ("name", "closure_ft", "ratio", "rounded_to"),
    [("mahun", 0.157, 15_200, 100), ("wolf", 0.08, 30_000, 1000)],
)
def test_the_precision_ratio_of_a_published_loop(name, closure_ft, ratio, rounded_to):
    found = adjust(published_loop(name)[1])

    assert found.misclosure.linear_m == pytest.approx(closure_ft, abs=0.0015)
    assert found.ratio == pytest.approx(ratio, abs=rounded_to)


def test_a_way_that_closes_has_no_precision_ratio():
    found = adjust(loop([(0, 100), (120, 100), (240, 100)]))

    assert found.ratio is None
    assert found.chance == pytest.approx(1.0)


def solved_apart(traverse):
    """Least squares by parameters instead of conditions: unknown corners, start, end and common
    turn; each observation over its uncertainty; Gauss and Newton with numeric slopes. Corners
    (legs, 2), their covariances, and the sum of squares.
    """
    number, is_loop = len(traverse.legs), traverse.end is None
    root = {
        name: np.linalg.cholesky(np.linalg.inv(matrix)).T
        for name, matrix in (
            ("start", covariance(traverse.start)),
            ("end", covariance(traverse.end or circle(1.0))),
        )
    }

    def residuals(unknown):
        places = unknown[: 2 * number + 2].reshape(-1, 2)
        ends = [*places[1:-1], places[0]] if is_loop else list(places[1:])
        left = list(root["start"] @ places[0])
        if not is_loop:
            left += list(root["end"] @ (places[-1] - np.array(traverse.end_at)))
        for leg, begin, finish in zip(traverse.legs, [places[0], *ends[:-1]], ends, strict=True):
            east, north = finish - begin
            bearing = math.degrees(math.atan2(east, north))
            off = math.remainder(leg.bearing_deg + unknown[-1] - bearing, 360.0)
            left.append(off / leg.bearing_error_deg)
            left.append((leg.distance_m - math.hypot(east, north)) / leg.distance_error_m)
        left.append(unknown[-1] / max(traverse.turn_error_deg, 1e-9))
        if is_loop:
            left += list(places[-1])  # an unknown that a loop does not have
        return np.array(left)

    unknown = np.append(np.array(corners([leg.leg for leg in traverse.legs])).ravel(), 0.0)
    for _ in range(30):
        slopes = np.array(
            [
                (residuals(unknown + step) - residuals(unknown - step)) / 2e-5
                for step in 1e-5 * np.eye(unknown.size)
            ]
        ).T
        unknown = unknown - np.linalg.lstsq(slopes, residuals(unknown), rcond=None)[0]
    inverse = np.linalg.inv(slopes.T @ slopes)
    rows = [*range(1, number), 0 if is_loop else number]
    return (
        [unknown[2 * row : 2 * row + 2] for row in rows],
        [inverse[2 * row : 2 * row + 2, 2 * row : 2 * row + 2] for row in rows],
        float(np.sum(residuals(unknown) ** 2)),
    )


def covariance(ellipse):
    east, north, both = ellipse.covariance()
    return np.array([[east, both], [both, north]])


WORSE = [(63.1, 84.2), (140.2, 62.9), (228.9, 119.6), (309.0, 45.2)]


@pytest.mark.parametrize(
    "traverse",
    [
        pytest.param(loop(WORSE, start=circle(0.5)), id="loop"),
        pytest.param(link(WORSE[:3], (40.0, -90.0)), id="link that misses by much"),
        pytest.param(link(WORSE[:2], (115.2, -9.0)), id="link that misses by little"),
    ],
)
def test_least_squares_agrees_with_a_solution_written_apart(traverse):
    """Scaled back by Birge's factor, which the other does not know."""
    places, covariances, squares = solved_apart(traverse)

    found = adjust(traverse)

    assert 2.0 * found.variance_factor == pytest.approx(squares, rel=1e-5)
    grown = max(1.0, found.variance_factor)
    for corner, place, expected in zip(found.corners, places, covariances, strict=True):
        assert corner.adjusted == pytest.approx(tuple(place), abs=1e-5)
        assert covariance(corner.ellipse) / grown == pytest.approx(expected, rel=1e-3, abs=1e-6)


def test_least_squares_is_bowditchs_rule_where_errors_grow_with_the_root_of_the_length():
    """Bowditch's own assumption: along and across, variances proportional to the length (Mikhail &
    Ackermann and others prove it). Small misclosure, so that curvature does not show.
    """
    legs = [(62.01, 84.0), (141.0, 63.02), (228.0, 120.0), (310.0, 45.0)]
    closing = corners([Leg(*leg) for leg in legs])[-1]
    traverse = Traverse(
        tuple(
            MeasuredLeg(b, d, math.degrees(0.02 / math.sqrt(d)), 0.02 * math.sqrt(d))
            for b, d in legs
        ),
        circle(0.0),
        (closing[0] + 0.03, closing[1] - 0.02),
        circle(0.0),
    )

    found = adjust(traverse)

    for corner in found.corners:
        assert corner.adjusted == pytest.approx(corner.bowditch, abs=2e-5)
        assert corner.bowditch != pytest.approx(corner.measured, abs=1e-3)


def test_a_loop_ends_where_it_began_and_as_well_known():
    found = adjust(loop(WORSE, start=Ellipse(0.5, 0.3, 20.0)))

    assert found.corners[-1].adjusted == pytest.approx((0.0, 0.0), abs=1e-9)
    grown = math.sqrt(max(1.0, found.variance_factor))
    assert found.corners[-1].ellipse.major_m == pytest.approx(0.5 * grown, rel=1e-6)
    assert all(corner.ellipse.minor_m >= 0.3 for corner in found.corners)


def test_what_turns_a_whole_loop_alike_does_not_open_it():
    still = loop(closed_by_a_last_leg(TRUE_LEGS[:3]))
    turned = replace(still, turn_error_deg=5.0)

    assert conditions_of(turned).covariance() == pytest.approx(
        conditions_of(still).covariance(), rel=1e-6, abs=1e-9
    )
    assert adjust(turned).corners[1].ellipse.major_m > 3 * adjust(still).corners[1].ellipse.major_m


def closed_by_a_last_leg(legs):
    east, north = corners([Leg(*leg) for leg in legs])[-1]
    return [*legs, (math.degrees(math.atan2(-east, -north)) % 360, math.hypot(east, north))]


def simulated(rng, is_loop):
    """A traverse as measured, and where its corners really are from where the start is believed."""
    sigma_b, sigma_d, turn = 1.0, 0.15, rng.gauss(0, 0.4)
    legs = closed_by_a_last_leg(TRUE_LEGS)
    true = corners([Leg(*leg) for leg in legs])
    stop = None if is_loop else 4
    measured = [
        MeasuredLeg((b + turn + rng.gauss(0, sigma_b)) % 360, d + rng.gauss(0, sigma_d), 1.0, 0.15)
        for b, d in legs[:stop]
    ]
    start_off = rng.gauss(0, 0.4), rng.gauss(0, 0.4)
    end_off = rng.gauss(0, 0.3), rng.gauss(0, 0.3)
    really = [(e - start_off[0], n - start_off[1]) for e, n in true[1:]]
    end_at = (0.0, 0.0) if is_loop else tuple(np.array(really[3]) + np.array(end_off))
    end = None if is_loop else circle(0.3)
    return Traverse(tuple(measured), circle(0.4), end_at, end, 0.4), really[1]


@pytest.mark.parametrize("is_loop", [True, False])
def test_the_ellipses_hold_the_corners_as_often_as_they_say(is_loop):
    """Monte Carlo, 3000 traverses, seed 21: the corner in the middle lies in the 95 % ellipse
    96.4 % of the time. That is 95 % with the growth by Birge's ratio worked out: chi-squared over
    two is exponential, and the integral of (1 - 0.05 ** max(1, u)) exp(-u) is 0.9634.
    """
    rng, inside = random.Random(21), 0
    for _ in range(3000):
        traverse, really = simulated(rng, is_loop)
        corner = adjust(traverse).corners[1]
        off = np.array(really) - np.array(corner.adjusted)
        inside += float(off @ np.linalg.solve(covariance(corner.ellipse), off)) <= SCALE_95**2

    assert inside / 3000 == pytest.approx(0.9634, abs=0.009)  # 2.6 standard errors


def test_a_sound_traverse_is_doubted_one_time_in_twenty():
    """The same, seed 22: chances of sound traverses are spread evenly."""
    rng = random.Random(22)
    chances = [chance(conditions_of(simulated(rng, is_loop=False)[0])) for _ in range(3000)]

    assert np.mean(np.array(chances) < 0.05) == pytest.approx(0.05, abs=0.012)
    assert np.mean(np.array(chances) < 0.5) == pytest.approx(0.5, abs=0.03)


def of_both_ends(*off_deg):
    once = SetMean(0.0, 1, None, 1.0)
    return [MeanLeg("A", "B", once, once, off, ()) for off in off_deg]


@pytest.mark.parametrize("misread_deg", [0.0, 0.7, -1.3])
@pytest.mark.parametrize("name", ["T2", "T4"])
def test_the_angles_of_a_published_loop_fail_to_close_by_what_was_misread(name, misread_deg):
    """Interior angles at the corners from fore and back bearings, their sum minus (n - 2) 180, as
    surveyors work it (fixtures/published/local_attraction.csv; both close: iron cancels in the
    angles of its corner), with one of them misread by us.
    """
    rows = published.rows("local_attraction", traverse=name)
    fore = [float(row["fore_observed_deg"]) for row in rows]
    back = [float(row["back_observed_deg"]) for row in rows]
    fore[1] += misread_deg
    turns = [(fore[place] - back[place - 1]) % 360.0 for place in range(len(rows))]
    right = (len(rows) - 2) * 180.0
    over = min(
        (sum(turns) - right, right - sum(360.0 - turn for turn in turns)), key=abs
    )  # going round with the sun or against it
    off = [
        math.remainder(one - other - 180.0, 360.0) for one, other in zip(fore, back, strict=True)
    ]

    assert angular_misclosure(of_both_ends(*off)) == pytest.approx(over, abs=1e-5)
    assert over == pytest.approx(misread_deg, abs=1e-5)


def test_without_every_back_bearing_the_angles_are_not_known():
    assert angular_misclosure(of_both_ends(0.5, None, 0.1)) is None
