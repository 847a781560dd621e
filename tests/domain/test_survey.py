"""Positions from visits, days and measurements. Ellipses against the textbook's closed forms; the
rest against simulated truth.
"""

import datetime
import json
import math
import random
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth import geodesy
from exercises.domain.earth.angles import difference
from exercises.domain.earth.ellipse import SCALE_95, Ellipse, added, circle, from_covariance
from exercises.domain.earth.geodesy import Position, apart_m, moved
from exercises.domain.surveying import survey
from exercises.domain.surveying.survey import VISIT_FLOOR_M, Fix, Survey, average, combine, radiate
from exercises.domain.tasks.site import Point, Site

HERE = Position(-45.13, 170.10, 400)
BEGIN = datetime.datetime(2026, 10, 3, 9, 0, tzinfo=datetime.UTC)
DAYS = [datetime.date(2026, 10, day) for day in range(1, 10)]


def visit(rng, *, lasting_m, radius_m=5.0, fixes=60, noise_m=0.5):
    """Fixes of one visit: an error that lasts, and a little noise."""
    east, north = rng.gauss(0, lasting_m), rng.gauss(0, lasting_m)
    return [
        Fix(
            moved(HERE, east + rng.gauss(0, noise_m), north + rng.gauss(0, noise_m)),
            radius_m,
            BEGIN + datetime.timedelta(seconds=second),
        )
        for second in range(fixes)
    ]


def one(east, north, accuracy_m=3.0, method="receiver", on=DAYS[0], start=""):
    return Survey(moved(HERE, east, north), circle(accuracy_m), method, on, start)


def test_an_ellipse_of_covariances_has_the_textbooks_axes():
    # Mikhail & Ackermann (1976), 11.4: a = sqrt of the larger eigenvalue; for 9, 4 and 2 they are
    # 6.5 +- sqrt(10.25). Computed by hand.
    found = from_covariance(9.0, 4.0, 2.0)

    middle, half = 6.5, math.hypot(2.5, 2.0)
    assert found.major_m == pytest.approx(math.sqrt(middle + half), abs=1e-12)
    assert found.minor_m == pytest.approx(math.sqrt(middle - half), abs=1e-12)
    assert found.azimuth_deg == pytest.approx(
        90.0 - 0.5 * math.degrees(math.atan2(4.0, 5.0)), abs=1e-9
    )


def test_the_95_percent_ellipse_holds_95_percent():
    rng = random.Random(5)

    inside = (
        sum(math.hypot(rng.gauss(0, 1), rng.gauss(0, 1)) <= SCALE_95 for _ in range(20_000))
        / 20_000
    )

    assert inside == pytest.approx(0.95, abs=0.006)  # four standard errors of 20,000 draws


@given(st.floats(0.1, 50), st.floats(0.1, 50), st.floats(0, 179.9))
def test_an_ellipse_comes_back_from_its_covariances(one_m, other_m, azimuth):
    ellipse = Ellipse(max(one_m, other_m), min(one_m, other_m), azimuth)
    again = from_covariance(*ellipse.covariance())

    assert (again.major_m, again.minor_m) == (
        pytest.approx(ellipse.major_m, rel=1e-6),
        pytest.approx(ellipse.minor_m, rel=1e-4),
    )
    for bearing in (0, 37, 90):
        assert again.along(bearing) == pytest.approx(ellipse.along(bearing), rel=1e-4)


def test_an_ellipse_is_long_along_and_short_across_its_axis():
    ellipse = Ellipse(4.0, 1.0, 30.0)

    assert (ellipse.along(30), ellipse.across(30), ellipse.along(210)) == (
        pytest.approx(4),
        pytest.approx(1),
        pytest.approx(4),
    )
    assert ellipse.accuracy_m == pytest.approx(math.sqrt(8.5))


def test_two_slanting_ellipses_are_weighted_by_their_inverse_covariances():
    """Generalized least squares by NumPy's matrices: (P1 + P2)^-1 (P1 x1 + P2 x2)."""
    ellipses, places = (Ellipse(6.0, 1.0, 30.0), Ellipse(5.0, 2.0, 100.0)), ((0.0, 0.0), (1.5, 1.0))
    surveys = [
        Survey(moved(HERE, *place), each, "receiver", on, "")
        for place, each, on in zip(places, ellipses, DAYS, strict=False)
    ]
    weights = []
    for each in ellipses:
        east, north, both = each.covariance()
        weights.append(np.linalg.inv([[east, both], [both, north]]))
    weighted = [w @ np.array(place) for w, place in zip(weights, places, strict=True)]
    mean = np.linalg.inv(sum(weights)) @ sum(weighted)

    assert apart_m(combine(surveys).position, moved(HERE, *mean)) < 0.001


