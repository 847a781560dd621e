"""A class at the desk: made, opened, its key, its results and its debrief."""

import csv
import io
import re

import openpyxl
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from exercises.models import Course, CourseClass, Person
from exercises.usecases.load_demo import BENT_COMPASS, BENT_STATION
from exercises.usecases.take_readings import take_readings
from tests import cast, demonstration


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


def test_a_class_is_made_opened_and_shows_its_code(desk, ines, site):
    course = cast.course_of(site)
    made = desk.post(
        f"/courses/{course.pk}/classes/new/",
        {
            "name": "Saturday",
            "date": "2026-10-03",
            "time_zone": "Pacific/Auckland",
            "unit": "deg",
            "feedback": "at_once",
            "key_source": "computed",
        },
    )
    desk.post(made.url + "open/")

    course_class = CourseClass.objects.get()
    assert course_class.state == "open"
    assert course_class.code in desk.get(made.url).content.decode()


@pytest.mark.parametrize(
    "changes",
    [
        {"date": "2026-13-01"},
        {"time_zone": "Mars/Base"},
        {"time_zone": "../../etc/passwd"},
        {"feedback": "never", "key_source": "computed"},
        {"name": ""},
        {"unit": "gon"},
    ],
)
def test_a_class_that_cannot_be_is_refused(desk, site, changes):
    course = cast.course_of(site)
    answer = desk.post(
        f"/courses/{course.pk}/classes/new/",
        {
            "name": "S",
            "date": "2026-10-03",
            "time_zone": "UTC",
            "unit": "deg",
            "feedback": "at_once",
            "key_source": "computed",
            **changes,
        },
    )

    assert (answer.status_code, CourseClass.objects.count()) == (200, 0)


def test_opening_without_tasks_says_what_to_do(desk, ines, site):
    course = Course.objects.create(site=site, name="Empty")
    made = cast.class_of(ines, is_open=False, course=course)

    answer = desk.post(f"/classes/{made.pk}/open/", follow=True)

    assert b"The course has no tasks. Add at least one, then open the class." in answer.content


def test_before_a_class_opens_the_page_says_what_is_frozen_and_changes_nothing(desk, ines):
    made = cast.class_of(ines, is_open=False)

    page = " ".join(desk.get(f"/classes/{made.pk}/opening/").content.decode().split())

    assert "The answers of 3 tasks are frozen as the key, reckoned for 3 October 2026." in page
    # 25.6° east by WMM2025 for the test ground, as the other tests of it have it
    assert re.search(r"The declination there on that day: 25\.\d° east\.", page)
    assert "The key can still be corrected at the debrief" in page
    assert f'action="/classes/{made.pk}/open/"' in page
    made.refresh_from_db()
    assert (made.state, made.keys.count()) == ("draft", 0)


def test_a_class_that_cannot_open_says_why_before_it_is_tried(desk, ines, site):
    course = Course.objects.create(site=site, name="Empty")
    made = cast.class_of(ines, is_open=False, course=course)

    page = desk.get(f"/classes/{made.pk}/opening/").content.decode()

    assert "The course has no tasks. Add at least one, then open the class." in page
    assert f'action="/classes/{made.pk}/open/"' not in page


def test_a_class_that_is_open_is_not_asked_about_again(desk, open_class):
    answer = desk.get(f"/classes/{open_class.pk}/opening/")

    assert (answer.status_code, answer["Location"]) == (302, f"/classes/{open_class.pk}/")


def test_the_key_shows_every_answer_in_three_norths(desk, open_class):
    page = desk.get(f"/classes/{open_class.pk}/key/").content.decode()

    for answer in open_class.keys.get().as_domain():
        shown = answer.norths.printed_bearings(answer.expected_deg, answer.north)
        for north, bearing in shown.items():
            assert f"{bearing:05.1f}° {north}" in page


def send(course_class, person, *pairs):
    take_readings(
        course_class=course_class,
        people=[person],
        answers=course_class.keys.get().as_domain(),
        now=cast.NOW,
        sent=[cast.reading(person, task=task, text=text) for task, text in pairs],
    )


