"""Today, copies, things put away, settings, and the bin."""

import datetime
import io
import re

import pytest
from django.core.management import call_command
from django.utils import timezone

from exercises.domain.running.agenda import Held, Step, first_of, step_of
from exercises.models import Course, CourseClass, Point, Reading, Site, Survey
from exercises.usecases import arrange, organise
from tests import cast

DAY = cast.DAY
NEXT_WEEK = DAY + datetime.timedelta(days=7)


def said(answer):
    return " ".join(answer.content.decode().split())


# --- today


@pytest.mark.parametrize(
    ("held", "today", "step"),
    [
        pytest.param(Held(NEXT_WEEK, True, False), DAY, Step.PREPARE, id="its day is not yet"),
        pytest.param(Held(DAY, True, False), DAY, Step.OPEN, id="its day"),
        pytest.param(Held(DAY, True, False), NEXT_WEEK, Step.OPEN, id="its day went by"),
        pytest.param(Held(DAY, False, True), DAY, Step.WATCH, id="open today"),
        pytest.param(Held(DAY, False, True), NEXT_WEEK, Step.CLOSE, id="open since last week"),
        pytest.param(Held(DAY, False, False, True), DAY, Step.RELEASE, id="not released"),
        pytest.param(Held(DAY, False, False), DAY, Step.DEBRIEF, id="over"),
    ],
)
def test_a_class_has_one_next_step(held, today, step):
    assert step_of(held, today) == step


@pytest.mark.parametrize(
    ("classes", "first"),
    [
        pytest.param(
            {"draft": Held(DAY, True, False), "open": Held(NEXT_WEEK, False, True)}, "open"
        ),
        pytest.param(
            {"later": Held(NEXT_WEEK, True, False), "today": Held(DAY, True, False)}, "today"
        ),
        pytest.param(
            {"held": Held(DAY, False, False), "next": Held(NEXT_WEEK, True, False)}, "next"
        ),
        pytest.param(
            {
                "long ago": Held(DAY - datetime.timedelta(days=90), False, False),
                "lately": Held(DAY - datetime.timedelta(days=2), False, False),
            },
            "lately",
        ),
        pytest.param({}, None),
    ],
)
def test_the_class_that_stands_on_top(classes, first):
    assert first_of(list(classes.items()), DAY) == first


def test_the_day_shows_the_open_class_with_its_next_step_on_top(desk, open_class):
    page = said(desk.get("/sites/"))

    top = page[page.index("front-class") : page.index("<h2>Classes</h2>")]
    assert "Saturday" in top
    assert f'href="/classes/{open_class.pk}/closing/"' in top  # its day is over


def test_classes_held_are_folded_by_year(desk, open_class):
    cast.close(open_class)

    assert "2026: 1 class held" in said(desk.get("/sites/"))


@pytest.mark.parametrize(("word", "number"), [("satur", 1), ("test gr", 1), ("zzz", 0)])
def test_a_class_is_found_by_a_word_of_its_name_or_site(desk, open_class, word, number):
    page = said(desk.get("/sites/", {"find": word}))

    assert page.count(f'<a href="/classes/{open_class.pk}/">') == number
    assert ("No class with" in page) == (number == 0)


def test_who_is_new_is_led_to_the_first_class_and_finds_each_step_again(desk, ines):
    begun = said(desk.get("/sites/"))
    cast.site_of(ines)
    later = said(desk.get("/sites/"))

    steps = [page.count('class="is-done"') for page in (begun, later)]
    assert ("Your first quarter of an hour" in begun, steps) == (True, [0, 2])


def test_many_classes_cost_as_many_queries_as_one(desk, ines, django_assert_num_queries):
    course = cast.course_of(cast.site_of(ines))
    for times in (1, 12):
        for _ in range(times):
            cast.class_of(ines, course=course)
        with django_assert_num_queries(5):
            desk.get("/sites/")


# --- copies