def test_independent_errors_add_as_squares():
    assert added(circle(3.0), circle(4.0)).major_m == pytest.approx(5.0)


def test_fixes_are_weighted_by_the_square_of_what_the_phone_states():
    near, far = moved(HERE, 0, 0), moved(HERE, 10, 0)

    found = average([Fix(near, 2.0, BEGIN), Fix(far, 4.0, BEGIN)])

    assert geodesy.east_north_m(HERE, found.position)[0] == pytest.approx(
        10 * (1 / 16) / (1 / 4 + 1 / 16), abs=0.01
    )


@pytest.mark.parametrize("fixes", [2, 60, 1000])
def test_standing_longer_never_makes_a_visit_better_than_its_lasting_error(fixes):
    found = average(visit(random.Random(1), lasting_m=3.0, radius_m=6.0, fixes=fixes))

    assert (
        found.accuracy_m >= 6.0 / survey.SIGMAS_IN_RADIUS * math.sqrt(survey.LASTING_SHARE) - 0.01
    )


def test_a_phone_that_states_a_metre_is_not_believed():
    assert average(visit(random.Random(2), lasting_m=0.1, radius_m=1.0)).accuracy_m == VISIT_FLOOR_M


def test_a_scatter_larger_than_stated_counts():
    assert (
        average(
            visit(random.Random(3), lasting_m=0, radius_m=3.0, noise_m=20.0, fixes=200)
        ).accuracy_m
        > 15
    )


def test_what_a_visit_claims_is_what_simulated_visits_show():
    # Seed 7, 400 visits whose lasting error is what the phone states: the normalised error per
    # coordinate has a mean square of about one.
    rng, radius = random.Random(7), 6.0
    squares = []
    for _ in range(400):
        found = average(
            visit(rng, lasting_m=radius / survey.SIGMAS_IN_RADIUS, radius_m=radius, fixes=20)
        )
        squares += [
            (axis / found.accuracy_m) ** 2 for axis in geodesy.east_north_m(HERE, found.position)
        ]

    assert sum(squares) / len(squares) == pytest.approx(1.1, abs=0.25)


def test_a_visit_has_a_height_where_the_phone_told_one():
    fixes = visit(random.Random(1), lasting_m=1, fixes=3)

    assert average(fixes).height_m is None
    assert average([*fixes[:2], Fix(fixes[2].position, 5.0, fixes[2].at, 412.0)]).height_m == 412.0


def test_one_fix_is_no_survey():
    with pytest.raises(survey.NoFixes, match="Stand still"):
        average(visit(random.Random(1), lasting_m=1, fixes=1))


def test_two_days_are_better_than_one_by_the_root_of_two():
    assert combine([one(1, 0), one(-1, 0, on=DAYS[1])]).ellipse.accuracy_m == pytest.approx(
        3 / math.sqrt(2)
    )


def test_two_visits_of_a_receiver_on_one_day_count_as_one():
    found = combine([one(1, 0), one(-1, 0)])

    assert found.ellipse.accuracy_m == pytest.approx(3.0)
    assert apart_m(found.position, HERE) < 0.01


def test_a_poor_visit_of_the_same_day_hardly_moves_a_good_one():
    found = combine([one(0, 0, 2.0), one(40, 0, 50.0)])

    assert geodesy.east_north_m(HERE, found.position)[0] == pytest.approx(
        40 * (1 / 2500) / (1 / 4 + 1 / 2500), abs=0.01
    )
    assert found.ellipse.accuracy_m == pytest.approx(2.0, abs=0.15)


def test_visits_of_one_day_that_lie_apart_are_not_called_precise():
    assert combine([one(0, 0, 2.0), one(30, 0, 2.0)]).ellipse.accuracy_m > 10


def test_a_phone_that_averaged_and_one_that_was_typed_share_their_day():
    assert combine([one(1, 0), one(-1, 0, method="averaged")]).ellipse.accuracy_m == pytest.approx(
        3.0
    )


