"""Counting heads at the desk and on helpers' phones."""

import datetime
import uuid

import pytest
from django.utils import timezone

from exercises.models import Headcount, HeadcountMark
from exercises.usecases import count_heads
from exercises.usecases.trail import Account, Named
from tests import cast


@pytest.fixture
def count(ines, open_class):
    cast.join(open_class, "Mia", "Tom")
    return count_heads.begin(
        course_class=open_class, occasion="after", by=Account(ines), now=cast.NOW
    )


def tick(person, here=True, marked_at="2026-10-03T09:31:00Z", **more):
    return {
        "id": str(uuid.uuid4()),
        "person": person.pk,
        "here": here,
        "marked_at": marked_at,
        **more,
    }


def post(desk, count, *marks, **more):
    return desk.post(
        f"/classes/{count.course_class_id}/headcount/{count.pk}/marks/",
        {"marks": list(marks), **more},
        content_type="application/json",
    )


def person(count, name):
    return count.course_class.people.get(name=name)


def test_the_number_missing_stands_on_top(desk, count):
    told = post(desk, count, tick(person(count, "Mia"))).json()

    assert (told["missing"], told["of"], told["words"]) == (1, 2, "1 missing")
    assert [(one["name"], one["here"]) for one in told["people"]] == [("Mia", True), ("Tom", False)]


def test_a_tick_sent_twice_is_stored_once(desk, count):
    mark = tick(person(count, "Mia"))
    for _ in range(2):
        assert post(desk, count, mark).json()["kept"] == [mark["id"]]

    assert HeadcountMark.objects.count() == 1


def test_the_last_word_by_the_clock_of_who_ticked_holds_though_it_comes_first(desk, count):
    mia, now = person(count, "Mia"), timezone.now()
    clock = now.isoformat()
    late, early = ((now - datetime.timedelta(minutes=minutes)).isoformat() for minutes in (1, 2))
    post(desk, count, tick(mia, True, late), clock=clock)
    told = post(desk, count, tick(mia, False, early), clock=clock).json()

    assert told["people"][0]["here"] is True


def test_a_clock_that_is_wrong_is_put_right(desk, count):
    mia, now = person(count, "Mia"), timezone.now()
    fast = now + datetime.timedelta(hours=1)
    # an hour fast: ticked five minutes before it was sent
    ticked = (fast - datetime.timedelta(minutes=5)).isoformat()
    post(desk, count, tick(mia, False, ticked), clock=fast.isoformat())
    told = post(
        desk,
        count,
        tick(mia, True, (now - datetime.timedelta(minutes=1)).isoformat()),
        clock=now.isoformat(),
    ).json()

    assert told["people"][0]["here"] is True


def test_two_counters_see_each_others_word_where_they_differ(desk, ines, count):
    mia = person(count, "Mia")
    for by, here, minute in ((Account(ines), True, 1), (Named("Pim"), False, 2)):
        at = cast.NOW + datetime.timedelta(minutes=minute)
        count_heads.take_marks(
            headcount=count,
            sent=[tick(mia, here, at.isoformat())],
            clock=at.isoformat(),
            by=by,
            now=at,
        )

    said = desk.get(f"/classes/{count.course_class_id}/headcount/{count.pk}/state/").json()[
        "people"
    ][0]["said"]
    assert said == "Pim, 22:32: not here · ines, 22:31: here"  # the class is in Auckland


@pytest.mark.parametrize(
    "body",
    [
        "{}",
        "x",
        "[]",
        '{"marks": 1}',
        '{"marks": ' + "[" * 5000,
        '{"marks": [' + "0," * 600 + "0]}",
    ],
)
def test_what_is_no_list_of_marks_is_refused_in_words(desk, count, body):
    answer = desk.post(
        f"/classes/{count.course_class_id}/headcount/{count.pk}/marks/",
        body,
        content_type="application/json",
    )

    assert (answer.status_code, answer.json()["message"]) == (
        400,
        "This is not a list of marks. Reload the page.",
    )


@pytest.mark.parametrize(
    "mark", [1, None, {}, {"person": "x"}, {"person": 10**30, "id": "x"}, {"person": True}]
)
def test_a_mark_that_names_nobody_is_not_kept(desk, count, mark):
    assert post(desk, count, mark).json()["kept"] == []
    assert HeadcountMark.objects.count() == 0


def test_somebody_of_another_class_is_not_ticked(desk, count, karl):
    other = cast.class_of(karl, course=cast.course_of(cast.site_of(karl, "Elsewhere")))
    ((stranger, _),) = cast.join(other, "Zed")

    assert post(desk, count, tick(stranger)).json()["kept"] == []


def test_who_went_home_is_not_missing(desk, count):
    tom = person(count, "Tom")
    desk.post(f"/classes/{count.course_class_id}/roster/{tom.pk}/left/")

    assert post(desk, count, tick(person(count, "Mia"))).json()["words"] == "Everybody is here"


def test_a_missing_person_is_told_with_when_and_where_they_were_last_heard_of(desk, count):
    cast.send(count.course_class, person(count, "Tom"), ("1", "044"))

    told = post(desk, count).json()["people"]

    assert [one["last"] for one in told] == ["nothing heard yet", "last heard of 22:30 at A"]


def test_without_a_script_a_name_is_ticked_by_its_button(desk, count):
    mia = person(count, "Mia")
    answer = desk.post(
        f"/classes/{count.course_class_id}/headcount/{count.pk}/marks/",
        {"id": str(uuid.uuid4()), "person": mia.pk, "here": "yes"},
        follow=True,
    )

    assert "1 missing" in answer.content.decode()


def test_two_who_begin_a_count_at_once_count_together(ines, open_class):
    begun = [
        count_heads.begin(
            course_class=open_class,
            occasion="change",
            by=Account(ines),
            now=cast.NOW + datetime.timedelta(minutes=minutes),
        ).pk
        for minutes in (0, 4, 6)
    ]

    assert begun[0] == begun[1] != begun[2]


def test_closing_asks_for_the_count(desk, count):
    address = f"/classes/{count.course_class_id}/closing/"
    before = desk.get(address).content.decode()
    post(desk, count, *(tick(person(count, name)) for name in ("Mia", "Tom")))
    after = desk.get(address).content.decode()

    assert "Go on counting" in before
    assert "Go on counting" not in after
    assert "Everybody is here" in after


def test_closing_says_that_nobody_was_counted(desk, open_class):
    assert (
        "Nobody has been counted yet."
        in desk.get(f"/classes/{open_class.pk}/closing/").content.decode()
    )


def test_a_count_of_thirty_costs_as_many_queries_as_one_of_one(
    desk, ines, open_class, django_assert_num_queries
):
    begun = count_heads.begin(
        course_class=open_class, occasion="before", by=Account(ines), now=cast.NOW
    )
    for names in (["A"], [f"P{place}" for place in range(30)]):
        for someone, _ in cast.join(open_class, *names):
            cast.send(open_class, someone, ("1", "044"))
        post(desk, begun, *(tick(someone) for someone in open_class.people.all()))
        with django_assert_num_queries(8):
            desk.get(f"/classes/{open_class.pk}/headcount/{begun.pk}/state/")
    assert Headcount.objects.count() == 1


@pytest.mark.parametrize("strange", [[], {}, [[]], True, "1", None, 1.0])
def test_a_mark_of_what_is_no_person_is_not_kept(desk, count, strange):
    """27 November 2026: a list in place of a person ended the request."""
    mark = {"id": str(uuid.uuid4()), "person": strange, "here": True}

    assert post(desk, count, mark).json()["kept"] == []
