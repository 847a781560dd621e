"""What a course can show: the small simulation by itself, and against the diagnosis of whole
classes.
"""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from exercises.domain.diagnosis.diagnosis import diagnose
from exercises.domain.earth.norths import Norths
from exercises.domain.planning import power as planning
from exercises.domain.planning.drawn_people import chances, effect
from exercises.domain.planning.further import further_answers
from exercises.domain.planning.power import power
from exercises.domain.planning.surroundings import Surroundings
from exercises.domain.results.lessons import HABIT_SURE
from exercises.presenting.probabilities import PROBABLE
from tests.domain.test_course_check import DAY, ground
from tests.ground import answer, bent_by
from tests.simulated_class import Setting
from tests.simulation import hold

AGREES = 0.12  # of chances with what the diagnosis finds: what a person may rely on


def course(tasks, declination_deg=11.0, norths=("true",), stations="ABC"):
    """Answers of sights all round the dial, by turns at the stations and in the norths."""
    return [
        replace(
            answer(
                str(number + 1),
                true_deg=(number * 97.0) % 360.0,
                north=norths[number % len(norths)],
                norths=Norths(declination_deg, 0.0),
            ),
            station=stations[number % len(stations)],
        )
        for number in range(tasks)
    ]


def shown(answers, people=12, seed=3, candidates=()):
    return power(answers, people, rng=np.random.default_rng(seed), candidates=candidates)


def chances_of(answers, **more):
    return {one.habit: one.chance for one in shown(answers, **more).habits}


def test_what_is_known_and_found_is_what_the_debrief_says():
    assert (planning.KNOWN, planning.FOUND) == (HABIT_SURE, PROBABLE)


@pytest.mark.parametrize("tasks", [1, 3, 8, 20])
@pytest.mark.parametrize("declination_deg", [-24.0, -2.0, 0.0, 5.0])
def test_chances_lie_between_0_and_1(tasks, declination_deg):
    found = shown(course(tasks, declination_deg, ("true", "magnetic", "grid")))

    assert all(0.0 <= one.chance <= one.belief / planning.KNOWN <= 1.5 for one in found.habits)
    for one in found.stations:
        assert 0.0 <= one.chance() <= 1.0
        assert one.least_deg is None or one.least_deg > 3.0


def test_more_people_never_make_a_station_worse():
    answers, sizes = course(7, norths=("true", "magnetic")), []
    for people in (3, 4, 5, 8, 12, 30, 100):
        found = shown(answers, people).stations
        sizes.append([(one.least_deg, -one.chance()) for one in found])

    for fewer, more in itertools.pairwise(sizes):
        for before, after in zip(fewer, more, strict=True):
            assert after[0] <= before[0]
            assert after[1] <= before[1]


def test_fewer_than_three_people_show_no_fault_of_a_station():
    assert {(one.least_deg, one.chance()) for one in shown(course(9), people=2).stations} == {
        (None, 0.0)
    }


def test_a_course_in_magnetic_alone_shows_no_habit_of_declination():
    assert list(chances_of(course(8, norths=("magnetic",)))) == ["reversed"]


def test_two_degrees_of_declination_can_hardly_be_known():
    found = chances_of(course(8, declination_deg=2.0))

    assert found["declination_ignored"] < 0.2
    assert found["declination_twice"] < 0.2


def test_twenty_degrees_of_declination_are_known_nearly_always():
    # What is twice the declination off may be a compass that is off, until magnetic is asked too.
    true_alone = chances_of(course(8, declination_deg=20.0))
    with_magnetic = chances_of(course(16, declination_deg=20.0, norths=("true", "magnetic")))

    assert true_alone["declination_ignored"] > 0.9
    assert min(with_magnetic.values()) > 0.97


def test_more_tasks_show_more():
    few, many = chances_of(course(3, 6.0)), chances_of(course(12, 6.0))

    assert all(many[habit] > few[habit] + 0.1 for habit in few if habit != "reversed")


def test_the_chances_of_all_answers_add_up_to_one():
    sighted = effect(answer())
    followed = effect(
        answer(kind="follow", given_deg=74.0, given_north="true", others=(("U", 120), ("V", 300)))
    )

    for each in (sighted, followed):
        assert chances(each, np.array([-30.0, 0.0, 170.0])).sum(axis=0) == pytest.approx(1.0)
    assert len(followed.edges_deg) == 4  # three targets, once round


def test_where_declination_is_not_shown_a_true_bearing_adds_most():
    answers = course(6, norths=("magnetic",))
    candidates = [
        replace(answer("more", true_deg=200.0, north=north, norths=Norths(11.0, 0.0)), station="B")
        for north in ("magnetic", "true")
    ]

    further = shown(answers, candidates=candidates).further

    assert further.answer.north == "true"
    assert further.habit.startswith("declination_")
    assert further.was == 0.0


