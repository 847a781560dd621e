"""What somebody wishes their instructor to know of their practice at home."""

import json
import re

import pytest
from django.db import IntegrityError, transaction

from exercises.domain.planning import home_lessons
from exercises.models import Person
from exercises.usecases import keep_roster
from exercises.usecases.trail import Account
from tests import cast

ALL = list(home_lessons.LESSONS)


def tell(client, course_class, person, lessons):
    return client.post(
        f"/c/{course_class.code}/at-home/",
        json.dumps({"person": person.pk, "lessons": lessons}),
        content_type="application/json",
    )


@pytest.fixture
def shared(client, open_class):
    """A class in which the test client's phone speaks for Mia and Tom."""
    joined = cast.join(open_class, "Mia", "Tom")
    cast.speaks_for(client, open_class, joined)
    return [person for person, _ in joined]


def kept(person):
    person.refresh_from_db()
    return person.lessons_at_home(), person.home_told_at


def test_what_one_person_tells_is_not_told_of_another_of_the_same_phone(client, open_class, shared):
    mia, tom = shared

    answer = tell(client, open_class, mia, ["read", "hold"])

    assert answer.json() == {"person": mia.pk, "home": ["hold", "read"]}
    assert kept(mia)[0] == ("hold", "read")
    assert kept(tom) == ((), None)


def test_telling_twice_keeps_the_time_of_the_first(client, open_class, shared):
    tell(client, open_class, shared[0], ["hold"])
    first = kept(shared[0])

    tell(client, open_class, shared[0], ["hold", "hold"])

    assert kept(shared[0]) == first
    assert first[1] is not None


def test_it_can_be_taken_back(client, open_class, shared):
    tell(client, open_class, shared[0], ALL)

    answer = tell(client, open_class, shared[0], [])

    assert answer.json()["home"] == []
    assert kept(shared[0]) == ((), None)


def test_the_phone_hears_what_its_people_have_told(client, open_class, shared):
    address = f"/c/{open_class.code}/state/"
    before = client.get(address).json()

    tell(client, open_class, shared[1], ["end"])

    news = client.get(address, {"have": before["stamp"]})
    assert [person["home"] for person in before["people"]] == [[], []]
    assert [person["home"] for person in news.json()["people"]] == [[], ["end"]]


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"{}",
        b'{"person": [], "lessons": []}',
        b'{"person": 1}',
        b'{"person": 1, "lessons": 3}',
        b"\xff",
        b"[" * 100_000,
    ],
)
def test_what_is_no_list_of_lessons_is_refused_and_changes_nothing(
    client, open_class, shared, body
):
    tell(client, open_class, shared[0], ["hold"])

    answer = client.post(f"/c/{open_class.code}/at-home/", body, content_type="application/json")

    assert (answer.status_code, answer.json()["message"]) == (
        400,
        "This is no list of lessons. Reload the page.",
    )
    assert kept(shared[0])[0] == ("hold",)


@pytest.mark.parametrize("lessons", [["hold", "fly"], "hold", [3], [["hold"]], [None]])
def test_a_lesson_that_there_is_none_of_is_refused_whole(client, open_class, shared, lessons):
    answer = tell(client, open_class, shared[0], lessons)

    assert (answer.status_code, answer.json()["message"]) == (
        400,
        "There is no such lesson. Reload the page.",
    )
    assert kept(shared[0]) == ((), None)


def test_a_phone_tells_nothing_of_somebody_for_whom_it_does_not_speak(client, open_class, shared):
    ((ute, _),) = cast.join(open_class, "Ute")

    answer = tell(client, open_class, ute, ["hold"])

    assert answer.status_code == 403
    assert kept(ute) == ((), None)


def test_the_database_keeps_lessons_and_their_time_together(shared):
    with pytest.raises(IntegrityError), transaction.atomic():
        Person.objects.filter(pk=shared[0].pk).update(home_lessons="hold")
    with pytest.raises(IntegrityError), transaction.atomic():
        Person.objects.filter(pk=shared[0].pk).update(home_told_at=cast.NOW)


def test_joining_asks_nothing_of_home(client, open_class):
    form = client.get(f"/c/{open_class.code}/join/").content.decode()

    assert list(dict.fromkeys(re.findall(r'<(?:input|select)[^>]* name="(\w+)"', form))) == [
        "csrfmiddlewaretoken",
        "token",
        "names",
        "compass",
        "graduation",
        "is_set",
    ]


# --- the desk


@pytest.fixture
def reversed_twice(desk, open_class):
    """Two who read their first task the wrong way round; the one told of home."""
    right = cast.answer_of(open_class, "1").expected_deg
    people = [person for person, _ in cast.join(open_class, "Mia", "Tom", "Ute", "Jan")]
    for person in people[:2]:
        cast.send(open_class, person, ("1", f"{round(right + 180) % 360:03d}"))
    for person in people[2:]:
        cast.send(open_class, person, ("1", f"{round(right) % 360:03d}"))
    Person.objects.filter(pk=people[0].pk).update(home_lessons="hold end", home_told_at=cast.NOW)
    return people


def words(page):
    return " ".join(re.sub(r"<[^>]+>", " ", page.content.decode()).split())


def test_the_desk_says_beside_a_name_how_many_lessons_were_done_at_home(
    desk, open_class, reversed_twice
):
    page = words(desk.get(f"/classes/{open_class.pk}/arrivals/"))

    assert "Mia 2 lessons at home has not read the cautions 1 of 3" in page
    assert "Tom has not read the cautions 1 of 3" in page


def test_the_instructors_own_page_says_which_lesson_fits_and_whether_it_is_done(
    desk, open_class, reversed_twice
):
    page = words(desk.get(f"/classes/{open_class.pk}/debrief/alone/"))

    told = page[page.index("Tell these people Name") : page.index("The same unusual answer")]
    mia, tom = told[: told.index("Tom Reversed")], told[told.index("Tom Reversed") :]
    assert "At home: “Which end?” is done already. Do it once more together." in mia
    assert "At home: the lesson “Which end?”." in tom
    assert "Mia At home: Hold it, and face; Which end?" in page


def test_the_screens_for_the_class_say_nothing_of_home(desk, open_class, reversed_twice):
    page = words(desk.get(f"/classes/{open_class.pk}/debrief/"))

    assert "readings" in page
    assert "home" not in page
    assert "Which end" not in page


def test_what_was_told_goes_with_the_person(desk, open_class, reversed_twice):
    keep_roster.purge(person=reversed_twice[0], by=Account(open_class.owner), now=cast.NOW)

    assert list(open_class.people.exclude(home_lessons="")) == []
    assert "at home" not in words(desk.get(f"/classes/{open_class.pk}/arrivals/"))
