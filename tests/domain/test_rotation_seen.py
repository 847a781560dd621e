"""Where groups were, by their readings and by what helpers tapped; and taking up who skipped."""

import itertools

import pytest
from hypothesis import given, settings, strategies as st

from exercises.domain.running.rotation import plain
from exercises.domain.running.rotation_again import taken_up
from exercises.domain.running.rotation_live import State, Visit, standing
from exercises.domain.running.rotation_seen import GONE, HERE, READ, SKIPS, Sign, known
from exercises.domain.running.rotation_signals import CHANGE, Signal, signalled
from exercises.domain.running.rotation_timing import Round
from tests.rotations import broken_promises, problem_of, problems, ring, rng

FEW = settings(max_examples=20, deadline=None)


def three_rounds():
    """Group g1 at A 0 to 8, at B 10 to 18, at C 20 to 28; D is not planned for it."""
    begun = plain(problem_of(ring(4), 1))
    rounds = tuple(
        Round(start, start + 8.0, {"g1": code}, ())
        for code, start in zip("ABC", (0, 10, 20), strict=True)
    )
    return type(begun)(begun.problem, rounds, (), 28.0, (), 0, 0)


@pytest.mark.parametrize(
    ("signs", "now_min", "visits"),
    [
        pytest.param([], 5, [("A", 0, None)], id="silence is as planned"),
        pytest.param([], 9, [("A", 0, 8)], id="silence, while all walk"),
        pytest.param([(READ, "A", 6)], 7, [("A", 0, None)], id="a reading in its round"),
        pytest.param(
            [(HERE, "A", 0), (READ, "B", 29)],
            29,
            [("A", 0, 29), ("B", 29, None)],
            id="nothing is presumed between a tap and a reading that came long after",
        ),
        pytest.param([(READ, "A", 6)], 9, [("A", 0, 8)], id="it went with the signal"),
        pytest.param(
            [(READ, "A", 9)], 9.5, [("A", 0, None)], id="late: still reading after the end"
        ),
        pytest.param(
            [(READ, "A", 6), (READ, "A", 12)], 13, [("A", 0, None)], id="late: nobody is at B yet"
        ),
        pytest.param(
            [(READ, "A", 6), (READ, "A", 12), (READ, "B", 16)],
            17,
            [("A", 0, 12), ("B", 12, None)],
            id="late, then there",
        ),
        pytest.param([(HERE, "B", 9)], 12, [("A", 0, 8), ("B", 9, None)], id="tapped, early"),
        pytest.param(
            [(HERE, "A", 1), (GONE, "A", 5)], 6, [("A", 1, 5)], id="tapped that it has gone"
        ),
        pytest.param([(SKIPS, "A", 3)], 9, [], id="skipped"),
        pytest.param(
            [(SKIPS, "A", 3), (READ, "A", 6)], 9, [("A", 0, 8)], id="skipped, and came all the same"
        ),
        pytest.param(
            [(READ, "D", 13)],
            19,
            [("A", 0, 8), ("D", 10, 18)],
            id="at another station than planned",
        ),
        pytest.param(
            [(READ, "A", 6), (READ, "B", 14), (READ, "A", 15)],
            16,
            [("A", 0, 6), ("B", 10, None)],
            id="a second try at the first station later",
        ),
        pytest.param([(READ, "A", -2), (READ, "A", 30)], 5, [("A", 0, None)], id="of another time"),
        pytest.param([(READ, "Z", 3)], 5, [("A", 0, None)], id="a station that there is not"),
    ],
)
def test_where_a_group_was(signs, now_min, visits):
    planned = three_rounds()
    found = known(planned, [Sign(what, "g1", code, at) for what, code, at in signs], now_min)

    assert sorted(found.visits, key=lambda one: one.from_min) == [
        Visit("g1", *visit) for visit in visits
    ]


def test_silent_stations_are_told_and_what_was_skipped():
    found = known(three_rounds(), [Sign(READ, "g1", "B", 12), Sign(SKIPS, "g1", "C", 13)], 21)

    assert (found.silent, found.skipped) == ({"g1": ("A",)}, {"g1": ("C",)})


@pytest.mark.parametrize(
    ("signs", "now_min", "ahead_min"),
    [
        pytest.param([], 15, 0, id="silence is no delay"),
        pytest.param([(READ, "A", 12)], 13, -5, id="five minutes over at the first station"),
        pytest.param([(READ, "B", 15)], 16, 0, id="a first reading late in its round"),
        pytest.param([(SKIPS, "A", 1)], 15, -10, id="a round behind after one was skipped"),
        pytest.param([(GONE, "A", 5)], 6, 3, id="done three minutes early"),
    ],
)
def test_behind_is_only_who_is_seen_to_be(signs, now_min, ahead_min):
    planned = three_rounds()
    found = known(planned, [Sign(what, "g1", code, at) for what, code, at in signs], now_min)

    assert standing(planned, State(found.visits), now_min)["g1"] == ahead_min


kinds = st.sampled_from([READ, READ, HERE, GONE, SKIPS])


@st.composite
def running(draw):
    """A rotation some way on, with signals and signs."""
    planned = plain(draw(problems(most_stations=5, most_groups=5)))
    signals = [Signal(CHANGE, number, draw(st.integers(0, 60)) * 1.0) for number in range(2)]
    moved = signalled(planned, signals if draw(st.booleans()) else [])
    groups = [group.code for group in moved.problem.groups]
    codes = [station.code for station in moved.problem.stations]
    signs = draw(
        st.lists(
            st.builds(
                Sign, kinds, st.sampled_from(groups), st.sampled_from(codes), st.integers(0, 90)
            ),
            max_size=12,
        )
    )
    return moved, signs, draw(st.integers(-5, int(moved.minutes) + 5)) * 1.0


