"""Grids of groups and rounds: fewest rounds, loops, Williams' order, colourings, exchanges."""

import itertools
from collections import Counter

import pytest
from hypothesis import given, strategies as st

from exercises.domain.running import rotation_search
from exercises.domain.running.rotation_cost import Ground, follow_counts
from exercises.domain.running.rotation_grid import (
    WAITS,
    coloured,
    cycle,
    placed,
    rounds_needed,
    spread,
    visits,
)
from exercises.domain.running.rotation_left import remaining
from exercises.domain.running.rotation_start import loop, round_m, starts, williams
from tests.rotations import capacities, rng

GROUPS = st.integers(1, 9)


def stations_of(grid, places):
    """The stations of a grid of places, written down another way than in the code."""
    owner = list(itertools.chain(*([station] * count for station, count in enumerate(places))))
    return [[None if place == WAITS else owner[place] for place in row] for row in grid]


def collisions(grid, places):
    """Places taken twice in a round, and stations had twice by a group."""
    found = []
    for column in zip(*grid, strict=True):
        found += [place for place, count in Counter(column).items() if count > 1 and place != WAITS]
    for row in stations_of(grid, places):
        had = [station for station in row if station is not None]
        found += [station for station, count in Counter(had).items() if count > 1]
    return found


def ground(groups, places, limit=2):
    """Flat ground on which stations lie a metre apart on a line."""
    count = len(places)
    return Ground(
        station_of=tuple(at for at, number in enumerate(places) for _ in range(number)),
        apart_m=tuple(
            tuple(abs(one - other) * 1.0 for other in range(count)) for one in range(count)
        ),
        from_m=((0.0,) * count,) * groups,
        home_m=(0.0,) * count,
        asks=((0,),) * count,
        pairs=1,
        follow_limit=limit,
        met=(frozenset(),) * groups,
    )


def line_m(count):
    return ground(1, [1] * count).apart_m


def has_rotation(groups, places, rounds):
    """Whether everybody can be everywhere once in some rounds: every way is tried."""
    free = [[count] * rounds for count in places]
    visits_left = list(itertools.product(range(groups), range(len(places))))

    def is_possible(index, busy):
        if index == len(visits_left):
            return True
        group, station = visits_left[index]
        for turn in range(rounds):
            if free[station][turn] and (group, turn) not in busy:
                free[station][turn] -= 1
                if is_possible(index + 1, busy | {(group, turn)}):
                    return True
                free[station][turn] += 1
        return False

    return is_possible(0, frozenset())


@pytest.mark.parametrize("groups", [1, 2, 3, 4, 5])
@pytest.mark.parametrize("places", [[1], [2], [1, 1], [1, 2], [2, 2], [1, 2, 2], [1, 1, 1]])
def test_there_is_no_rotation_in_fewer_rounds_than_are_said_to_be_needed(groups, places):
    needed = rounds_needed(groups, places)

    assert has_rotation(groups, places, needed)
    assert not has_rotation(groups, places, needed - 1)


@given(GROUPS, capacities())
def test_every_grid_to_begin_with_gives_everybody_every_station_once(groups, places):
    needed = rounds_needed(groups, places)

    for grid in starts(groups, places, line_m(len(places)), needed):
        assert collisions(grid, places) == []
        assert {len(row) for row in grid} == {needed}
        for row in stations_of(grid, places):
            assert sorted(station for station in row if station is not None) == [
                *range(len(places))
            ]


@given(GROUPS, capacities(), st.integers(1, 9))
def test_in_too_few_rounds_there_are_as_many_visits_as_there_can_be(groups, places, rounds):
    chosen = visits(groups, places, rounds)

    # a group has a round for each visit, a station a place; and no visit is made twice
    bound = min(
        groups * min(rounds, len(places)),
        sum(min(groups, count * rounds) for count in places),
    )
    assert len(chosen) == len(set(chosen)) == bound


@given(GROUPS, capacities(), st.integers(1, 9))
def test_in_too_few_rounds_groups_have_as_many_visits_as_each_other_to_one(groups, places, rounds):
    count = Counter(group for group, _ in visits(groups, places, rounds))

    had = [count[group] for group in range(groups)]
    assert max(had) - min(had) <= 1


