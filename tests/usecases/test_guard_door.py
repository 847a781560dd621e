"""Doors that wait for who guesses."""

from datetime import timedelta

import pytest
from hypothesis import given, strategies

from exercises.models import Failures
from exercises.usecases import guard_door
from exercises.usecases.guard_door import Patience, Shut
from tests import cast

SOME = Patience(3, timedelta(seconds=2), timedelta(seconds=20), timedelta(hours=1))
pytestmark = pytest.mark.django_db


def knock(seconds=0, door="a", tries=1):
    guard_door.knock(
        door=door, patience=SOME, now=cast.NOW + timedelta(seconds=seconds), tries=tries
    )


def knock_free():
    for _ in range(SOME.bears):
        knock()


def test_a_door_bears_some_tries_then_waits_longer_after_each():
    knock_free()
    waits, at = [], 0
    for _ in range(6):
        knock(at)
        with pytest.raises(Shut) as shut:
            knock(at)
        waits.append(shut.value.seconds)
        at += shut.value.seconds

    assert waits == [2, 4, 8, 16, 20, 20]


def test_tries_while_it_waits_do_not_make_it_wait_longer():
    knock_free()
    knock()
    for second in (0.5, 1, 1.9):
        with pytest.raises(Shut):
            knock(second)

    knock(2)


def test_a_door_waits_for_nobody_at_another():
    knock_free()
    knock()

    knock(door="b")


def test_after_an_hour_without_a_failure_all_is_forgotten():
    knock_free()
    knock()

    knock(3600)
    assert Failures.objects.get().number == 1


@pytest.mark.parametrize(("taken_back", "is_shut"), [(0, True), (1, False)])
def test_a_try_that_did_not_fail_is_taken_back(taken_back, is_shut):
    knock(tries=SOME.bears + 1)
    guard_door.take_back(door="a", tries=taken_back)

    try:
        knock()
    except Shut:
        assert is_shut
    else:
        assert not is_shut


def test_a_door_that_forgets_bears_as_many_again():
    knock(tries=40)
    guard_door.forget(door="a")

    knock_free()


def test_doors_of_long_ago_are_not_kept():
    knock()
    knock(seconds=3 * 86_400, door="b")

    assert [row.door for row in Failures.objects.all()] == ["b"]


@pytest.mark.parametrize(
    ("left", "words"),
    [
        (timedelta(milliseconds=1), "Wait 1 second, then try again."),
        (timedelta(seconds=90), "Wait 90 seconds, then try again."),
        (timedelta(seconds=91), "Wait 2 minutes, then try again."),
        (timedelta(minutes=5), "Wait 5 minutes, then try again."),
    ],
)
def test_how_long_is_said_and_never_too_short(left, words):
    assert words in str(Shut(left))


@given(strategies.integers(0, 10**9))
def test_a_wait_never_shrinks_with_failures_nor_passes_its_limit(failures):
    assert timedelta(0) <= SOME.wait(failures) <= SOME.wait(failures + 1) <= SOME.longest


def look(find, seconds, guess="x"):
    return guard_door.look(
        door="a",
        patience=SOME,
        now=cast.NOW + timedelta(seconds=seconds),
        find=find,
        guess=guess,
    )


def test_the_same_wrong_guess_counts_once_while_it_is_remembered():
    for seconds, guess in ((0, "x"), (1, "x"), (2, "y"), (3, "x")):
        look(lambda: None, seconds, guess)

    assert Failures.objects.get(door="a").number == 2


def test_a_wrong_guess_counts_again_once_it_was_forgotten():
    for seconds in (0, SOME.forgets.total_seconds()):
        look(lambda: None, seconds)

    assert Failures.objects.get(door="a").last_at == cast.NOW + SOME.forgets


def test_a_door_that_waits_is_asked_nothing():
    knock_free()
    knock()

    with pytest.raises(Shut):
        look(lambda: pytest.fail("asked"), seconds=0)


def test_what_is_found_at_a_door_that_waited_does_not_make_it_wait_again():
    knock_free()
    knock()
    for _ in range(2):
        look(lambda: "it", seconds=2)

    assert Failures.objects.get().number == SOME.bears + 1