@FEW
@given(running())
def test_no_group_is_twice_at_a_station_or_at_two_at_once(case):
    rotation, signs, now_min = case
    for group in rotation.problem.groups:
        mine = [one for one in known(rotation, signs, now_min).visits if one.group == group.code]
        assert len({one.station for one in mine}) == len(mine)
        mine.sort(key=lambda one: (one.from_min, one.until_min is None, one.until_min))
        assert all(
            one.until_min is not None and one.until_min <= other.from_min + 1e-9
            for one, other in itertools.pairwise(mine)
        )


@FEW
@given(running())
def test_who_is_taken_up_gets_everything_once_and_no_promise_breaks(case):
    rotation, signs, now_min = case
    seen = known(rotation, signs, now_min)

    found = taken_up(rotation, seen, now_min, rng=rng())

    begun = [one for one in rotation.rounds if one.from_min <= now_min]
    to_come = found.rounds[len(begun) + 1 :]
    assert [one for one in broken_promises(found) if not one.startswith("round")] == []
    limits = {station.code: station.places for station in found.problem.stations}
    for one in to_come:
        at = list(one.at.values())
        assert all(at.count(code) <= limits[code] for code in at)
    had = {group: set() for group in [one.code for one in rotation.problem.groups]}
    for visit in seen.visits:
        had[visit.group].add(visit.station)
    for group, stations in had.items():
        next_ones = [one.at[group] for one in to_come if group in one.at]
        assert not stations & set(next_ones)
        everything = stations | {one.at[group] for one in found.rounds if group in one.at}
        assert everything == {one.code for one in rotation.problem.stations}


def test_a_skipped_station_is_planned_again_and_the_rounds_go_on():
    planned = plain(problem_of(ring(4), 4))
    station = planned.rounds[0].at["g2"]
    now_min = planned.rounds[1].from_min + 1.0
    seen = known(planned, [Sign(SKIPS, "g2", station, 1.0)], now_min)

    found = taken_up(planned, seen, now_min, rng=rng())

    assert found.rounds[1] == planned.rounds[1]
    assert ("g2" in found.rounds[0].at, "g2" in found.rounds[0].waits) == (False, True)
    assert station in [one.at.get("g2") for one in found.rounds[2:]]
    # taken up, it is no longer behind
    again = known(found, [Sign(SKIPS, "g2", station, 1.0)], now_min)
    assert standing(found, State(again.visits), now_min)["g2"] == 0.0


def test_who_is_away_gets_the_station_of_the_round_under_way_later():
    planned = plain(problem_of(ring(4), 4))
    seen = known(planned, [], 1.0)

    found = taken_up(planned, seen, 1.0, rng=rng(), back_min={"g3": 9.0})

    station = planned.rounds[0].at["g3"]
    assert "g3" not in found.rounds[0].at
    assert [one.from_min >= 9.0 for one in found.rounds if one.at.get("g3") == station] == [True]


def test_while_all_walk_they_end_where_they_walk_to():
    planned = plain(problem_of(ring(4), 4))
    now_min = planned.rounds[0].until_min + 0.5

    found = taken_up(planned, known(planned, [], now_min), now_min, rng=rng())

    assert found.rounds[:2] == planned.rounds[:2]


def test_before_the_start_all_is_planned_anew():
    planned = plain(problem_of(ring(3), 3))

    found = taken_up(planned, known(planned, [], -4.0), -4.0, rng=rng())

    assert (len(found.rounds), found.misses) == (3, {})


def test_where_nothing_happened_nothing_changes():
    planned = plain(problem_of(ring(6), 4, base=(0.0, 0.0), minutes=200.0))
    for now_min in (1.0, planned.rounds[2].from_min - 0.5, planned.rounds[3].from_min):
        found = taken_up(planned, known(planned, [], now_min), now_min, rng=rng())

        assert found.rounds == planned.rounds
        assert found.walks == planned.walks


def test_who_skipped_gets_it_where_it_would_wait_and_nobody_else_is_moved():
    # five groups at four stations: each waits once
    planned = plain(problem_of(ring(4), 5))
    group = next(one for one in planned.rounds[0].at if one not in planned.rounds[-1].waits)
    station = planned.rounds[0].at[group]
    now_min = planned.rounds[1].from_min

    found = taken_up(
        planned, known(planned, [Sign(SKIPS, group, station, 0.0)], now_min), now_min, rng=rng()
    )

    others = [code for code in ("g1", "g2", "g3", "g4", "g5") if code != group]
    assert [[one.at.get(code) for one in found.rounds[1:5]] for code in others] == [
        [one.at.get(code) for one in planned.rounds[1:]] for code in others
    ]
    assert (found.misses, len(found.rounds)) == ({}, len(planned.rounds) + 1)


def test_what_was_skipped_is_left_out_where_there_is_no_time_for_it():
    # two stations, a change of a minute: 0 to 4 and 5 to 9
    problem = problem_of({"A": (0.0, 0.0), "B": (50.0, 0.0)}, 2, minutes=9.0)
    planned = plain(problem)
    skipped = planned.rounds[0].at["g1"]

    found = taken_up(
        planned, known(planned, [Sign(SKIPS, "g1", skipped, 0.0)], 6.0), 6.0, rng=rng()
    )

    assert (found.misses, found.minutes) == ({"g1": (skipped,)}, 9.0)