def test_the_debrief_fills_with_causes_and_numbers_in_text(desk, open_class, mia):
    answer = open_class.keys.get().as_domain()[0]
    assert b"No readings yet" in desk.get(f"/classes/{open_class.pk}/debrief/").content
    send(open_class, mia, ("1", f"{round(answer.expected_deg + 180) % 360:03d}"), ("3", "126"))

    page = desk.get(f"/classes/{open_class.pk}/debrief/alone/").content.decode()

    assert "1 person sent 2 readings" in page
    assert re.search(r"<h3>1. Reversed\s+<span class=\"dim\">\s+to tell these people", page)
    assert "This is a small class" in page
    assert "The 1 sound ones" not in page
    assert "1 reading: 0 full credit, 0 part, 1 none." in page


def test_results_come_as_csv_with_dangerous_cells_disarmed(desk, open_class, mia):
    Person.objects.filter(pk=mia.pk).update(name="=1+1")
    send(open_class, mia, ("1", "044"))

    (row,) = csv.DictReader(
        io.StringIO(desk.get(f"/classes/{open_class.pk}/results.csv").content.decode("utf-8-sig"))
    )

    assert (row["person"], row["answer_as_given"], row["north"], row["compass"]) == (
        "'=1+1",
        "044",
        "magnetic",
        "7",
    )


def test_results_come_as_a_workbook_that_another_program_reads(desk, open_class, mia):
    # Read with openpyxl, independent of the writer.
    Person.objects.filter(pk=mia.pk).update(name="=1+1")
    send(open_class, mia, ("1", "044"))

    sheet = openpyxl.load_workbook(
        io.BytesIO(desk.get(f"/classes/{open_class.pk}/results.xlsx").content)
    ).active

    assert [cell.value for cell in sheet[1]][:3] == ["person", "task", "attempt"]
    assert (sheet["A2"].value, sheet["A2"].data_type) == ("=1+1", "s")


def test_a_person_gets_a_wider_band_and_nonsense_changes_nothing(desk, open_class, mia):
    desk.post(f"/classes/{open_class.pk}/people/{mia.pk}/band/", {"wider_band_deg": "20"})
    answer = desk.post(
        f"/classes/{open_class.pk}/people/{mia.pk}/band/", {"wider_band_deg": "500"}, follow=True
    )

    assert Person.objects.get().wider_band_deg == 20
    assert b"give degrees from 1 to 90" in answer.content


def test_a_name_is_escaped_wherever_it_stands(desk, open_class):
    ((person, _),) = cast.join(open_class, "<script>x")
    send(open_class, person, ("1", "044"))

    for page in ("", "debrief/", "debrief/alone/", "arrivals/"):
        assert b"<script>x" not in desk.get(f"/classes/{open_class.pk}/{page}").content


@pytest.mark.parametrize(
    "page", ["", "arrivals/", "debrief/", "debrief/alone/", "people/", "results.csv", "key/"]
)
def test_pages_of_a_class_cost_the_same_queries_for_one_person_and_for_thirty(
    desk, open_class, django_assert_num_queries, page
):
    def cost():
        with CaptureQueriesContext(
            connection,
        ) as queries:
            desk.get(f"/classes/{open_class.pk}/{page}")
        return len(queries)

    send(open_class, cast.join(open_class, "first")[0][0], ("1", "044"))
    desk.get(f"/classes/{open_class.pk}/{page}")  # what is found is kept now
    alone = cost()
    for person, _ in cast.join(open_class, *(f"P{number}" for number in range(29))):
        send(open_class, person, ("1", "044"), ("3", "125"))
    desk.get(f"/classes/{open_class.pk}/{page}")

    assert cost() == alone


def test_the_debrief_names_the_station_that_is_at_fault(client, db):
    client.force_login(demonstration.load().owner)
    held = CourseClass.objects.get(name="Spring introduction")

    page = client.get(f"/classes/{held.pk}/debrief/alone/").content.decode()

    assert re.findall("<h3>(Station .)", page) == [f"Station {BENT_STATION}"]
    assert re.findall("<strong>(Withdraw .)</strong>", page) == [f"Withdraw {BENT_COMPASS}"]


def test_the_time_in_the_part_that_refreshes_is_the_class_own(desk, open_class, mia):
    take_readings(
        course_class=open_class,
        people=[mia],
        sent=[cast.reading(mia)],
        answers=open_class.keys.get().as_domain(),
        now=cast.NOW,
    )

    assert ">22:30:00</td>" in desk.get(f"/classes/{open_class.pk}/arrivals/").content.decode()