@given(st.data())
def test_visits_are_put_into_as_few_rounds_as_the_busiest_needs(data):
    places = data.draw(capacities())
    groups = data.draw(GROUPS)
    every = list(itertools.product(range(groups), range(len(places))))
    pairs = data.draw(st.lists(st.sampled_from(every), unique=True))
    busiest = max(
        [
            1,
            *Counter(group for group, _ in pairs).values(),
            *(
                -(-count // places[station])
                for station, count in Counter(station for _, station in pairs).items()
            ),
        ]
    )

    grid = coloured(pairs, groups, places, busiest)

    made = [
        (group, station)
        for group, row in enumerate(stations_of(grid, places))
        for station in row
        if station is not None
    ]
    assert collisions(grid, places) == []
    assert sorted(made) == sorted(pairs)


@pytest.mark.parametrize(
    ("order", "rounds", "slots"),
    [
        ([0, 1, 2], 3, [0, 1, 2]),
        ([0, 1], 4, [0, WAITS, 1, WAITS]),
        ([2, 0, 1], 5, [2, 0, WAITS, 1, WAITS]),
    ],
)
def test_rounds_to_wait_lie_evenly_between_stations(order, rounds, slots):
    assert spread(order, rounds) == slots


def test_a_loop_one_way_is_the_cyclic_latin_square():
    # the square of order 4 that every handbook begins with, rows from A B C D; from memory
    assert cycle(4, range(4), (1,) * 4) == [[0, 1, 2, 3], [1, 2, 3, 0], [2, 3, 0, 1], [3, 0, 1, 2]]


def test_a_loop_both_ways_is_the_square_worked_out_by_hand():
    # groups that begin at B and D go backwards
    both = cycle(4, range(4), (1,) * 4, both_ways=True)

    assert both == [[0, 1, 2, 3], [1, 0, 3, 2], [2, 3, 0, 1], [3, 2, 1, 0]]


@pytest.mark.parametrize("count", [4, 6, 8, 10, 12])
def test_both_ways_nobody_comes_after_the_same_group_more_than_twice(count):
    # worked out: by turn r the group that begins at slot p comes after the one of slot p + 2 r + 1,
    # which comes round again after half the loop
    follows = follow_counts(cycle(count, range(count), (1,) * count, both_ways=True))

    assert max(follows.values()) <= 2


@pytest.mark.parametrize("count", [2, 4, 6, 8, 10, 12])
def test_williams_order_is_balanced_as_his_designs_are(count):
    # E. J. Williams (1949), from memory: with an even number of treatments one square is enough for
    # every treatment to come just after every other once. Here groups are treated with stations:
    # at each station every ordered pair of groups comes once over all stations.
    follows = follow_counts(cycle(count, range(count), williams(count)))

    assert follows == dict.fromkeys(itertools.permutations(range(count), 2), 1)


def test_williams_first_row_of_six_is_the_published_one():
    # 0 1 n-1 2 n-2 3: Williams (1949), as textbooks of cross-over trials print it; from memory
    row = cycle(1, range(6), williams(6))[0]

    assert row == [0, 1, 5, 2, 4, 3]


def test_two_groups_at_one_station_get_places_of_their_own():
    assert placed([[0, 1], [0, 1], [1, 0]], [2, 2]) == [[0, 2], [1, 3], [2, 0]]


def distances(places):
    return [[abs(complex(*one) - complex(*other)) for other in places] for one in places]


def shortest_m(apart_m):
    """The shortest way round all and back: every order is tried."""
    orders = itertools.permutations(range(1, len(apart_m)))
    return min(round_m([0, *rest], apart_m) for rest in orders)


@given(st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99)), min_size=1, max_size=7))
def test_the_loop_visits_all_and_is_near_the_shortest(places):
    apart_m = distances(places)

    order = loop(apart_m)
    assert sorted(order) == [*range(len(places))]
    assert round_m(order, apart_m) <= 1.25 * shortest_m(apart_m) + 1e-6


def test_a_loop_that_always_goes_to_the_nearest_is_bettered():
    # six places round which the nearest next one makes a way 37 % too long
    apart_m = distances([(2, 4), (4, 4), (5, 7), (4, 8), (8, 5), (0, 6)])

    assert round_m(loop(apart_m), apart_m) == pytest.approx(shortest_m(apart_m))


@pytest.mark.parametrize("exchange", rotation_search.EXCHANGES[1:], ids=lambda one: one.__name__)
@given(groups=GROUPS, places=capacities(), short=st.integers(0, 3), seed=st.integers(0, 2**32))
def test_an_exchange_keeps_every_hard_promise(exchange, groups, places, short, seed):
    rounds = max(1, rounds_needed(groups, places) - short)
    grid = starts(groups, places, line_m(len(places)), rounds)[-1]
    waits = [row.count(WAITS) for row in grid]
    draw = rng(seed)

    for _ in range(12):
        if rounds >= 2:
            grid = exchange([*map(list, grid)], ground(groups, places), (0, rounds), draw)

    assert collisions(grid, places) == []
    assert [row.count(WAITS) for row in grid] == waits


@given(st.data())
def test_what_is_left_is_put_into_rounds_for_those_who_are_there(data):
    places = data.draw(capacities())
    groups = data.draw(GROUPS)
    stations = st.lists(st.sampled_from(range(len(places))), unique=True)
    left = data.draw(st.lists(stations, min_size=groups, max_size=groups))
    away = data.draw(
        st.lists(st.sampled_from([0, 0, 1, 3, None]), min_size=groups, max_size=groups)
    )

    grid, stretches = remaining(left, away, places, None)

    assert collisions(grid, places) == []
    for row, mine, gone in zip(stations_of(grid, places), left, away, strict=True):
        had = [station for station in row if station is not None]
        assert sorted(had) == (sorted(mine) if gone is not None else [])
    assert [stretch[1] for stretch in stretches] == [
        *[stretch[0] for stretch in stretches[1:]],
        *([len(grid[0])] if stretches else []),
    ]


def test_in_one_round_the_group_that_misses_most_comes_first():
    # the middle one misses both stations, the others one each: by hand
    assert remaining([[0], [0, 1], [1]], [0, 0, 0], [1, 1], 1) == ([[WAITS], [0], [1]], [(0, 1)])
