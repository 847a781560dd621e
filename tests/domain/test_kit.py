"""What the log of a compass says of it, and what the next class may believe of it."""

import math
import re
from datetime import date, timedelta
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, strategies as st

from exercises.domain.diagnosis import biases
from exercises.domain.diagnosis.biases import BIASES_DEG, Bias
from exercises.domain.diagnosis.compass_known import (
    USUAL_LOG_PRIOR,
    CompassKnown,
    from_plain,
    to_plain,
)
from exercises.domain.diagnosis.diagnosis import Compass
from exercises.domain.running.kit import (
    FAULTS,
    Condition,
    Entry,
    Kind,
    Measured,
    NoNumbers,
    known,
    needs,
    numbers,
    of_check,
    of_class,
    standing,
)
from exercises.domain.running.set_check import set_check

DAY = date(2026, 10, 3)


def log(*kinds):
    """Entries of some kinds, a day after each other."""
    return [Entry(kind, DAY + timedelta(days=place)) for place, kind in enumerate(kinds)]


def faults(*kinds):
    return [entry.kind for entry in standing(log(*kinds)).faults]


@pytest.mark.parametrize(
    ("kinds", "condition"),
    [
        ((), Condition.UNCHECKED),
        ((Kind.CHECKED,), Condition.SOUND),
        ((Kind.LOOKED,), Condition.UNCHECKED),
        ((Kind.CHECKED, Kind.OFF), Condition.FAULTY),
        ((Kind.OFF, Kind.CHECKED), Condition.SOUND),
        ((Kind.OFF, Kind.WITHDRAWN), Condition.WITHDRAWN),
        ((Kind.OFF, Kind.WITHDRAWN, Kind.CHECKED), Condition.WITHDRAWN),
        ((Kind.WITHDRAWN, Kind.BACK), Condition.UNCHECKED),
        ((Kind.OFF, Kind.WITHDRAWN, Kind.BACK), Condition.FAULTY),
        ((Kind.CHECKED, Kind.REPAIRED), Condition.UNCHECKED),
        ((Kind.DAMAGED, Kind.WITHDRAWN, Kind.REPAIRED, Kind.BACK), Condition.UNCHECKED),
    ],
)
def test_a_compass_is_as_its_log_leaves_it(kinds, condition):
    assert standing(log(*kinds)).condition == condition


def test_a_check_on_a_line_puts_away_what_a_line_shows_and_a_look_what_one_sees():
    assert faults(*FAULTS) == [Kind.OFF, Kind.NEEDLE, Kind.BUBBLE, Kind.DAMAGED]
    assert faults(*FAULTS, Kind.CHECKED) == [Kind.NEEDLE, Kind.BUBBLE, Kind.DAMAGED]
    assert faults(*FAULTS, Kind.LOOKED) == [Kind.OFF]
    assert faults(*FAULTS, Kind.REPAIRED) == []


def test_a_needle_that_is_off_points_north_again():
    assert faults(Kind.REVERSED, Kind.OFF) == [Kind.OFF]


@given(st.lists(st.sampled_from(list(Kind))))
def test_withdrawn_is_what_the_last_word_on_it_says(kinds):
    words = [kind for kind in kinds if kind in (Kind.WITHDRAWN, Kind.BACK)]

    assert standing(log(*kinds)).is_withdrawn == (words[-1:] == [Kind.WITHDRAWN])


def test_what_the_next_class_needs():
    kit = {
        "1": standing(log(Kind.CHECKED)),
        "2": standing([]),
        "3": standing(log(Kind.BUBBLE)),
        "4": standing(log(Kind.WITHDRAWN)),
    }

    found = needs(kit)

    assert (found.usable, found.unchecked, found.faulty, found.withdrawn) == (
        2,
        ("2",),
        ("3",),
        ("4",),
    )


@pytest.mark.parametrize(
    "kinds",
    [
        (),
        (Kind.BUBBLE, Kind.WITHDRAWN),
        (Kind.OFF, Kind.REPAIRED),
        (Kind.CHECKED, Kind.DAMAGED),
        (Kind.REVERSED, Kind.WITHDRAWN, Kind.BACK),
    ],
)
def test_a_log_without_a_measure_that_holds_says_nothing_to_the_diagnosis(kinds):
    assert known(log(*kinds), DAY) is None


def test_the_last_measure_is_what_is_known():
    entries = [Entry(Kind.CHECKED, DAY, 0.2, 0.4), Entry(Kind.OFF, DAY, 4.0, 0.6)]

    found = known(entries, DAY)

    assert found == CompassKnown(4.0, 0.6, 0.9, pytest.approx(0.9 * 0.001 + 0.1 * 0.015))


def test_time_widens_the_error_and_takes_from_the_trust():
    later = DAY + timedelta(days=round(4 * 365.25))

    found = known([Entry(Kind.OFF, DAY, 4.0, 0.6)], later)

    assert found.offset_deg == 4.0
    assert found.error_deg == pytest.approx(math.hypot(0.6, 0.5 * 2.0), abs=1e-3)
    assert found.trust == pytest.approx(0.9 * 0.8**4, abs=1e-3)


