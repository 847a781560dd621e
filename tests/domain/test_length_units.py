"""Metres, feet and paces, against published figures."""

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth.length_units import (
    FEET,
    LENGTHS,
    METRES,
    PACES,
    UnknownLength,
    length_of,
)

LENGTHS_M = st.floats(0, 20_000)


@pytest.mark.parametrize(
    ("feet", "metres"),
    [
        pytest.param(1.0, 0.3048, id="agreement of 1959; NIST SP 811, B.6"),
        pytest.param(5280.0, 1609.344, id="the international mile, NIST SP 811 B.8, from memory"),
    ],
)
def test_a_foot_is_the_international_one(feet, metres):
    assert FEET.metres(feet) == pytest.approx(metres, abs=1e-9)


def test_the_survey_foot_is_another_by_two_millionths():
    # 1200/3937 m: 84 FR 55562, notice of 17 October 2019
    assert (1200 / 3937) / FEET.metres(1.0) - 1 == pytest.approx(2e-6, rel=1e-3)


@given(LENGTHS_M, st.floats(0.6, 2.6))
def test_what_is_told_in_a_unit_is_as_long_as_it_was(length_m, pace_m):
    for unit in LENGTHS.values():
        number = unit.number(length_m, pace_m)
        assert unit.metres(number, pace_m) == pytest.approx(length_m, abs=1e-9)


def test_paces_that_were_not_counted_are_no_length():
    assert (PACES.number(60.0), PACES.metres(40.0)) == (None, None)
    assert METRES.number(60.0) == 60.0


def test_a_code_that_no_unit_has_is_refused():
    with pytest.raises(UnknownLength):
        length_of("mile")