def test_where_habits_are_known_the_weakest_station_gains():
    # Twenty tasks at B and C, one at A: what one more gives a habit is next to nothing.
    answers = [*course(20, 20.0, stations="BC"), *course(1, 20.0, stations="A")]
    answers = [replace(one, task=str(number)) for number, one in enumerate(answers, 1)]
    candidates = [
        replace(answer("more", true_deg=200.0, norths=Norths(20.0, 0.0)), station=station)
        for station in "BAC"
    ]

    further = shown(answers, candidates=candidates).further

    assert (further.habit, further.station, further.answer.station) == ("", "A", "A")
    assert further.would_be_deg < further.was_deg


def test_nothing_is_added_where_there_is_nothing_to_add():
    assert shown(course(6)).further is None
    assert shown([]).further is None


def test_two_people_gain_nothing_at_a_station():
    # They find no fault with a task more either.
    candidates = [replace(answer("more", true_deg=200.0, norths=Norths(20.0, 0.0)), station="A")]

    assert shown(course(20, 20.0), people=2, candidates=candidates).further is None


def test_a_course_on_the_map_alone_shows_neither_habits_nor_stations():
    answers = [answer("1", kind="map"), answer("2", kind="map", true_deg=200.0)]

    found = shown(answers)

    assert (found.habits, found.stations, found.further) == ((), (), None)


def test_what_may_be_asked_as_well_is_not_asked_already():
    site = ground(("T", 70, 300), ("U", 250, 300), ("V", 160, 280))
    asked = [replace(answer("1"), target="T")]

    found = further_answers(asked, Surroundings(site), DAY)

    assert {(one.station, one.target, one.north) for one in found} == {
        ("A", target, north) for target in "UV" for north in ("true", "magnetic")
    }


def test_nothing_more_is_asked_where_the_needle_is_bent():
    site = ground(("T", 70, 300), ("U", 250, 300), ("V", 160, 280))
    asked = [replace(answer("1"), target="T")]

    assert further_answers(asked, Surroundings(site, bent={"A": bent_by(8.0, 0.7)}), DAY) == []


@pytest.fixture(scope="module")
def held():
    """Classes with a compass each, people as unlike as the priors have them, one station 5 degrees
    off: (class, its power, its diagnosis) of 24 classes of five people, seed 5.
    """
    found = []
    for number in range(24):
        rng = np.random.default_rng((5, number))
        setting = Setting(
            people=5,
            tasks=int(rng.integers(4, 9)),
            declination_deg_about=int(rng.choice([-8, 4, 11])),
            norths=("magnetic", "true"),
            follow_share=0.15,
            convert_share=0.0,
            habit_share=0.4,
            scatter_deg=2.3,
            tails="mixture",
            own_far_share=0.08,
            own_far_deg=(3.0, 25.0),
            set_share=0.0,
            graduations=(2.0,),
            interpolating_share=0.0,
            shared_compasses=False,
            compass_sd_deg=0.3,
            bad_compasses=0,
            bent_deg=(5.0, 5.0),
            ground_sd_deg=0.3,
        )
        one = hold(setting, rng)
        told = power(one.answers, setting.people, rng=np.random.default_rng(3))
        found.append((one, told, diagnose(one.answers, one.readings)))
    return found


def test_habits_are_known_as_often_as_the_diagnosis_knows_them(held):
    # some 40 people with a habit that acts: a share is good to 0.07
    told, known = [], []
    for one, found, diagnosis in held:
        chance = {each.habit: each.chance for each in found.habits}
        for name, person in one.people.items():
            if person.habit in chance and name in diagnosis.people:
                said = diagnosis.people[name]
                told.append(chance[person.habit])
                known.append(said.habit == person.habit and said.habit_probability >= HABIT_SURE)

    assert len(told) > 30
    assert np.mean(told) == pytest.approx(np.mean(known), abs=AGREES)


def test_a_bias_of_five_degrees_is_found_as_often_as_the_diagnosis_finds_it(held):
    # 24 stations: a share is good to 0.1
    told, seen = [], []
    for one, found, diagnosis in held:
        for each in found.stations:
            if abs(one.stations[each.station].bias_deg) > 3.0:
                told.append(each.chance())
                seen.append(diagnosis.stations[each.station].fault_probability >= PROBABLE)

    assert len(told) > 20
    assert np.mean(told) == pytest.approx(np.mean(seen), abs=AGREES)