def test_a_course_is_copied_with_its_tasks(desk, open_class):
    desk.post(f"/courses/{open_class.course_id}/copy/")
    desk.post(f"/courses/{open_class.course_id}/copy/")

    assert list(Course.objects.values_list("name", flat=True)) == [
        "Short round",
        "Short round 2",
        "Short round 3",
    ]
    first, copy = (course.as_domain() for course in Course.objects.all()[:2])
    assert first == copy


def test_a_site_is_copied_with_all_that_is_on_it_and_new_cards(ines, open_class):
    site = open_class.course.site
    site.hazards.create(kind="road", name="lane", corners=[[-45.1, 170.1], [-45.2, 170.2]])

    copy = arrange.copy_site(site=site, owner=ines, now=cast.NOW)

    one, other = site.as_domain(), copy.as_domain()
    assert (one.points, one.visible) == (other.points, other.visible)
    assert copy.courses.get().as_domain() == open_class.course.as_domain()
    assert copy.hazards.count() == 1
    assert Point.objects.values("card_code").distinct().count() == Point.objects.count()
    assert Survey.objects.filter(point__site=copy).count() == (
        Survey.objects.filter(point__site=site).count()
    )


def test_a_class_is_held_once_more_on_another_day(desk, open_class):
    cast.join(open_class, "Mia")
    desk.post(f"/classes/{open_class.pk}/again/", {"name": "Sunday", "on": "2026-10-04"})

    again = CourseClass.objects.get(name="Sunday")
    assert (again.state, again.course, again.people.count()) == ("draft", open_class.course, 0)
    assert (again.time_zone, again.code != open_class.code) == ("Pacific/Auckland", True)


# --- settings


def test_before_it_opens_all_settings_can_be_changed(desk, ines):
    made = cast.class_of(ines, is_open=False)
    desk.post(
        f"/classes/{made.pk}/settings/",
        {
            "name": "Sunday",
            "date": "2026-10-04",
            "time_zone": "UTC",
            "key_source": "computed",
            "feedback": "released",
        },
    )

    made.refresh_from_db()
    assert (made.name, str(made.date), made.time_zone, made.feedback, made.asks) == (
        "Sunday",
        "2026-10-04",
        "UTC",
        "released",
        False,
    )


def test_once_open_what_the_key_rests_on_stays(desk, open_class):
    before = (open_class.date, open_class.time_zone, open_class.key_source)
    desk.post(
        f"/classes/{open_class.pk}/settings/",
        {"name": "Sunday", "date": "2027-01-01", "time_zone": "UTC", "feedback": "released"},
    )

    open_class.refresh_from_db()
    assert (open_class.date, open_class.time_zone, open_class.key_source) == before
    assert open_class.name == "Sunday"


def test_a_new_code_shuts_the_old_one_and_both_stand_in_the_trail(desk, client, open_class):
    old = open_class.code
    desk.post(
        f"/classes/{open_class.pk}/settings/",
        {
            "name": "Saturday",
            "feedback": "at_once",
            "asks": "on",
            "pass_share": "80",
            "has_new_code": "on",
        },
    )

    open_class.refresh_from_db()
    assert client.get(f"/c/{old}/join/").status_code == 404
    assert client.get(f"/c/{open_class.code}/join/").status_code == 200
    page = said(desk.get(f"/classes/{open_class.pk}/trail/"))
    assert f"changed settings: code: {old} → {open_class.code}" in page


# --- put away, removed


def test_a_site_put_away_stands_apart_and_is_there_as_before(desk, ines):
    site = cast.site_of(ines)
    desk.post(f"/sites/{site.pk}/archive/")
    page = said(desk.get("/sites/"))

    assert page.index("Sites put away") < page.index("Test ground")
    assert desk.get(f"/sites/{site.pk}/").status_code == 200
    desk.post(f"/sites/{site.pk}/unarchive/")
    assert "Sites put away" not in said(desk.get("/sites/"))


