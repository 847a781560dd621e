"""Signals move a rotation: by hand, and the same as on the pages that go on without a signal."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from exercises.domain.running.rotation import plain, rotate
from exercises.domain.running.rotation_plain import as_plain, from_plain
from exercises.domain.running.rotation_signals import (
    CHANGE,
    MORE,
    Signal,
    Turn,
    next_stations,
    round_to_change,
    signalled,
    turn_at,
)
from exercises.domain.running.rotation_timing import Round
from tests.rotations import broken_promises, problem_of, problems, ring, rng

FEW = settings(max_examples=25, deadline=None)
SHARED = json.loads(
    (Path(__file__).parents[2] / "fixtures" / "shared" / "rotation_signals.json").read_text()
)


def two_stations():
    """One group: at its first station 0 to 4, walking to 6, at the other 6 to 10."""
    return rotate(problem_of({"A": (0.0, 0.0), "B": (100.0, 0.0)}, 1), rng=rng())


def times(rotation):
    return [(one.from_min, one.until_min) for one in rotation.rounds]


@pytest.mark.parametrize("case", SHARED, ids=[case["name"] for case in SHARED])
def test_signals_move_rounds_as_they_do_on_the_pages(case):
    begun = two_stations()
    rounds = tuple(Round(start, end, {}, ()) for start, end in case["rounds"])
    planned = type(begun)(begun.problem, rounds, (), rounds[-1].until_min, (), 0, 0)

    moved = signalled(planned, [Signal(*signal) for signal in case["signals"]])

    assert [list(pair) for pair in times(moved)] == case["moved"]
    for now_min, turn, ends in case["turns"]:
        found = turn_at(moved, now_min)
        assert found == (turn and Turn(*turn)), now_min
        assert round_to_change(moved, now_min) == ends, now_min


def test_walks_and_the_end_move_along():
    begun = rotate(problem_of({"A": (0.0, 0.0), "B": (100.0, 0.0)}, 1, base=(0.0, 50.0)), rng=rng())
    moved = signalled(begun, [Signal(MORE, 0, 1.0)])

    assert moved.minutes == begun.minutes + 2.0
    assert [
        one.from_min - two.from_min for one, two in zip(moved.walks, begun.walks, strict=True)
    ] == [0.0 if walk.before == 0 else 2.0 for walk in begun.walks]


signal_lists = st.lists(
    st.builds(
        Signal,
        st.sampled_from([CHANGE, MORE]),
        st.integers(0, 6),
        st.floats(0.0, 200.0).map(lambda minute: round(minute, 2)),
    ),
    max_size=6,
)


@FEW
@given(problems(most_stations=5, most_groups=5), signal_lists)
def test_no_signal_breaks_a_promise(problem, signals):
    moved = signalled(plain(problem), signals)

    assert broken_promises(moved) == []
    assert moved.minutes >= moved.rounds[-1].until_min - 1e-9  # sums in another order


@FEW
@given(problems(most_stations=5, most_groups=5), signal_lists)
def test_a_change_that_comes_twice_counts_once(problem, signals):
    planned = plain(problem)
    changes = [one for one in signals if one.what == CHANGE]
    again = [Signal(CHANGE, one.round, one.minute + 0.05) for one in changes]

    assert signalled(planned, [*again, *signals]) == signalled(planned, signals)


@FEW
@given(problems(most_stations=6, most_groups=6))
def test_a_group_is_never_sent_where_it_was(problem):
    for group in problem.groups:
        stops = [code for code, _ in next_stations(plain(problem), group.code) if code]
        assert len(stops) == len(set(stops))


def test_waits_that_follow_each_other_are_told_once():
    # four groups, one station that takes one: each waits three rounds
    planned = plain(problem_of({"A": (0.0, 0.0)}, 4))

    told = [[code for code, _ in next_stations(planned, f"g{one}")] for one in range(1, 5)]

    assert sorted(told) == [["", "A"], ["", "A", ""], ["", "A", ""], ["A", ""]]


@FEW
@given(problems(most_stations=5, most_groups=5, minutes=90.0, helpers=3))
def test_a_rotation_is_the_same_after_json(problem):
    planned = rotate(problem, rng=rng())

    assert from_plain(json.loads(json.dumps(as_plain(planned)))) == planned


def test_nothing_is_lost_of_a_course_with_ways_round():
    planned = plain(problem_of(ring(5), 4, minutes=30.0))

    assert from_plain(as_plain(planned)).problem == planned.problem
