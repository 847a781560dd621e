"""Shares of a whole that are shown as percent."""

from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from exercises.domain.results.cohort import whole_percents


@given(st.lists(st.integers(0, 400), min_size=1, max_size=8).filter(any))
def test_percents_add_up_to_100_and_none_is_a_whole_percent_off(counts):
    percents = whole_percents(counts)

    assert sum(percents) == 100
    for count, percent in zip(counts, percents, strict=True):
        assert abs(percent - Fraction(100 * count, sum(counts))) < 1
        assert count or not percent


@given(st.lists(st.integers(0, 400), min_size=2, max_size=8).filter(any))
def test_more_readings_are_never_a_smaller_share(counts):
    percents = whole_percents(counts)

    for place, count in enumerate(counts):
        for other, fewer in enumerate(counts):
            assert count <= fewer or percents[place] >= percents[other]


@pytest.mark.parametrize(
    ("counts", "percents"),
    [
        # by hand; "alone" is what rounding each for itself gives
        pytest.param([10, 1, 1], (84, 8, 8), id="alone: 83 + 8 + 8 = 99"),
        pytest.param([5, 5, 1], (46, 45, 9), id="alone: 45 + 45 + 9 = 99"),
        pytest.param([1, 1, 6], (13, 12, 75), id="alone, halves up: 13 + 13 + 75 = 101"),
        pytest.param([47000, 16000, 15900, 12000, 6000, 3100], (47, 16, 16, 12, 6, 3), id="six"),
    ],
)
def test_what_is_left_goes_to_the_largest_remainders(counts, percents):
    assert whole_percents(counts) == percents
