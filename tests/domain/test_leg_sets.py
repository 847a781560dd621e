"""Sets and means: against certified statistics, and simulated readings."""

import math
import random

import numpy as np
import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth.angles import difference
from exercises.domain.surveying.traverses.leg_sets import (
    PRIOR_FREEDOM,
    Instruments,
    Observed,
    OtherWay,
    mean_bearing,
    mean_leg,
    mean_of,
)

COMPASS = Instruments(bearing_deg=1.0, distance_m=0.1)


def test_the_mean_and_spread_of_certified_numbers():
    """NIST Statistical Reference Datasets, NumAcc1 (from memory): 10000001, 10000003 and 10000002
    have the mean 10000002 and the standard deviation 1, exactly.
    """
    found = mean_of([10000001.0, 10000003.0, 10000002.0], stated=1.0)

    assert (found.value, found.spread, found.number) == (10000002.0, 1.0, 3)
    assert found.standard_error == pytest.approx(1.0 / math.sqrt(3), abs=1e-6)


def test_one_measurement_is_as_good_as_its_instrument():
    found = mean_of([60.5], stated=0.1)

    assert (found.value, found.spread, found.standard_error) == (60.5, None, 0.1)


def test_two_readings_that_agree_by_luck_are_not_called_exact():
    assert mean_bearing([74.0, 74.0], stated_deg=1.0).standard_error == pytest.approx(
        math.sqrt(PRIOR_FREEDOM / (PRIOR_FREEDOM + 1) / 2), abs=1e-6
    )


def test_a_long_set_is_as_good_as_it_shows():
    """Against NumPy: 200 readings that scatter three times as much as was stated, seed 4."""
    rng = random.Random(4)
    bearings = [rng.gauss(200.0, 3.0) for _ in range(200)]

    found = mean_bearing(bearings, stated_deg=1.0)

    assert found.value == pytest.approx(np.mean(bearings), abs=0.01)
    assert found.standard_error == pytest.approx(np.std(bearings, ddof=1) / 200**0.5, rel=0.02)


@given(st.floats(0, 359.9), st.lists(st.floats(-5, 5), min_size=1, max_size=8))
def test_a_mean_bearing_turns_with_its_readings(turned_deg, readings):
    still = mean_bearing([reading % 360 for reading in readings], 1.0)
    turned = mean_bearing([(reading + turned_deg) % 360 for reading in readings], 1.0)

    assert difference(turned.value, still.value + turned_deg) == pytest.approx(0.0, abs=1e-6)
    assert turned.standard_error == pytest.approx(still.standard_error, abs=1e-5)


def test_fore_and_back_are_one_set_across_north():
    leg = mean_leg(
        "A",
        "B",
        [Observed(1, 359.0, 181.0, 60.0), Observed(2, 0.5, None, 60.2)],
        COMPASS,
    )

    assert leg.bearing.value == pytest.approx(((-1.0) + 1.0 + 0.5) / 3, abs=1e-3)
    assert leg.bearing.number == 3
    assert leg.fore_minus_back_deg == pytest.approx(-1.25, abs=1e-3)
    assert (leg.distance.value, leg.distance.number) == (60.1, 2)


def test_a_leg_read_from_one_end_knows_nothing_of_the_other():
    assert mean_leg("A", "B", [Observed(1, 74.0, None, 60.0)], COMPASS).fore_minus_back_deg is None


@pytest.mark.parametrize("bearings", [[74.0, 254.0], [10.0, 200.0], [0.0, 61.0]])
def test_bearings_that_point_different_ways_have_no_mean(bearings):
    with pytest.raises(OtherWay):
        mean_bearing(bearings, 1.0)


@pytest.mark.parametrize(
    ("third", "strange"),
    [
        (Observed(7, 75.0, None, 60.1), ()),
        (Observed(7, 82.0, None, 60.1), (7,)),
        (Observed(7, 75.0, None, 62.0), (7,)),
    ],
)
def test_a_measurement_far_from_the_others_is_named_by_its_line(third, strange):
    sound = [Observed(line, 74.0 + 0.5 * line, None, 60.0) for line in (1, 2, 3)]

    assert mean_leg("A", "B", [*sound, third], COMPASS).strange_lines == strange


@pytest.mark.parametrize(("other_deg", "strange"), [(78.5, ()), (79.5, (1, 2))])
def test_of_two_that_differ_nothing_says_which_is_wrong(other_deg, strange):
    """3.5 times 1 degree times the root of two is 4.95 degrees."""
    pair = [Observed(1, 74.0, None, 60.0), Observed(2, other_deg, None, 60.0)]

    assert mean_leg("A", "B", pair, COMPASS).strange_lines == strange


def test_a_line_is_not_called_far_from_itself():
    assert mean_leg("A", "B", [Observed(4, 141.0, 328.0, 60.0)], COMPASS).strange_lines == ()


def test_paces_are_less_certain_the_longer_the_leg():
    assert Instruments(1.0, 0.3, 0.02).of_distance(200.0) == pytest.approx(math.hypot(0.3, 4.0))
