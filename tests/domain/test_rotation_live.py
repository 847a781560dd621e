"""A rotation while it runs: ahead and behind by hand, and what remains, with the same promises."""

import math

import pytest
from hypothesis import given, settings, strategies as st

from exercises.domain.running.rotation import plain, rotate
from exercises.domain.running.rotation_live import State, Visit, replan, standing
from tests.rotations import broken_promises, problem_of, problems, ring, rng

FEW = settings(max_examples=8, deadline=None)


def two_stations(**more):
    """One group, A and B 100 m apart: at A 0 to 4, at B 6 to 10, or the other way round."""
    return rotate(problem_of({"A": (0.0, 0.0), "B": (100.0, 0.0)}, 1, **more), rng=rng())


@pytest.mark.parametrize(
    ("visits", "now_min", "ahead_min"),
    [
        pytest.param([], 0.0, 0.0, id="nothing begun at the start"),
        pytest.param([], 3.0, -3.0, id="nothing begun three minutes late"),
        pytest.param([("A", 1.0, None)], 2.0, -1.0, id="begun a minute late"),
        pytest.param([("A", 0.0, None)], 3.0, 0.0, id="as planned"),
        pytest.param([("A", 0.0, None)], 9.0, -5.0, id="five minutes over the end"),
        pytest.param([("A", 0.0, 2.0)], 2.5, 2.0, id="ended two minutes early"),
        pytest.param([("A", 0.0, 2.0)], 5.0, 1.0, id="early, and the next begins in a minute"),
        pytest.param([("A", 0.0, 4.0)], 8.0, -2.0, id="the next should have begun two minutes ago"),
        pytest.param([("B", 0.0, 4.0), ("A", 5.0, None)], 6.0, 1.0, id="another order, early"),
        pytest.param([("A", 0.0, 4.0), ("B", 6.0, 13.0)], 20.0, -3.0, id="all done, three late"),
    ],
)
def test_ahead_and_behind_by_hand(visits, now_min, ahead_min):
    state = State(tuple(Visit("g1", *visit) for visit in visits))

    assert standing(two_stations(), state, now_min) == {"g1": ahead_min}


def as_planned(rotation, rounds, skipped=()):
    """The visits of the first rounds, but for some (group, round)."""
    return tuple(
        Visit(group, station, one.from_min, one.until_min)
        for number, one in enumerate(rotation.rounds[:rounds])
        for group, station in one.at.items()
        if (group, number) not in skipped
    )


def had(visits):
    found = {}
    for visit in visits:
        found.setdefault(visit.group, []).append(visit.station)
    return found


@FEW
@given(problems(most_stations=5, most_groups=6), st.data())
def test_what_remains_keeps_the_promises_and_takes_up_who_skipped(problem, data):
    planned = plain(problem)
    done = data.draw(st.integers(0, len(planned.rounds)))
    every = [(group.code, turn) for group in problem.groups for turn in range(done)]
    skipped = set(data.draw(st.lists(st.sampled_from(every)))) if every else set()
    visits = as_planned(planned, done, skipped)
    now_min = planned.rounds[done - 1].until_min if done else 0.0

    rotation = replan(planned, State(visits), now_min, rng=rng())

    assert broken_promises(rotation, had(visits)) == []
    for group in problem.groups:
        now = [one.at[group.code] for one in rotation.rounds if group.code in one.at]
        assert sorted([*had(visits).get(group.code, []), *now]) == [
            station.code for station in problem.stations
        ]


@FEW
@given(problems(most_stations=4, most_groups=5), st.data())
def test_nobody_is_expected_before_they_are_back(problem, data):
    planned = plain(problem)
    minutes = st.sampled_from([0.0, 5.0, 31.0, math.inf])
    back_min = {group.code: data.draw(minutes) for group in problem.groups}

    rotation = replan(planned, State((), back_min), 0.0, rng=rng())

    assert broken_promises(rotation) == []
    for one in rotation.rounds:
        assert all(one.from_min >= back_min[group] for group in one.at)
    missed = {group for group, minute in back_min.items() if math.isinf(minute)}
    assert set(rotation.misses) == missed


def test_the_round_that_is_under_way_is_ended_first():
    planned = rotate(problem_of(ring(4), 4), rng=rng())
    visits = tuple(
        Visit(group, station, planned.rounds[0].from_min)
        for group, station in planned.rounds[0].at.items()
    )

    rotation = replan(planned, State(visits), 1.0, rng=rng())

    assert rotation.rounds[0].from_min >= planned.rounds[0].until_min
    assert len(rotation.rounds) == 3


def test_where_the_time_is_short_those_who_missed_most_come_first():
    # two stations of 4 minutes, a change of 2: from minute 4 on there is time for one round; the
    # second group has had nothing, and the station that is left for both is B
    problem = problem_of({"A": (0.0, 0.0), "B": (100.0, 0.0)}, 2, minutes=10.0)
    planned = rotate(problem, rng=rng())
    visits = (Visit("g1", "A", 0.0, 4.0),)

    rotation = replan(planned, State(visits), 4.0, rng=rng())

    assert len(rotation.rounds) == 1
    assert rotation.rounds[0].at["g2"] in ("A", "B")
    assert rotation.minutes <= 10.0


def test_when_everything_is_done_nothing_remains():
    planned = two_stations()
    visits = as_planned(planned, 2)

    rotation = replan(planned, State(visits), planned.minutes, rng=rng())

    assert (rotation.rounds, rotation.walks, rotation.minutes) == ((), (), planned.minutes)


def test_who_is_back_when_the_others_have_finished_goes_on_alone():
    planned = two_stations()

    rotation = replan(planned, State((), {"g1": 60.0}), 5.0, rng=rng())

    assert [one.from_min >= 60.0 for one in rotation.rounds] == [True, True]
