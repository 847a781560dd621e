"""A rotation: its hard promises, the least walking by brute force, minutes and posts by hand."""

import itertools
import math
from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from exercises.domain.running.rotation import ground_of, plain, rotate
from exercises.domain.running.rotation_cost import LATE_M, behind_counts, cost, follow_counts
from exercises.domain.running.rotation_grid import WAITS
from exercises.domain.running.rotation_posts import CROSSING, DANGER, FIRST, Post
from exercises.domain.running.rotation_values import Group, NoRotation, Problem, Station, Way
from tests.rotations import broken_promises, problem_of, problems, ring, rng

A_SQUARE = {"A": (0.0, 0.0), "B": (100.0, 0.0), "C": (100.0, 100.0), "D": (0.0, 100.0)}
# a search takes most of a second: few examples; the grids and the exchanges that it is made of are
# tried at large in test_rotation_grid.py
FEW = settings(max_examples=6, deadline=None)


@FEW
@given(problems(), st.integers(0, 2**32))
def test_a_rotation_keeps_the_hard_promises(problem, seed):
    rotation = rotate(problem, rng=rng(seed))

    assert broken_promises(rotation) == []
    assert rotation.misses == {}


@FEW
@given(problems())
def test_nobody_waits_longer_than_there_are_more_groups_than_places(problem):
    rotation = rotate(problem, rng=rng())

    fewest = min(station.places for station in problem.stations)
    rounds = max(len(problem.stations), math.ceil(len(problem.groups) / fewest))
    assert len(rotation.rounds) == rounds
    assert set(rotation.waits.values()) == {rounds - len(problem.stations)}


@FEW
@given(problems(), st.integers(1, 4))
def test_in_too_few_rounds_waiting_is_spread_evenly(problem, rounds):
    rotation = rotate(problem, rng=rng(), rounds=rounds)

    waits, misses = rotation.waits.values(), rotation.misses
    missed = [len(misses.get(group.code, ())) for group in problem.groups]
    assert broken_promises(rotation) == []
    assert max(waits) - min(waits) <= 1
    assert max(missed) - min(missed) <= 1


@FEW
@given(problems(bases=[None], most_stations=5))
def test_the_search_never_makes_a_rotation_worse(problem):
    assert found_cost(rotate(problem, rng=rng())) <= found_cost(plain(problem))


@pytest.mark.parametrize(
    ("stations", "groups"), [(3, 3), (4, 4), (5, 5), (6, 4), (7, 7), (8, 5), (9, 9), (12, 12)]
)
def test_on_a_ring_nobody_is_behind_the_same_group_twice(stations, groups):
    rotation = rotate(problem_of(ring(stations), groups), rng=rng())

    assert rotation.behind == 0
    assert rotation.follows <= 2


@pytest.mark.parametrize("stations", [4, 6, 8])
def test_an_even_number_of_groups_never_comes_after_one_twice_where_that_is_asked(stations):
    rotation = rotate(problem_of(ring(stations), stations, follow_limit=1), rng=rng())

    assert (rotation.behind, rotation.follows) == (0, 1)


def test_round_an_even_ring_nobody_walks_further_than_its_sides():
    # eight stations 76.54 m apart (2 r sin(pi / 8) of a ring of 100 m): seven sides each
    rotation = rotate(problem_of(ring(8), 8), rng=rng())

    side_m = 200.0 * math.sin(math.pi / 8)
    assert list(rotation.walked_m.values()) == pytest.approx([7 * side_m] * 8)


# The truth, written down without the code that is tested: every rotation there is.


def every_rotation(groups, stations, rounds):
    """All rows of stations, or None to wait, that do not collide."""
    waits = [None] * (rounds - stations)
    rows = sorted(set(itertools.permutations([*range(stations), *waits])), key=str)

    def grown(chosen):
        if len(chosen) == groups:
            yield chosen
            return
        for row in rows:
            if all(
                mine is None or mine != theirs
                for other in chosen
                for mine, theirs in zip(row, other, strict=True)
            ):
                yield from grown([*chosen, row])

    return grown([])


