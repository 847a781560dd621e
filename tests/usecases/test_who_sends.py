"""Who sends readings is asked in one question, and known as any other page knows it."""

import pytest

from exercises import queries
from exercises.models import Key
from exercises.usecases import keep_roster
from exercises.usecases.correct_key import adopt, task_dropped
from exercises.usecases.join_class import phone_in_class
from exercises.usecases.trail import Account
from exercises.usecases.who_sends import who_sends
from tests import cast


def tokens(joined):
    return [f"{person.pk}:{secret}" for person, secret in joined]


@pytest.fixture
def joined(open_class):
    return cast.join(open_class, "Tom", "Mia")


def test_the_people_of_a_phone_come_by_name_with_the_compass_in_hand(open_class, joined):
    sender = who_sends(open_class.code, tokens(joined))

    assert [person.name for person in sender.people] == ["Mia", "Tom"]
    assert [person.instrument() for person in sender.people] == [
        person.instrument() for person, _ in reversed(joined)
    ]


def test_the_same_people_and_class_are_found_as_by_every_page(open_class, joined):
    of_page, people = phone_in_class(open_class.code, tokens(joined))

    sender = who_sends(open_class.code, tokens(joined))

    assert (sender.course_class, list(sender.people)) == (of_page, people)
    for name in ("code", "state", "feedback", "asks", "released_at"):
        assert getattr(sender.course_class, name) == getattr(of_page, name)


def test_a_reading_asks_who_sends_and_is_kept_in_two_questions(
    phone, open_class, mia, django_assert_num_queries
):
    address, body = f"/c/{open_class.code}/readings/", {"readings": [cast.reading(mia)]}
    phone.post(address, body, content_type="application/json")  # the key is read once in a process

    with django_assert_num_queries(2):
        phone.post(
            address, {"readings": [cast.reading(mia)]}, content_type="application/json"
        ).json()


@pytest.mark.parametrize("number", [1, 5])
def test_what_readings_were_worth_is_told_after_three_questions(
    phone, open_class, mia, django_assert_num_queries, number
):
    cast.send(open_class, mia, *[("1", "044")] * number)
    phone.get(f"/c/{open_class.code}/shown/?task=1")  # the key is read once in a process

    with django_assert_num_queries(3):  # who asks, readings, what the class had learnt
        phone.get(f"/c/{open_class.code}/shown/?task=1")


@pytest.mark.parametrize("number", [1, 5])
def test_a_batch_is_kept_in_one_transaction_and_asks_nothing_more_of_each(
    phone, open_class, mia, django_assert_num_queries, number
):
    phone.get(f"/c/{open_class.code}/shown/")  # the key is read once in a process
    sent = [cast.reading(mia) for _ in range(number)]

    with django_assert_num_queries(1 + number + 2 * (number > 1)):  # a savepoint, and its end
        phone.post(
            f"/c/{open_class.code}/readings/", {"readings": sent}, content_type="application/json"
        )


def test_the_key_is_the_newest_with_what_was_dropped(open_class, ines, joined):
    mended = task_dropped(key=queries.current_key(open_class), task="2")
    adopt(key=mended, by=ines, now=cast.LATER, reason="The sign fell.")

    key = who_sends(open_class.code, tokens(joined)).key

    newest = queries.current_key(open_class)
    assert (key, key.version, key.dropped) == (newest, 2, ["2"])
    assert key.as_domain() is newest.as_domain()


def test_before_a_class_opens_there_is_no_key(ines):
    draft = cast.class_of(ines, is_open=False)
    joined = cast.join(draft, "Mia")

    assert who_sends(draft.code, tokens(joined)).key is None


def test_nobody_is_found_by_what_is_not_theirs(open_class, joined, ines):
    mine, other = tokens(joined[:1]), cast.class_of(ines, course=open_class.course)

    assert who_sends(open_class.code, []) is None
    assert who_sends(other.code, mine) is None
    assert who_sends("NONONO", mine) is None
    assert who_sends(open_class.code, [f"{joined[0][0].pk}:wrong"]) is None
    assert who_sends(open_class.code, [f"{joined[1][0].pk}:{joined[0][1]}"]) is None
    assert who_sends(open_class.code, ["", ":", "x:y", "9" * 30 + ":y", "²:y"]) is None


def test_who_was_taken_out_sends_nothing(open_class, joined):
    (tom, _), _ = joined
    tom.taken_out_at = cast.LATER
    tom.save()

    assert [person.name for person in who_sends(open_class.code, tokens(joined)).people] == ["Mia"]


def test_a_class_in_the_bin_takes_nothing(open_class, joined):
    cast.close(open_class, removed_at=cast.LATER)

    assert who_sends(open_class.code, tokens(joined)) is None


def test_a_second_name_is_left_to_who_knows_second_names(open_class, joined, ines):
    (tom, _), (mia, _) = joined
    keep_roster.merge(second=tom, first=mia, by=Account(ines), now=cast.LATER)

    assert who_sends(open_class.code, tokens(joined[:1])) is None
    assert [person.name for person in phone_in_class(open_class.code, tokens(joined[:1]))[1]] == [
        "Mia"
    ]


def test_what_was_not_fetched_is_fetched_when_it_is_asked_for(open_class, joined):
    sender = who_sends(open_class.code, tokens(joined))

    assert sender.course_class.name == open_class.name
    assert sender.people[0].joined_at == joined[1][0].joined_at
    assert sender.key.reason == Key.objects.get().reason