def test_a_check_of_a_day_to_come_is_as_good_as_todays():
    entry = Entry(Kind.OFF, DAY, 4.0, 0.6)

    assert known([entry], DAY - timedelta(days=500)) == known([entry], DAY)


def test_a_reversed_needle_is_probably_still_reversed():
    assert known(log(Kind.REVERSED), DAY).reversed_probability == pytest.approx(0.9015)


def test_off_without_degrees_is_off_by_no_matter_how_much():
    assert known(log(Kind.OFF), DAY).error_deg == biases.COMPASS_WIDE_DEG
    assert known(log(Kind.CHECKED), DAY).error_deg == biases.COMPASS_NARROW_DEG


def test_a_trust_of_nothing_is_what_is_believed_of_any_compass():
    found = CompassKnown(12.0, 0.5, 0.0, 0.015).log_prior()

    assert found == pytest.approx(USUAL_LOG_PRIOR, abs=1e-9)


@pytest.mark.parametrize("offset_deg", [-7.5, 0.0, 4.2])
def test_the_prior_is_the_mixture_that_it_says(offset_deg):
    """By the normal density of Python's own statistics module, on the same degrees."""
    found = np.exp(CompassKnown(offset_deg, 1.5, 0.8, 0.015).log_prior())

    def spread(mean, sd):
        density = np.array([NormalDist(mean, sd).pdf(degrees) for degrees in BIASES_DEG.tolist()])
        return density / density.sum()

    usual = 0.95 * spread(0, 0.5) + 0.05 * spread(0, 8.0)
    assert found == pytest.approx(0.8 * spread(offset_deg, 1.5) + 0.2 * usual, abs=1e-12)


def test_what_is_known_comes_back_from_its_plain_form():
    kit = {"7": CompassKnown(4.0, 0.6, 0.9, 0.01)}

    assert from_plain(to_plain(kit)) == kit
    assert from_plain(None) == {}


def test_a_check_says_to_the_log_what_it_is_sure_of():
    found = set_check({"1": [40], "2": [41], "3": [40], "4": [49], "5": [221], "6": [45.5]}, 2.0)

    said = {one.number: one.kind for one in of_check(found)}

    assert said == {
        "1": Kind.CHECKED,
        "2": Kind.CHECKED,
        "3": Kind.CHECKED,
        "4": Kind.OFF,
        "5": Kind.REVERSED,
    }


def of(degrees, fault, reversed_probability=0.0):
    return Compass(Bias(degrees, 0.5, fault), reversed_probability)


def test_a_class_says_to_the_log_what_is_off_and_what_is_off_no_more():
    kit = {
        "1": standing([]),
        "2": standing([]),
        "3": standing(log(Kind.OFF)),
        "4": standing(log(Kind.OFF)),
        "5": standing(log(Kind.BUBBLE)),
    }
    found = {
        "1": of(6.0, 0.99),
        "2": of(2.0, 0.3),
        "3": of(0.1, 0.01),
        "4": of(3.4, 0.6),
        "5": of(0.1, 0.01),
        "99": of(9.0, 0.99),
    }

    assert of_class(found, kit) == (
        Measured("1", Kind.OFF, 6.0, 0.5),
        Measured("3", Kind.CHECKED, 0.1, 0.5),
    )


def test_a_class_says_that_a_needle_is_reversed():
    assert of_class({"1": of(0.2, 0.0, 0.97)}, {"1": standing([])}) == (
        Measured("1", Kind.REVERSED, 0.2, 0.5),
    )


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("1-3", ("1", "2", "3")),
        ("1 – 3; 7", ("1", "2", "3", "7")),
        ("08-10", ("08", "09", "10")),
        ("a3, A3 b-2", ("A3", "B-2")),
        ("5,5", ("5",)),
        ("1-2-3", ("1-2-3",)),
    ],
)
def test_numbers_are_read_as_people_write_them(text, found):
    assert numbers(text) == found


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "such as 1-12"),
        (" , ", "such as 1-12"),
        ("3-1", "“3-1”: a range goes up"),
        ("1-201", "“1-201”: a range goes up, by at most 200"),
        ("1-200 201", "A kit holds 200 compasses."),
        ("blue!", "“BLUE!” is no number"),
        ("123456789", "is no number"),
    ],
)
def test_what_names_no_compasses_is_refused_in_words(text, said):
    with pytest.raises(NoNumbers, match=re.escape(said)):
        numbers(text)


@given(st.integers(0, 9000), st.integers(0, 199))
def test_a_range_is_every_number_from_its_first_to_its_last(first, more):
    found = numbers(f"{first}-{first + more}")

    assert [int(number) for number in found] == list(range(first, first + more + 1))


@given(st.text(max_size=30))
def test_whatever_is_typed_is_read_or_refused(text):
    try:
        found = numbers(text)
    except NoNumbers:
        return
    assert found == numbers(", ".join(found))