@pytest.mark.parametrize(
    ("hour", "longitude", "day"),
    [
        (20, 170.0, 4),
        (2, 170.0, 3),
        (13, 170.0, 4),
        (12, 170.0, 3),
        (4, -70.0, 2),
        (5, -70.0, 3),
        (12, 0.0, 3),
    ],
)
def test_a_day_is_that_of_the_sun_at_the_place(hour, longitude, day):
    assert (
        survey.day_at(datetime.datetime(2026, 10, 3, hour, 0, tzinfo=datetime.UTC), longitude).day
        == day
    )


def test_two_looks_at_one_map_count_as_one():
    assert combine(
        [one(0, 0, method="map"), one(1, 0, method="map", on=DAYS[4])]
    ).ellipse.accuracy_m == pytest.approx(3.0)


def test_two_radiations_from_one_station_count_as_one_and_from_two_as_two():
    same = combine([one(0, 0, 1.0, "surveyed", start="A"), one(0.1, 0, 1.0, "surveyed", start="A")])
    two = combine([one(0, 0, 1.0, "surveyed", start="A"), one(0.1, 0, 1.0, "surveyed", start="B")])

    assert (same.ellipse.accuracy_m, two.ellipse.accuracy_m) == (
        pytest.approx(1.0),
        pytest.approx(1 / math.sqrt(2)),
    )


def test_a_good_survey_outweighs_a_poor_one_by_the_square():
    found = combine([one(0, 0, 1.0, "surveyed"), one(0, 3, 3.0)])

    assert geodesy.east_north_m(HERE, found.position)[1] == pytest.approx(
        3 * (1 / 9) / (1 + 1 / 9), abs=0.01
    )


def test_a_long_ellipse_leaves_the_other_direction_to_others():
    # Known well across north-south only: the east comes from it, the north from the other.
    lines = [
        Survey(moved(HERE, 2, 8), Ellipse(50.0, 0.1, 0.0), "surveyed", DAYS[0]),
        Survey(moved(HERE, 9, 1), Ellipse(50.0, 0.1, 90.0), "surveyed", DAYS[0]),
    ]

    east, north = geodesy.east_north_m(HERE, combine(lines).position)

    assert (east, north) == (pytest.approx(2, abs=0.05), pytest.approx(1, abs=0.05))


def test_a_survey_three_sigmas_off_is_flagged_and_not_left_out():
    found = combine(
        [one(0, 0), one(1, 1, on=DAYS[1]), one(0, -1, on=DAYS[2]), one(40, 0, on=DAYS[3])]
    )

    assert found.outliers == (False, False, False, True)
    assert geodesy.east_north_m(HERE, found.position)[0] == pytest.approx(10.25, abs=0.1)


def test_of_two_that_contradict_each_other_both_are_flagged_and_the_result_is_not_called_precise():
    found = combine([one(0, 0, 0.5, "surveyed"), one(0, 20, 3.0)])

    assert found.outliers == (True, True)
    # Birge (1932): sqrt(chi-squared over degrees of freedom), here sqrt(20^2 / (0.25 + 9) / 2).
    assert found.ellipse.accuracy_m == pytest.approx(
        math.sqrt(1 / (4 + 1 / 9)) * math.sqrt(400 / 9.25 / 2), rel=1e-3
    )


def test_outliers_are_rare_among_sound_surveys():
    # Seed 11, 300 points surveyed on four days each: of 1,200 sound surveys under 2 % are flagged
    # (a 2-d normal beyond 3 sigmas along its own direction: 1.1 %).
    rng = random.Random(11)
    flagged = sum(
        sum(combine([one(rng.gauss(0, 3), rng.gauss(0, 3), on=day) for day in DAYS[:4]]).outliers)
        for _ in range(300)
    )

    assert 0 < flagged < 24


def test_a_radiation_is_a_polar_plot():
    # FM 3-25.26 ch. 6, polar plot: from memory; the geodesic's own check is in test_geodesy. The
    # mean of the cosine of half a degree's scatter is 1 - 0.5 (0.5 degrees)^2: test_radiated_arc.
    site = Site({"A": Point("A", "gate", HERE, 0.0001)}, grid_epsg=None)

    found = radiate(
        site,
        "A",
        70.0,
        "true",
        250.0,
        bearing_uncertainty_deg=0.5,
        distance_uncertainty_m=0.2,
        on=DAYS[0],
    )

    line = geodesy.sight_line(HERE, found.position)
    assert (line.bearing_deg, line.distance_m) == (
        pytest.approx(70.0, abs=1e-6),
        pytest.approx(250.0 * (1.0 - math.radians(0.5) ** 2 / 2.0), abs=1e-5),
    )
    assert found.ellipse.along(70) == pytest.approx(0.2, abs=1e-3)
    assert found.ellipse.across(70) == pytest.approx(250 * math.tan(math.radians(0.5)), abs=1e-3)
    assert found.declination_deg is None


