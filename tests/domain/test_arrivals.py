"""What is worth a look in how people joined."""

from datetime import UTC, datetime, timedelta

from exercises.domain.running.arrivals import Arrival, Signs, signs

NINE = datetime(2026, 10, 3, 9, tzinfo=UTC)


def came(person, minutes=0, **more):
    return Arrival(person, NINE + timedelta(minutes=minutes), **more)


def test_a_class_without_a_roster_has_nobody_who_is_not_on_it():
    assert signs([came("a"), came("b")], None) == {"a": Signs(), "b": Signs()}


def test_who_stands_on_no_roster_is_told_where_there_is_one():
    found = signs([came("a"), Arrival("b", None, was_listed=True)], None)

    assert found == {"a": Signs(is_unlisted=True)}


def test_late_is_who_joined_after_the_first_reading():
    found = signs([came("a", 5), came("b", 6)], NINE + timedelta(minutes=5))

    assert [one.is_late for one in found.values()] == [False, True]


def test_apart_is_who_comes_alone_while_most_share_an_address():
    school = [came(name, address="school") for name in "abc"]
    found = signs([*school, came("d", address="own"), came("e")], None)

    assert [name for name, one in found.items() if one.is_apart] == ["d"]


def test_where_each_phone_has_an_address_nobody_is_apart():
    phones = [came(name, address=name) for name in "abcdef"]
    pair = [came(name, address="home") for name in "gh"]

    assert not any(one.is_apart for one in signs([*phones, *pair], None).values())


def test_a_phone_tells_how_many_it_brought_with_those_who_were_taken_out():
    found = signs(
        [came("a", phone="1"), came("b", phone="1", is_gone=True), came("c", phone="2")], None
    )

    assert found == {"a": Signs(brought=2, brought_gone=1), "c": Signs()}


def test_two_who_share_an_address_make_it_nobodys_rule():
    found = signs([came("a", address="1"), came("b", address="1"), came("c", address="2")], None)

    assert not any(one.is_apart for one in found.values())
