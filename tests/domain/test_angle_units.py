"""Degrees and mils: conversions against published figures, what is read and written in each unit,
and which slips its figures allow.
"""

import copy
import itertools
import json
import pickle
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth import angle_units, angles
from exercises.domain.earth.angle_units import DEGREES, MIL_6000, MIL_6300, MIL_6400, UNITS
from exercises.domain.earth.bearing_notation import notation_of

CASES = json.loads(
    (Path(__file__).resolve().parents[2] / "fixtures/shared/bearings.json").read_text(
        encoding="utf-8"
    )
)["in_mils"]
SORTS_OF_MILS = (MIL_6400, MIL_6300, MIL_6000)
A_UNIT = st.sampled_from(list(UNITS.values()))


@pytest.mark.parametrize(
    ("mils", "degrees"),
    [
        pytest.param(1, 5.625e-2, id="NIST SP 811, appendix B.8: mil to degree, from memory"),
        pytest.param(6400, 360.0, id="FM 3-25.26, 6-1: a circle equals 6400 mils"),
        pytest.param(1600, 90.0, id="a quarter"),
        pytest.param(800, 45.0, id="an eighth"),
    ],
)
def test_a_nato_mil_is_as_published(mils, degrees):
    assert MIL_6400.degrees(mils) == degrees


def test_a_degree_is_17_78_mils():
    # FM 3-25.26, 6-1, to the figures that are printed there
    assert round(MIL_6400.number(1.0), 2) == 17.78


@pytest.mark.parametrize(
    ("unit", "quarter"), [(DEGREES, 90), (MIL_6400, 1600), (MIL_6300, 1575), (MIL_6000, 1500)]
)
def test_a_quarter_of_the_circle_in_every_unit(unit, quarter):
    assert unit.degrees(quarter) == 90.0
    assert unit.number(90.0) == quarter


@given(A_UNIT, st.integers(0, 6399))
def test_what_is_written_is_read_back(unit, number):
    degrees = unit.degrees(number % unit.circle)

    text = unit.figures(degrees)
    written = notation_of(unit).parse(text)

    assert len(text) == unit.digits
    assert (written.number, written.unit) == (number % unit.circle, unit)
    assert written.degrees == pytest.approx(degrees, abs=1e-9)


@given(A_UNIT, st.floats(-720, 720))
def test_figures_are_the_nearest_whole_unit(unit, degrees):
    told = unit.degrees(int(unit.figures(degrees)))

    assert abs(angles.difference(told, degrees)) <= unit.step_deg / 2 + 1e-9


@pytest.mark.parametrize(
    ("unit", "text", "degrees"),
    [(UNITS[code], *case) for code, cases in CASES.items() for case in cases["degrees"]],
)
def test_what_people_type_for_a_compass_of_mils_is_read(unit, text, degrees):
    for parse in (notation_of(unit).parse, notation_of(unit).parse_on_paper):
        written = parse(text)
        assert (written.degrees, written.mils) == (pytest.approx(degrees, abs=1e-12), None)


@pytest.mark.parametrize(
    ("unit", "text"),
    [(UNITS[code], text) for code, cases in CASES.items() for text in cases["refused"]],
)
def test_anything_else_is_refused_with_what_to_write(unit, text):
    with pytest.raises(angles.NotABearing, match=f"0000 to {unit.circle}"):
        notation_of(unit).parse(text)


@given(st.sampled_from(SORTS_OF_MILS), st.text(max_size=60))
def test_no_text_breaks_the_parser(unit, text):
    try:
        assert 0.0 <= notation_of(unit).parse(text).degrees < 360.0
    except angles.NotABearing as refused:
        assert str(refused)


@given(A_UNIT, st.integers(0, 6399))
def test_swapped_figures_are_those_of_a_brute_force(unit, number):
    number %= unit.circle
    figures = list(str(number).zfill(unit.digits))
    exchanged = set()
    for at in range(unit.digits - 1):
        other = figures.copy()
        other[at], other[at + 1] = other[at + 1], other[at]
        exchanged.add(int("".join(other)))

    assert unit.swapped(number) == sorted(
        other for other in exchanged - {number} if other < unit.circle
    )


@given(A_UNIT, st.integers(0, 999))
def test_before_a_figure_was_dropped_stood_what_becomes_this_number(unit, number):
    short = number % 10 ** (unit.digits - 1)
    expected = {}
    for whole in range(unit.circle):
        figures = str(whole).zfill(unit.digits)
        left = itertools.combinations(figures, unit.digits - 1)
        ways = sum(int("".join(kept)) == short for kept in left)
        if ways and whole != short:
            expected[whole] = ways

    assert unit.before_dropping(short).keys() == expected.keys()


def test_the_first_figure_is_worth_a_hundred_degrees_and_a_thousand_mils():
    assert DEGREES.first_digit_off(74) == [174]
    assert MIL_6400.first_digit_off(1316) == [316, 2316]
    assert MIL_6400.first_digit_off(5900) == [4900]


def test_a_copy_of_a_unit_is_the_unit():
    assert copy.deepcopy(MIL_6400) is MIL_6400
    assert pickle.loads(pickle.dumps(MIL_6300)) is MIL_6300


def test_a_code_that_no_unit_has_is_refused():
    with pytest.raises(angle_units.UnknownUnit):
        angle_units.unit_of("gon")