def test_a_magnetic_radiation_uses_the_declination_of_its_day():
    site = Site({"A": Point("A", "gate", HERE, 0.5)})

    old, new = (
        radiate(
            site,
            "A",
            70.0,
            "magnetic",
            250.0,
            bearing_uncertainty_deg=0.5,
            distance_uncertainty_m=0.2,
            on=day,
        )
        for day in (datetime.date(2025, 1, 15), datetime.date(2029, 12, 15))
    )

    assert old.true_bearing_deg == pytest.approx(70 + old.declination_deg)
    assert 0.05 < abs(difference(old.true_bearing_deg, new.true_bearing_deg)) < 1.0


def test_the_station_and_the_declination_count_in_a_radiations_ellipse():
    site = Site({"A": Point("A", "gate", HERE, 2.0)})

    true, magnetic = (
        radiate(
            site,
            "A",
            0.0,
            north,
            300.0,
            bearing_uncertainty_deg=0.5,
            distance_uncertainty_m=0.2,
            on=DAYS[0],
        )
        for north in ("true", "magnetic")
    )

    assert true.ellipse.across(0) == pytest.approx(
        math.hypot(2.0, 300 * math.tan(math.radians(0.5))), rel=1e-3
    )
    assert magnetic.ellipse.along(magnetic.true_bearing_deg + 90) > true.ellipse.across(0)


def test_a_radiations_ellipse_holds_what_simulated_measurements_give():
    # Seed 3, 2,000 measurements of a bearing of 1 degree and a tape of 0.3 m: 95 % lie in the 95 %
    # ellipse.
    site, rng = Site({"A": Point("A", "gate", HERE, 0.0001)}), random.Random(3)
    found = radiate(
        site,
        "A",
        40.0,
        "true",
        100.0,
        bearing_uncertainty_deg=1.0,
        distance_uncertainty_m=0.3,
        on=DAYS[0],
    )
    along, across = found.ellipse.along(40), found.ellipse.across(40)

    inside = 0
    for _ in range(2000):
        line = geodesy.sight_line(
            HERE, geodesy.destination(HERE, 40 + rng.gauss(0, 1), 100 + rng.gauss(0, 0.3))
        )
        off_along, off_across = (
            line.distance_m - 100,
            math.radians(difference(line.bearing_deg, 40)) * 100,
        )
        inside += (off_along / along) ** 2 + (off_across / across) ** 2 <= SCALE_95**2

    assert inside / 2000 == pytest.approx(0.95, abs=0.02)


def test_the_phone_and_the_server_average_alike():
    cases = json.loads(
        (Path(__file__).resolve().parents[2] / "fixtures" / "shared" / "averages.json").read_text(
            encoding="utf-8"
        )
    )
    for case in cases:
        found = average(
            [
                Fix(
                    Position(latitude, longitude),
                    radius,
                    datetime.datetime.fromtimestamp(at / 1000, datetime.UTC),
                )
                for latitude, longitude, radius, at in case["fixes"]
            ]
        )

        assert apart_m(found.position, Position(*case["place"])) < 0.01
        assert (found.accuracy_m, found.scatter_m) == (
            pytest.approx(case["accuracy"], abs=0.005),
            pytest.approx(case["scatter"], abs=0.005),
        )


def test_a_survey_that_knows_no_height_does_not_pull_the_height_of_others_down():
    low = Survey(Position(-45.13, 170.10), circle(1.0), "surveyed", DAYS[0])
    first = Survey(Position(-45.13, 170.10, 400.0), circle(1.0), "surveyed", DAYS[1])
    second = Survey(Position(-45.13, 170.10, 412.0), circle(1.0), "surveyed", DAYS[2])

    assert combine([low, first, second]).position.elevation_m == pytest.approx(406.0)


def test_surveys_without_a_height_give_a_position_without_one():
    assert combine([Survey(Position(-45.13, 170.10), circle(1.0), "map", DAYS[0])]).position == (
        Position(-45.13, 170.10, None)
    )
