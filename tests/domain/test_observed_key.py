"""A key that was shot on the ground, beside the computed one."""
from dataclasses import replace

import pytest

from exercises.domain.angles import difference
from exercises.domain.attraction import Sighting
from exercises.domain.observed_key import compare, observed
from tests.ground import answer


def sightings(*bearings, station="A", target="T1"):
    return [Sighting(station, target, bearing, "1", 1.0, 66.0, 0.2) for bearing in bearings]


def test_several_readings_are_averaged_and_better_than_one():
    found = compare([answer()], sightings(70.0, 72.0, 71.0, 71.0))["1"]

    assert (found.observed_deg, found.off_deg, found.error_deg, found.readings) == (pytest.approx(71.0), pytest.approx(5.0), pytest.approx(0.5), 4)


def test_an_observed_answer_is_what_the_compass_read_in_every_north():
    # Worked example of the trade notes: T 074, G 073, M 066; read 071 magnetic.
    moved, = observed([answer()], sightings(71.0))

    assert moved.bearings_deg == {"true": pytest.approx(79.0), "grid": pytest.approx(78.0), "magnetic": pytest.approx(71.0)}


def test_an_observed_answer_is_as_uncertain_as_the_reading_and_not_the_survey():
    moved, = observed([answer(survey_deg=4.0)], sightings(71.0, 71.0))

    assert {term.name for term in moved.budget.terms} == {"standing", "compass", "scale", "observed"}
    assert moved.budget.degrees("observed") == pytest.approx(1.0 / 2 ** 0.5)


def test_answers_that_nobody_sighted_stay_as_computed():
    two = (answer(), replace(answer(task="2", true_deg=120.0), target="T9"))

    assert observed(two, sightings(71.0))[1] is two[1]


def test_the_suns_shadow_is_no_answer():
    assert compare([answer()], sightings(71.0, target="")) == {}


def test_a_task_without_a_needle_has_nothing_to_observe():
    assert compare([answer(kind="convert", given_deg=10.0, given_north="magnetic")], sightings(71.0)) == {}


def test_bearings_across_north_are_averaged_as_directions():
    found = compare([answer(true_deg=8.0)], sightings(359.0, 3.0))["1"]

    assert difference(found.observed_deg, 1.0) == pytest.approx(0)
