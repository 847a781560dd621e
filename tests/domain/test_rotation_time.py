"""A rotation for the time there is: what is left out, against every choice that there is."""

import itertools
import math

import pytest
from hypothesis import given, settings, strategies as st

from exercises.domain.planning.visibility import PROVABLE, habit_strengths, view
from exercises.domain.running.rotation_time import CourseInformation, fitted
from exercises.domain.running.rotation_values import Asked, Group, NoRotation, Problem, Station
from tests.ground import answer
from tests.rotations import broken_promises, ring, rng, ways_between


def course(minutes, *, groups=3, at=((4.0, 2.0), (3.0, 3.0), (5.0, 1.0))):
    """Stations on a ring with tasks of some minutes each: tasks A1, A2, B1 and so on."""
    places = ring(len(at))
    stations = tuple(
        Station(
            code,
            tuple(
                Asked(f"{code}{number}", "magnetic", "sight", needs)
                for number, needs in enumerate(tasks, 1)
            ),
            1.0,
        )
        for code, tasks in zip(places, at, strict=True)
    )
    teams = tuple(Group(f"g{number}") for number in range(1, groups + 1))
    return Problem(stations, teams, ways_between(places), minutes=minutes)


WORTH = {"A1": 5.0, "A2": 1.0, "B1": 4.0, "B2": 2.0, "C1": 3.0, "C2": 0.5}


def worth(tasks):
    return math.fsum(WORTH.get(task, 0.25) for task in tasks)


def test_what_fits_loses_nothing():
    rotation = fitted(course(90.0), worth, rng=rng())

    assert (rotation.dropped, rotation.lost) == ((), 0.0)


MINUTES = {"A1": 4.0, "A2": 2.0, "B1": 3.0, "B2": 3.0, "C1": 5.0, "C2": 1.0}


def needed_min(tasks):
    """By hand: three rounds as long as the longest station that is left, a minute to settle, and
    changes of 3 minutes: the sides are 173 m.
    """
    left = {}
    for task in tasks:
        left.setdefault(task[0], []).append(MINUTES[task])
    longest_min = 1.0 + max(map(sum, left.values()), default=0.0)
    return 3.0 * longest_min + (0.0 if len(left) <= 1 else 2 * 3.0)


@pytest.mark.parametrize("minutes", [8.0, 12.0, 15.0, 18.0, 21.0, 24.0])
def test_no_choice_of_tasks_that_fits_tells_more(minutes):
    every = itertools.chain(*(itertools.combinations(WORTH, count) for count in range(7)))
    best = max(worth(tasks) for tasks in every if needed_min(tasks) <= minutes)

    rotation = fitted(course(minutes), worth, rng=rng())

    assert rotation.minutes <= minutes
    assert broken_promises(rotation) == []
    assert worth(WORTH) - rotation.lost >= best - 1e-9


def test_less_time_never_loses_less():
    lost = [fitted(course(minutes), worth, rng=rng()).lost for minutes in (28.0, 24.0, 18.0, 9.0)]

    assert lost == sorted(lost)


@settings(max_examples=8, deadline=None)
@given(
    st.lists(
        st.lists(st.sampled_from([2.0, 3.0, 5.0]), min_size=1, max_size=4), min_size=3, max_size=5
    ),
    st.integers(1, 6),
    st.integers(8, 20),
)
def test_a_rotation_for_the_time_ends_in_time_and_keeps_the_promises(at, groups, minutes):
    problem = course(float(minutes), groups=groups, at=tuple(map(tuple, at)))

    rotation = fitted(problem, worth, rng=rng())

    assert rotation.minutes <= minutes
    assert broken_promises(rotation) == []
    kept = {task for station in rotation.problem.stations for task in station.tasks}
    every = {task for station in problem.stations for task in station.tasks}
    assert kept | set(rotation.dropped) == every
    assert not kept & set(rotation.dropped)


def test_more_groups_than_places_share_out_the_stations():
    # six groups at three stations need six rounds of 7 minutes and changes of 3; in 40 minutes
    # there is time for four, and so for two stations each
    rotation = fitted(course(40.0, groups=6), worth, rng=rng())

    assert rotation.minutes <= 40.0
    waits = rotation.waits.values()
    assert max(waits) - min(waits) <= 1
    assert rotation.lost > 0.0


def test_no_time_for_anything_is_refused():
    with pytest.raises(NoRotation, match="1 minutes are too few for a single round"):
        fitted(course(1.0), worth, rng=rng())


def test_sixty_tasks_are_cut_down_to_the_time():
    at = tuple((2.0, 3.0, 2.0, 4.0, 2.0) for _ in range(12))

    rotation = fitted(course(90.0, groups=10, at=at), worth, rng=rng())

    assert rotation.minutes <= 90.0
    assert broken_promises(rotation) == []
    assert len(rotation.dropped) < 60


# The measure of information


def sights(*bearings):
    return [answer(task=f"{bearing}", true_deg=bearing) for bearing in bearings]


@settings(max_examples=20, deadline=None)
@given(st.data())
def test_a_task_more_never_tells_less(data):
    answers = sights(10, 75, 140, 200, 300)
    information = CourseInformation(answers)
    codes = st.sets(st.sampled_from([one.task for one in answers]))
    some, more = data.draw(codes), data.draw(codes)

    assert information(some | more) >= information(some)
    assert information(set()) == 0.0


def test_two_tasks_alike_prove_twice_as_much_and_show_the_same():
    # by the words of the class: squares of strengths add up to a proof each, causes count once
    one, other = sights(10, 10.0)
    strengths = habit_strengths([one, other]).values()
    proved = sum(min(1.0, (strength / PROVABLE) ** 2) for strength in strengths)

    information = CourseInformation([one, other])

    expected = proved + 0.1 * len(view(one).shows) + 0.01 * 2
    assert information(["10", "10.0"]) == pytest.approx(expected)
    assert information(["10", "nothing of this name"]) == information(["10"]) < expected
