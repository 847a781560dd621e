"""Who is here by the last word; people in groups."""

import datetime
import itertools
import random
from itertools import permutations

import pytest
from hypothesis import given, strategies as st

from exercises.domain.running.groups import shuffled
from exercises.domain.running.headcount import Mark, counted, missing

TEN = datetime.datetime(2026, 10, 3, 10, 0, tzinfo=datetime.UTC)


def mark(person, is_here, by, minute, arrival=0):
    return Mark(person, is_here, by, TEN + datetime.timedelta(minutes=minute), arrival)


def test_who_nobody_has_ticked_is_missing():
    assert missing(counted(["mia", "tom"], [mark("mia", True, "ines", 0)])) == ["tom"]


def test_the_last_word_on_a_name_holds_in_whatever_order_it_is_heard_of():
    said = [
        mark("mia", True, "ines", 0, 1),
        mark("mia", False, "karl", 1, 2),
        mark("mia", True, "ines", 2, 3),
    ]

    assert {counted(["mia"], order)[0].is_here for order in permutations(said)} == {True}


def test_who_said_something_else_stands_beside_the_last_word():
    said = [mark("mia", True, "ines", 0), mark("mia", False, "karl", 1)]

    (entry,) = counted(["mia"], said)

    assert (entry.is_here, entry.last.by) == (False, "karl")
    assert [(other.by, other.is_here) for other in entry.others] == [("ines", True)]


def test_who_agrees_with_the_last_word_is_not_repeated():
    said = [mark("mia", True, "ines", 0), mark("mia", True, "karl", 1)]

    assert counted(["mia"], said)[0].others == ()


def test_of_two_words_at_the_same_moment_the_one_heard_of_later_holds():
    said = [mark("mia", True, "ines", 0, 2), mark("mia", False, "karl", 0, 1)]

    assert counted(["mia"], said)[0].last.by == "ines"


marks = st.lists(
    st.builds(
        mark,
        st.sampled_from("abc"),
        st.booleans(),
        st.sampled_from(["ines", "karl"]),
        st.integers(0, 5),
        st.integers(0, 10**6),
    ),
    unique_by=lambda mark: mark.arrival,
)


@given(marks)
def test_the_last_word_is_the_latest_by_brute_force(said):
    for entry in counted("abc", said):
        of_person = [mark for mark in said if mark.person == entry.person]
        truth = max(of_person, key=lambda mark: (mark.marked_at, mark.arrival), default=None)
        assert entry.last == truth


@given(st.lists(st.text(), unique=True), st.integers(1, 50), st.integers())
def test_everybody_is_in_one_group_and_sizes_differ_by_one_at_most(people, number, seed):
    groups = shuffled(people, number, random.Random(seed))

    assert sorted(itertools.chain(*groups)) == sorted(people)
    assert len(groups) == min(number, len(people))
    sizes = [len(group) for group in groups]
    assert not sizes or max(sizes) - min(sizes) <= 1


def test_each_person_meets_each_other_about_as_often_by_chance():
    # of 4 people in 2 pairs each partner has the chance 1/3; 6,000 draws, five standard errors
    draws, with_b = 6000, 0
    for seed in range(draws):
        groups = shuffled("abcd", 2, random.Random(seed))
        with_b += any(set(group) == {"a", "b"} for group in groups)

    assert with_b / draws == pytest.approx(1 / 3, abs=5 * (2 / 9 / draws) ** 0.5)


@pytest.mark.parametrize("number", [0, -1])
def test_nobody_is_divided_into_no_groups(number):
    with pytest.raises(ValueError, match="fewer groups than one"):
        shuffled("ab", number, random.Random(1))