def true_cost(rows, problem):
    """What rows cost, by the words of README.md."""
    codes = [station.code for station in problem.stations]
    came = Counter()
    legs = {}
    walked = []
    for group, row in enumerate(rows):
        stops = [(turn, station) for turn, station in enumerate(row) if station is not None]
        for turn, station in stops:
            for other, theirs in enumerate(rows):
                before = theirs[turn - 1] if turn else None
                came[other, group] += other != group and station in (before, theirs[turn])
        pairs = [(one[1], other[1], other[0]) for one, other in itertools.pairwise(stops)]
        legs[group] = set(pairs)
        walked.append(sum(problem.ways[codes[one], codes[two]].length_m for one, two, _ in pairs))
    behind = Counter(
        (ahead, group)
        for group, mine in legs.items()
        for one, two, turn in mine
        for ahead, theirs in legs.items()
        if ahead != group and theirs & {(one, two, turn - 1), (one, two, turn)}
    )
    late = [
        next(turn for turn, station in enumerate(row) if station in asking)
        for row in rows
        for asking in askers(problem)
    ]
    return (
        sum(count - 1 for count in behind.values() if count > 1),
        sum(
            count - problem.follow_limit for count in came.values() if count > problem.follow_limit
        ),
        sum(walked) / len(walked) + max(walked) + LATE_M * sum(late) / len(late),
    )


def askers(problem):
    """Of each north and kind the numbers of the stations that ask it."""
    asked = {}
    for number, station in enumerate(problem.stations):
        for one in station.asked:
            asked.setdefault((one.north, one.kind), set()).add(number)
    return list(asked.values())


def found_cost(rotation):
    number = {station.code: at for at, station in enumerate(rotation.problem.stations)}
    rows = [
        [number.get(one.at.get(group.code)) for one in rotation.rounds]
        for group in rotation.problem.groups
    ]
    return true_cost(rows, rotation.problem)


@pytest.mark.parametrize("limit", [1, 2])
@pytest.mark.parametrize(
    ("stations", "groups"), [(1, 1), (2, 2), (3, 2), (3, 3), (2, 3), (4, 2), (4, 3), (4, 4), (5, 2)]
)
def test_no_rotation_of_a_small_course_is_better(stations, groups, limit):
    draw = np.random.default_rng(100 * stations + groups)
    places = {chr(65 + at): tuple(draw.uniform(-200, 200, 2)) for at in range(stations)}
    problem = problem_of(places, groups, follow_limit=limit)

    every = every_rotation(groups, stations, max(stations, groups))
    least = min(true_cost(rows, problem) for rows in every)

    assert found_cost(rotate(problem, rng=rng())) == pytest.approx(least, abs=1e-6)


@FEW
@given(problems(bases=[None], most_stations=5, most_groups=5))
def test_the_cost_of_a_grid_is_what_it_is_said_to_be(problem):
    rotation = plain(problem)
    number = {station.code: at for at, station in enumerate(problem.stations)}
    places = [sum(one.places for one in problem.stations[:at]) for at in number.values()]
    # the first place of a station stands for all of them: a cost asks for stations only
    grid = [
        [
            places[number[one.at[group.code]]] if group.code in one.at else WAITS
            for one in rotation.rounds
        ]
        for group in problem.groups
    ]

    assert cost(grid, ground_of(problem)).order == pytest.approx(found_cost(rotation))


# By hand


def test_who_comes_after_whom_by_hand():
    # the second group comes to station 0 after the first, and both are at station 1 in round 1
    at = [[0, 1, 2], [2, 0, 1], [WAITS, 1, 0]]

    # round 1: group 1 at 0 after group 0; groups 0 and 2 together at 1
    # round 2: group 1 at 1 after 0 and 2; group 2 at 0 after 1
    assert follow_counts(at) == {
        (0, 1): 2,
        (0, 2): 1,
        (2, 0): 1,
        (2, 1): 1,
        (1, 2): 1,
    }


def test_who_walks_behind_whom_by_hand():
    # group 1 walks 0 to 1 right after group 0, and 1 to 2 as well; group 2 walks 1 to 2 beside 1
    at = [[0, 1, 2, WAITS], [WAITS, 0, 1, 2], [WAITS, WAITS, 1, 2]]

    assert behind_counts(at, 3) == {(0, 1): 2, (0, 2): 1, (1, 2): 1, (2, 1): 1}


