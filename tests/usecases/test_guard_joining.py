"""Who may join a class, and how many by one phone and from one address."""

import uuid
from datetime import timedelta

import pytest

from exercises.models import CourseClass, Person, TrailEntry
from exercises.usecases import guard_joining, keep_roster
from exercises.usecases.guard_joining import JOINING, CannotJoin, set_joining, whence
from exercises.usecases.join_class import join_class
from exercises.usecases.trail import Account
from tests import cast

HERE, ELSEWHERE = "192.0.2.1", "198.51.100.9"  # for documentation, RFC 5737


def join(course_class, *names, phone=None, address=HERE, now=cast.NOW, token=None):
    course_class.refresh_from_db()
    joined = join_class(
        course_class=course_class,
        names=names,
        compass_number="7",
        graduation_deg=2,
        declination_is_set=False,
        now=now,
        token=token,
        whence=whence(
            course_class=course_class, phone=phone or f"phone of {names[0]}", address=address
        ),
    )
    return [person for person, _ in joined]


def put_on_list(course_class, *names):
    rows = [keep_roster.Row(line, name) for line, name in enumerate(names, start=1)]
    keep_roster.take_roster(course_class=course_class, rows=rows)


def let(course_class, joining, by):
    set_joining(course_class=course_class, joining=joining, by=Account(by), now=cast.NOW)


def after(**more):
    return cast.NOW + timedelta(**more)


def test_sixty_people_join_from_one_address_within_ten_minutes(open_class):
    for number in range(60):
        join(open_class, f"P{number}", now=after(seconds=10 * number))

    assert open_class.people.count() == 60


def test_who_comes_after_them_waits_longer_and_longer_and_is_told(open_class):
    for number in range(JOINING.bears + 1):
        join(open_class, f"P{number}")

    with pytest.raises(CannotJoin, match="from here within a few minutes"):
        join(open_class, "Late")
    join(open_class, "Late", now=after(seconds=10))
    with pytest.raises(CannotJoin, match="Wait 20 seconds"):
        join(open_class, "Later", now=after(seconds=10))
    join(open_class, "From elsewhere", address=ELSEWHERE)


def test_another_class_on_the_same_address_is_let_in(ines, open_class):
    for number in range(JOINING.bears + 1):
        join(open_class, f"P{number}")

    join(cast.class_of(ines, course=open_class.course), "Mia")


def test_ten_minutes_after_the_last_a_whole_class_may_come_again(open_class):
    for number in range(JOINING.bears + 1):
        join(open_class, f"P{number}")
    for number in range(JOINING.bears):
        join(open_class, f"Q{number}", now=after(minutes=10))

    assert open_class.people.count() == 2 * JOINING.bears + 1


def test_a_joining_page_sent_again_counts_once(open_class):
    token = uuid.uuid4()
    for _ in range(JOINING.bears + 5):
        join(open_class, "Mia", token=token)

    join(open_class, "Tom")


def test_a_phone_adds_six_names_at_most(open_class):
    join(open_class, *"abcd", phone="one")
    with pytest.raises(CannotJoin, match="A phone can add 6 people"):
        join(open_class, *"efg", phone="one")
    join(open_class, *"ef", phone="one")
    with pytest.raises(CannotJoin, match="Ask your instructor to put the others on the list"):
        join(open_class, "g", phone="one")

    assert [person.name for person in open_class.people.all()] == [*"abcdef"]


def test_names_on_the_list_join_on_one_phone_beyond_that(open_class):
    put_on_list(open_class, *"abcdefgh")

    join(open_class, *"abcdefgh", "i", phone="one")


def test_who_was_taken_out_counts_for_the_phone_that_added_them(ines, open_class):
    for person in join(open_class, *"abcdef", phone="one"):
        keep_roster.take_out(person=person, by=Account(ines), now=cast.NOW)

    with pytest.raises(CannotJoin):
        join(open_class, "g", phone="one")


def test_a_class_is_full_at_some_number(open_class, monkeypatch):
    monkeypatch.setattr(guard_joining, "MOST_PEOPLE", 2)
    join(open_class, "a", "b")

    with pytest.raises(CannotJoin, match="A class holds 2 people"):
        join(open_class, "c")


def test_nobody_else_joins_a_class_that_is_shut_not_even_from_the_list(ines, open_class):
    put_on_list(open_class, "Ana")
    let(open_class, "shut", ines)

    for name in ("Ana", "Tom"):
        with pytest.raises(CannotJoin, match="Nobody else may join"):
            join(open_class, name)
    assert Person.objects.get().joined_at is None


def test_who_joined_before_it_was_shut_and_lost_the_answer_is_in(ines, open_class):
    token = uuid.uuid4()
    (mia,) = join(open_class, "Mia", token=token)
    let(open_class, "shut", ines)

    assert join(open_class, "Mia", token=token) == [mia]


def test_names_on_the_list_alone_join_where_the_instructor_says_so(ines, open_class):
    put_on_list(open_class, "Ana")
    let(open_class, "listed", ines)

    with pytest.raises(CannotJoin, match="Tom is not on your instructor's list"):
        join(open_class, "Ana", "Tom")
    join(open_class, "ANA")
    with pytest.raises(CannotJoin, match="Ana is not on"):
        join(open_class, "Ana", phone="another")


def test_names_typed_by_an_instructor_pass_all_of_it(ines, open_class):
    let(open_class, "shut", ines)

    assert cast.join(open_class, *"abcdefgh")


def test_who_set_it_is_noted_once(ines, open_class):
    let(open_class, "listed", ines)
    let(open_class, "listed", ines)

    assert CourseClass.objects.get().joining == "listed"
    assert [
        (entry.by_name, entry.before, entry.after)
        for entry in TrailEntry.objects.filter(verb="joining")
    ] == [("ines", {"joining": "open"}, {"joining": "listed"})]


def test_a_phone_and_an_address_are_other_numbers_in_another_class(ines, open_class):
    elsewhere = cast.class_of(ines, course=open_class.course)
    (here,), (there,) = (
        join(one, "Mia", phone="one", address=HERE) for one in (open_class, elsewhere)
    )

    assert len({here.joined_on, here.joined_from, there.joined_on, there.joined_from}) == 4
    assert HERE not in (here.joined_on, here.joined_from)
