"""A season: intervals that hold, and claims only where the readings tell.

Newcombe's interval is checked with a worked example of his, from memory; coverage with simulated
people who differ in skill, seeds stated.
"""

import numpy as np
import pytest

from exercises.domain.results import season
from exercises.domain.results.season import Read, changes, estimate, ground, skill


def marks(*people):
    return [(f"{place}", bool(one)) for place, person in enumerate(people) for one in person]


def test_people_who_each_read_once_have_wilsons_interval():
    # Newcombe (1998), Statistics in Medicine 17, 857-872, Table I, method 3: from memory
    found = estimate(marks(*[[1]] * 81, *[[0]] * 182))

    assert (found.low, found.high) == pytest.approx((0.2553, 0.3662), abs=5e-5)


def test_readings_of_one_person_tell_less_than_those_of_many():
    alike = estimate(marks(*[[1] * 10] * 3, *[[0] * 10] * 3))
    apart = estimate(marks(*[[1]] * 30, *[[0]] * 30))

    assert alike.share == apart.share == 0.5
    assert alike.high - alike.low > 2 * (apart.high - apart.low)


def test_where_everybody_is_right_each_person_counts_once():
    ten, one = estimate(marks(*[[1] * 10] * 4)), estimate(marks(*[[1]] * 4))

    assert (ten.low, ten.high) == (one.low, one.high)


def test_intervals_hold_the_truth_of_people_who_differ():
    """2000 seasons of 24 people with 8 readings, seed 11; skill drawn from Beta(6, 4)."""
    rng, held = np.random.default_rng(11), 0
    for _ in range(2000):
        skills = rng.beta(6.0, 4.0, 24)
        found = estimate(marks(*(rng.random(8) < one for one in skills)))
        held += found.low <= 0.6 <= found.high

    assert 0.93 <= held / 2000 <= 0.97


def group(cause, hits, number, name):
    return [
        Read(f"{name}{place}", "sight", 0.0, cause if place < hits else "ok")
        for place in range(number)
    ]


def test_two_shares_are_compared_as_newcombe_does():
    # Newcombe (1998), Statistics in Medicine 17, 873-890, Table II (a): 56/70 - 48/80, method 10
    # gives 0.0524 to 0.3339; from memory
    (found,) = changes(group("reversed", 48, 80, "a"), group("reversed", 56, 70, "b"))

    assert (found.low, found.high) == pytest.approx((0.0524, 0.3339), abs=5e-5)
    assert found.told == season.RISING


@pytest.mark.parametrize(
    ("first", "last", "told"),
    [
        ((30, 60), (5, 60), "falling"),
        ((5, 60), (30, 60), "rising"),
        ((12, 60), (8, 60), "untold"),
        ((2, 6), (0, 6), "untold"),
    ],
)
def test_nothing_is_claimed_where_the_readings_do_not_tell(first, last, told):
    (found,) = changes(group("mirrored", *first, "a"), group("mirrored", *last, "b"))

    assert found.told == told


def test_a_season_in_which_nothing_changed_seldom_claims_that_something_did():
    """400 seasons of 2 x 60 people with 6 readings and ten causes of 4 % each, seed 23."""
    rng, claims = np.random.default_rng(23), 0
    codes = ["reversed", "mirrored", "ten_off", "mils", "counted_back", "digits_swapped"]
    codes += ["quarter_turn", "hundred_off", "digit_dropped", "other_target"]

    def half(name):
        return [
            Read(f"{name}{place // 6}", "sight", 0.0, codes[int(draw)] if draw < 10 else "ok")
            for place, draw in enumerate(rng.random(360) * 25)
        ]

    for _ in range(400):
        claims += any(one.told != "untold" for one in changes(half("a"), half("b")))

    assert claims / 400 <= 0.08


def test_a_cause_in_a_combination_counts_and_a_fault_of_the_ground_does_not():
    reads = [Read("a", "sight", 0.0, "reversed+station_fault")]

    assert [one.cause for one in changes(reads, reads)] == ["reversed"]


def test_without_readings_on_a_side_there_is_no_comparison():
    assert changes([], group("mirrored", 3, 6, "a")) == []


def test_skill_is_the_share_of_full_credit_by_kind():
    reads = [
        Read("a", "sight", 1.0, "ok"),
        Read("b", "sight", 0.5, "ok"),
        Read("a", "walk", 1.0, "ok"),
    ]

    found = skill(reads)

    assert {kind: (one.share, one.readings, one.people) for kind, one in found.items()} == {
        "sight": (0.5, 2, 2),
        "walk": (1.0, 1, 1),
    }


@pytest.mark.parametrize(
    ("classes", "state"),
    [
        pytest.param([{"A": (9.0, 1.0)}], {"A": "at_fault"}, id="at fault"),
        pytest.param([{"A": (9.0, 1.0)}, {"A": (0.3, 0.8)}], {"A": "mended"}, id="gone"),
        pytest.param([{"A": (3.0, 1.0)}, {"A": (1.5, 2.0)}], {"A": "at_fault"}, id="not known"),
        pytest.param([{"A": (9.0, 1.0)}, {}], {"A": "at_fault"}, id="not read since"),
        pytest.param(
            [{"A": (9.0, 1.0)}, {"A": (0.3, 0.8)}, {"A": (8.0, 1.0)}],
            {"A": "at_fault"},
            id="came back",
        ),
        pytest.param([{"A": (0.9, 0.1)}, {"B": (3.0, 2.0)}], {}, id="nothing to mend"),
    ],
)
def test_what_became_of_a_station(classes, state):
    assert ground(classes) == state


def test_sound_ground_is_seldom_called_faulty():
    """1000 seasons of five classes with twelve sound stations each, errors of 1°, seed 5."""
    rng, claims = np.random.default_rng(5), 0
    for _ in range(1000):
        drawn = rng.normal(0.0, 1.0, (5, 12))
        claims += bool(
            ground(
                [{f"{code}": (degrees, 1.0) for code, degrees in enumerate(row)} for row in drawn]
            )
        )

    assert claims / 1000 <= 0.07