def closed_with_a_reading(open_class, mia):
    cast.send(open_class, mia, ("1", "044"))
    CourseClass.objects.update(state="closed", closed_at=cast.LATER)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("site", ["5 points", "1 course", "1 class", "1 person", "1 reading"]),
        ("course", ["1 class", "1 person", "1 reading"]),
        ("class", ["1 person", "1 reading"]),
    ],
)
def test_what_goes_with_it_is_said_before_it_is_removed(desk, open_class, mia, kind, words):
    closed_with_a_reading(open_class, mia)
    address = of(open_class, kind)
    page = said(desk.get(f"{address}remove/"))

    assert re.findall(r"<li>(.*?)</li>", page) == words
    assert desk.get(address).status_code == 200


def of(course_class, kind):
    return {
        "site": f"/sites/{course_class.course.site_id}/",
        "course": f"/courses/{course_class.course_id}/",
        "class": f"/classes/{course_class.pk}/",
    }[kind]


@pytest.mark.parametrize("kind", ["site", "course", "class"])
def test_what_is_removed_is_gone_for_everybody_and_can_be_put_back(
    desk, client, open_class, mia, kind
):
    closed_with_a_reading(open_class, mia)
    address = of(open_class, kind)
    desk.post(f"{address}remove/")

    removed = [
        desk.get(of(open_class, "class")).status_code,
        client.get(f"/c/{open_class.code}/join/").status_code,
        desk.get(address).status_code,
    ]
    desk.post(f"{address}put-back/")
    assert removed == [404, 404, 404]
    assert desk.get(of(open_class, "class")).status_code == 200


@pytest.mark.parametrize("kind", ["site", "course", "class"])
def test_nothing_goes_while_a_class_is_open(desk, open_class, kind):
    address = of(open_class, kind)

    assert "Close it first, then remove it." in said(desk.post(f"{address}remove/"))
    assert desk.get(address).status_code == 200


def test_what_has_lain_in_the_bin_for_thirty_days_goes_for_good(ines, open_class, mia):
    closed_with_a_reading(open_class, mia)
    arrange.remove(row=open_class.course.site, now=cast.NOW)
    soon = cast.NOW + datetime.timedelta(days=30)
    arrange.empty_bin(owner=ines, now=soon)
    kept = Site.objects.count()
    arrange.empty_bin(owner=ines, now=soon + datetime.timedelta(minutes=1))

    assert (kept, Site.objects.count(), Reading.objects.count()) == (1, 0, 0)


def test_a_bin_that_nobody_looks_into_is_emptied_with_the_names_each_day(open_class, mia):
    """2026-11-27: only who opened the page of the bin emptied it, and only their own."""
    closed_with_a_reading(open_class, mia)
    arrange.remove(row=open_class.course.site, now=timezone.now() - datetime.timedelta(days=31))

    call_command("purge_names", stdout=io.StringIO())

    assert (Site.objects.count(), Reading.objects.count()) == (0, 0)


def test_a_site_is_not_put_back_beside_another_of_its_name(desk, ines):
    site = cast.site_of(ines)
    arrange.remove(row=site, now=cast.NOW)
    cast.site_of(ines)

    answer = desk.post(f"/sites/{site.pk}/put-back/", follow=True)

    assert "There is another “Test ground” by now." in said(answer)
    assert Site.objects.kept().count() == 1


def test_somebody_who_shares_a_site_cannot_remove_it(client, ines, karl):
    site = cast.site_of(ines)
    organisation = organise.found(name="Three schools", by=ines, now=cast.NOW)
    organise.join(organisation=organisation, user=karl, now=cast.NOW)
    Site.objects.update(organisation=organisation)
    client.force_login(karl)

    assert client.get(f"/sites/{site.pk}/").status_code == 200
    assert [
        client.post(f"/sites/{site.pk}/{verb}/").status_code for verb in ("remove", "archive")
    ] == [404, 404]


def test_a_number_too_long_for_an_organisation_is_none(desk, ines):
    """27 November 2026: five thousand figures ended the request."""
    site = cast.site_of(ines)

    assert desk.post(f"/sites/{site.pk}/share/", {"organisation": "1" * 5_000}).status_code == 302
    site.refresh_from_db()
    assert site.organisation is None
