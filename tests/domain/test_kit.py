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
    Event,
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


def log(*events):
    """Entries of some events, a day after each other."""
    return [Entry(event, DAY + timedelta(days=place)) for place, event in enumerate(events)]


def faults(*events):
    return [entry.event for entry in standing(log(*events)).faults]


@pytest.mark.parametrize(
    ("events", "condition"),
    [
        ((), Condition.UNCHECKED),
        ((Event.CHECKED,), Condition.SOUND),
        ((Event.LOOKED,), Condition.UNCHECKED),
        ((Event.CHECKED, Event.OFF), Condition.FAULTY),
        ((Event.OFF, Event.CHECKED), Condition.SOUND),
        ((Event.OFF, Event.WITHDRAWN), Condition.WITHDRAWN),
        ((Event.OFF, Event.WITHDRAWN, Event.CHECKED), Condition.WITHDRAWN),
        ((Event.WITHDRAWN, Event.BACK), Condition.UNCHECKED),
        ((Event.OFF, Event.WITHDRAWN, Event.BACK), Condition.FAULTY),
        ((Event.CHECKED, Event.REPAIRED), Condition.UNCHECKED),
        ((Event.DAMAGED, Event.WITHDRAWN, Event.REPAIRED, Event.BACK), Condition.UNCHECKED),
    ],
)
def test_a_compass_is_as_its_log_leaves_it(events, condition):
    assert standing(log(*events)).condition == condition


def test_a_check_on_a_line_puts_away_what_a_line_shows_and_a_look_what_one_sees():
    assert faults(*FAULTS) == [Event.OFF, Event.NEEDLE, Event.BUBBLE, Event.DAMAGED]
    assert faults(*FAULTS, Event.CHECKED) == [Event.NEEDLE, Event.BUBBLE, Event.DAMAGED]
    assert faults(*FAULTS, Event.LOOKED) == [Event.OFF]
    assert faults(*FAULTS, Event.REPAIRED) == []


def test_a_needle_that_is_off_points_north_again():
    assert faults(Event.REVERSED, Event.OFF) == [Event.OFF]


@given(st.lists(st.sampled_from(list(Event))))
def test_withdrawn_is_what_the_last_word_on_it_says(events):
    words = [event for event in events if event in (Event.WITHDRAWN, Event.BACK)]

    assert standing(log(*events)).is_withdrawn == (words[-1:] == [Event.WITHDRAWN])


def test_what_the_next_class_needs():
    kit = {
        "1": standing(log(Event.CHECKED)),
        "2": standing([]),
        "3": standing(log(Event.BUBBLE)),
        "4": standing(log(Event.WITHDRAWN)),
    }

    found = needs(kit)

    assert (found.usable, found.unchecked, found.faulty, found.withdrawn) == (
        2,
        ("2",),
        ("3",),
        ("4",),
    )


@pytest.mark.parametrize(
    "events",
    [
        (),
        (Event.BUBBLE, Event.WITHDRAWN),
        (Event.OFF, Event.REPAIRED),
        (Event.CHECKED, Event.DAMAGED),
        (Event.REVERSED, Event.WITHDRAWN, Event.BACK),
    ],
)
def test_a_log_without_a_measure_that_holds_says_nothing_to_the_diagnosis(events):
    assert known(log(*events), DAY) is None


def test_the_last_measure_is_what_is_known():
    entries = [Entry(Event.CHECKED, DAY, 0.2, 0.4), Entry(Event.OFF, DAY, 4.0, 0.6)]

    found = known(entries, DAY)

    assert found == CompassKnown(4.0, 0.6, 0.9, pytest.approx(0.9 * 0.001 + 0.1 * 0.015))


def test_time_widens_the_error_and_takes_from_the_trust():
    later = DAY + timedelta(days=round(4 * 365.25))

    found = known([Entry(Event.OFF, DAY, 4.0, 0.6)], later)

    assert found.offset_deg == 4.0
    assert found.error_deg == pytest.approx(math.hypot(0.6, 0.5 * 2.0), abs=1e-3)
    assert found.trust == pytest.approx(0.9 * 0.8**4, abs=1e-3)


def test_a_check_of_a_day_to_come_is_as_good_as_todays():
    entry = Entry(Event.OFF, DAY, 4.0, 0.6)

    assert known([entry], DAY - timedelta(days=500)) == known([entry], DAY)


def test_a_reversed_needle_is_probably_still_reversed():
    assert known(log(Event.REVERSED), DAY).reversed_probability == pytest.approx(0.9015)


def test_off_without_degrees_is_off_by_no_matter_how_much():
    assert known(log(Event.OFF), DAY).error_deg == biases.COMPASS_WIDE_DEG
    assert known(log(Event.CHECKED), DAY).error_deg == biases.COMPASS_NARROW_DEG


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

    said = {one.number: one.event for one in of_check(found)}

    assert said == {
        "1": Event.CHECKED,
        "2": Event.CHECKED,
        "3": Event.CHECKED,
        "4": Event.OFF,
        "5": Event.REVERSED,
    }


def of(degrees, fault, reversed_probability=0.0):
    return Compass(Bias(degrees, 0.5, fault), reversed_probability)


def test_a_class_says_to_the_log_what_is_off_and_what_is_off_no_more():
    kit = {
        "1": standing([]),
        "2": standing([]),
        "3": standing(log(Event.OFF)),
        "4": standing(log(Event.OFF)),
        "5": standing(log(Event.BUBBLE)),
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
        Measured("1", Event.OFF, 6.0, 0.5),
        Measured("3", Event.CHECKED, 0.1, 0.5),
    )


def test_a_class_says_that_a_needle_is_reversed():
    assert of_class({"1": of(0.2, 0.0, 0.97)}, {"1": standing([])}) == (
        Measured("1", Event.REVERSED, 0.2, 0.5),
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
