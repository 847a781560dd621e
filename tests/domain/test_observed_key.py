"""A key that was shot on the ground, beside the computed one."""

from dataclasses import replace

import pytest

from exercises.domain.earth.angles import difference
from exercises.domain.surveying.ground.sighting import Sighting
from exercises.domain.tasks.observed_key import compare, observed
from tests.ground import answer


def sightings(*bearings, station="A", target="T1"):
    return [Sighting(station, target, bearing, "1", 1.0, 66.0, 0.2) for bearing in bearings]


def test_several_readings_are_averaged_and_better_than_one():
    found = compare([answer()], sightings(70.0, 72.0, 71.0, 71.0))["1"]

    assert (found.observed_deg, found.off_deg, found.readings) == (
        pytest.approx(71.0),
        pytest.approx(5.0),
        4,
    )
    assert found.error_deg < compare([answer()], sightings(70.0, 72.0))["1"].error_deg


def test_readings_that_scatter_make_an_observed_answer_less_certain():
    steady = compare([answer()], sightings(71.0, 71.0, 71.0, 72.0))["1"]
    hasty = compare([answer()], sightings(66.0, 71.0, 74.0, 78.0))["1"]

    assert hasty.error_deg > 3.0 * steady.error_deg


def test_a_compass_whose_setting_was_noted_wrongly_does_not_move_the_key():
    # Six lines at three stations read with 8 degrees east set, noted as not set.
    read = [
        replace(one, declination_deg=8.0)
        for station in "ABC"
        for target in ("T1", "T2")
        for one in sightings(74.0, station=station, target=target)
    ]

    assert compare([answer()], read)["1"].off_deg == pytest.approx(0.0, abs=1.0)


def test_an_observed_answer_is_what_the_compass_read_in_every_north():
    # D 8, C 1: T 074, G 073, M 066; read 071 magnetic.
    (moved,) = observed([answer()], sightings(71.0))

    assert moved.bearings_deg == {
        "true": pytest.approx(79.0),
        "grid": pytest.approx(78.0),
        "magnetic": pytest.approx(71.0),
    }


def test_an_observed_answer_is_as_uncertain_as_the_reading_and_not_the_survey():
    (moved,) = observed([answer(survey_deg=4.0)], sightings(71.0, 71.0))

    assert {term.name for term in moved.budget.terms} == {
        "standing",
        "compass",
        "scale",
        "observed",
    }
    assert moved.budget.degrees("observed") == pytest.approx(
        compare([answer()], sightings(71.0, 71.0))["1"].error_deg
    )


def test_answers_that_nobody_sighted_stay_as_computed():
    two = (answer(), replace(answer(task="2", true_deg=120.0), target="T9"))

    assert observed(two, sightings(71.0))[1] is two[1]


def test_the_suns_shadow_is_no_answer():
    assert compare([answer()], sightings(71.0, target="")) == {}


def test_a_task_without_a_needle_has_nothing_to_observe():
    assert (
        compare([answer(kind="convert", given_deg=10.0, given_north="magnetic")], sightings(71.0))
        == {}
    )


def test_bearings_across_north_are_averaged_as_directions():
    found = compare(
        [answer(true_deg=8.0)],
        [Sighting("A", "T1", bearing, "1", 1.0, 0.0, 0.2) for bearing in (359.0, 3.0)],
    )["1"]

    assert difference(found.observed_deg, 1.0) == pytest.approx(0)


def test_a_reading_of_another_year_does_not_bring_its_declination_along():
    # Read four degrees from what is computed today, because the declination was another then:
    # against its own day it was right.
    found = compare([answer()], [Sighting("A", "T1", 70.0, "1", 1.0, 70.0, 0.2)])["1"]

    assert (found.off_deg, found.observed_deg) == (0.0, pytest.approx(66.0))


def test_a_station_that_bends_the_needle_bends_it_to_its_other_targets_too():
    # Eight degrees at A: what is sighted from there moves, and so do those that nobody sighted; the
    # target of a bearing to follow stays.
    here = answer(kind="follow", given_deg=74.0, given_north="true", others=(("U", 80.0),))
    read = [
        Sighting("A", target, (bearing + 8.0) % 360, "1", 0.5, bearing, 0.2)
        for target, bearing in (("T1", 66.0), ("V", 150.0), ("W", 240.0), ("X", 320.0))
    ]
    straight = [
        Sighting("B", target, bearing, "1", 0.5, bearing, 0.2)
        for target, bearing in (("T1", 20.0), ("V", 100.0), ("W", 200.0))
    ]

    (moved,) = observed([here], [*read, *straight])

    assert moved.target == "T1"
    assert moved.bearings_deg["true"] == pytest.approx(82.0)
    assert moved.others[0].bearing_deg == pytest.approx(88.0, abs=0.7)
    assert moved.given_deg == 82.0  # the line's own bearing is given as it was observed


def test_readings_that_cancel_each_other_say_nothing():
    assert compare([answer()], sightings(66.0, 246.0)) == {}