def test_minutes_of_a_square_by_hand():
    # sides of 100 m take 1.2 minutes by Naismith's rule, rounded up 2; the slowest station 6
    problem = problem_of(A_SQUARE, 4, minutes_at={"A": 4.0, "B": 6.0, "C": 4.0, "D": 4.0})

    rotation = rotate(problem, rng=rng())

    assert [(one.from_min, one.until_min) for one in rotation.rounds] == [
        (0.0, 6.0),
        (8.0, 14.0),
        (16.0, 22.0),
        (24.0, 30.0),
    ]
    assert rotation.minutes == 30.0


def test_the_way_out_and_home_is_walked_and_counted():
    # one group, base 50 m from A: 0.6 minutes, rounded up 1; A to B 2 minutes; home 111.8 m: 2
    problem = problem_of({"A": (0.0, 0.0), "B": (100.0, 0.0)}, 1, base=(0.0, 50.0))

    rotation = rotate(problem, rng=rng())

    walks = [(walk.start, walk.end, walk.before, walk.from_min) for walk in rotation.walks]
    assert walks in (
        [("base", "A", 0, 0.0), ("A", "B", 1, 5.0), ("B", "base", 2, 11.0)],
        [("base", "B", 0, 0.0), ("B", "A", 1, 6.0), ("A", "base", 2, 12.0)],
    )
    assert rotation.minutes == 13.0
    assert rotation.walked_m == {"g1": pytest.approx(150.0 + math.hypot(100.0, 50.0))}


def test_two_groups_and_one_station_take_turns():
    rotation = rotate(problem_of({"A": (0.0, 0.0)}, 2), rng=rng())

    assert [sorted(one.at.values()) for one in rotation.rounds] == [["A"], ["A"]]
    assert rotation.waits == {"g1": 1, "g2": 1}


def test_the_same_random_state_gives_the_same_rotation():
    problem = problem_of(ring(7), 7)

    assert rotate(problem, rng=rng(5)) == rotate(problem, rng=rng(5))


def test_sixty_stations_and_thirty_groups_keep_the_promises():
    rotation = rotate(problem_of(ring(60, 600.0), 30), rng=rng())

    assert broken_promises(rotation) == []
    assert (len(rotation.rounds), rotation.misses, rotation.behind) == (60, {}, 0)


def test_sixty_groups_on_three_stations_wait_their_turn():
    rotation = rotate(problem_of(ring(3), 60), rng=rng())

    assert broken_promises(rotation) == []
    assert (len(rotation.rounds), set(rotation.waits.values())) == (60, {57})


# Helpers


def near_danger(codes, **more):
    """Two stations and two groups of 3 and 5 people."""
    stations = tuple(Station(code, settle_min=4.0, is_dangerous=code in codes) for code in "AB")
    way = Way(100.0, 1.2, kept=("the road",) if "road" in codes else ())
    groups = (Group("few", 3), Group("many", 5))
    return Problem(stations, groups, {("A", "B"): way, ("B", "A"): way}, **more)


def test_helpers_stand_at_dangers_first_and_then_where_groups_begin():
    rotation = rotate(near_danger("B"), rng=rng())

    assert rotation.posts == (Post("B", DANGER, 0, 2), Post("A", FIRST, 0, 1))


def test_without_dangers_a_helper_begins_with_the_largest_group():
    rotation = rotate(near_danger(""), rng=rng())

    first = rotation.rounds[0].at
    assert rotation.posts == (
        Post(first["many"], FIRST, 0, 1),
        Post(first["few"], FIRST, 0, 1),
    )


def test_a_helper_keeps_a_crossing_that_is_walked():
    rotation = rotate(near_danger(["road"]), rng=rng())

    assert rotation.posts[0] == Post("A", CROSSING, 0, 2, "B")


def test_fewer_helpers_than_dangers_are_refused():
    with pytest.raises(NoRotation, match=r"2 stations are near a danger .* and 1 are there"):
        near_danger("AB", helpers=1)


@pytest.mark.parametrize(("stations", "groups"), [("", "g"), ("A", "")])
def test_a_rotation_of_nothing_is_refused(stations, groups):
    with pytest.raises(NoRotation, match="at least one station and one group"):
        Problem(tuple(map(Station, stations)), tuple(map(Group, groups)), {})


@pytest.mark.parametrize(("stations", "groups"), [("AA", "g"), ("A", "gg")])
def test_two_of_one_name_are_refused(stations, groups):
    with pytest.raises(NoRotation, match="is there twice"):
        Problem(tuple(map(Station, stations)), tuple(map(Group, groups)), {})
