"""Who is where by their last reading, and of whom nothing was heard."""

import datetime
import random

from exercises.domain.running.whereabouts import Given, last_given, silent, stations_now

TEN = datetime.datetime(2026, 10, 3, 10, 0, tzinfo=datetime.UTC)


def at(minute):
    return TEN + datetime.timedelta(minutes=minute)


def given(person, station, minute):
    return Given(person, station, at(minute))


def test_a_person_is_where_their_last_reading_was_made():
    (a, b) = stations_now(
        ["A", "B"], [given("mia", "B", 5), given("mia", "A", 1), given("tom", "A", 4)], at(6)
    )

    assert (a.here, a.people, a.readings) == (("tom",), 2, 2)
    assert (b.here, b.people, b.readings, b.last) == (("mia",), 1, 1, at(5))


def test_who_read_there_long_ago_is_not_said_to_be_there():
    (a,) = stations_now(["A"], [given("mia", "A", 0)], at(13))

    assert (a.here, a.readings) == ((), 1)


def test_a_station_where_nobody_has_been_has_no_last_reading():
    (a,) = stations_now(["A"], [], at(0))

    assert (a.here, a.people, a.readings, a.last) == ((), 0, 0, None)


def test_the_last_reading_is_the_one_made_last_in_whatever_order_they_come():
    rows = [given("mia", code, minute) for minute, code in enumerate("ABCD")]
    for seed in range(5):
        shuffled = random.Random(seed).sample(rows, len(rows))

        assert last_given(shuffled)["mia"].station == "D"


def test_those_of_whom_nothing_was_heard_for_longest_stand_first():
    since = {"mia": at(0), "tom": at(0), "ada": at(0), "new": at(25)}
    heard = {"mia": at(10), "tom": at(5), "ada": at(20)}

    assert silent(since, heard, at(30), datetime.timedelta(minutes=15)) == ["tom", "mia"]


def test_who_was_never_heard_of_counts_from_when_they_joined():
    assert silent({"mia": at(0)}, {}, at(16), datetime.timedelta(minutes=15)) == ["mia"]
    assert silent({"mia": at(0)}, {}, at(15), datetime.timedelta(minutes=15)) == []
