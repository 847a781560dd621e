"""A rule for passing: where it is set, and who reads what of it."""

import csv
import io

from exercises.models import Course, CourseClass, Person
from exercises.usecases import arrange
from exercises.usecases.debrief import debrief
from tests import cast


def said(answer):
    return " ".join(answer.content.decode().split())


def right(course_class, task):
    """The right answer of a task, as a phone sends it."""
    answer = cast.answer_of(course_class, task)
    return answer.target if task == "2" else f"{round(answer.expected_deg) % 360:03d}"


def test_the_rule_of_a_course_is_set_beside_its_name(desk, open_class):
    course = open_class.course
    assert course.pass_share == 80

    desk.post(f"/courses/{course.pk}/name/", {"name": "Short round", "pass_share": "65"})

    assert Course.objects.get().pass_share == 65
    assert "To pass: 65 % of the credit." in said(desk.get(f"/courses/{course.pk}/"))


def test_a_share_out_of_range_is_refused_and_changes_nothing(desk, open_class):
    course = open_class.course

    answer = desk.post(f"/courses/{course.pk}/name/", {"name": "Short round", "pass_share": "30"})

    assert answer.status_code == 200
    assert "pass_share" in answer.context["form"].errors
    assert Course.objects.get().pass_share == 80


def test_a_class_keeps_the_rule_that_its_course_had(ines, open_class):
    Course.objects.update(pass_share=60)

    again = arrange.copy_class(
        course_class=CourseClass.objects.get(), owner=ines, name="Again", on=cast.DAY
    )

    shares = dict(CourseClass.objects.values_list("pk", "pass_share"))
    assert shares == {open_class.pk: 80, again.pk: 60}


def test_sheet_list_and_table_say_the_same(desk, ines, open_class, mia):
    cast.send(open_class, mia, ("1", right(open_class, "1")), ("2", right(open_class, "2")))

    sheet = said(desk.get(f"/classes/{open_class.pk}/people/{mia.pk}/"))
    alone = said(desk.get(f"/classes/{open_class.pk}/debrief/alone/"))
    table = desk.get(f"/classes/{open_class.pk}/results.csv").content.decode("utf-8-sig")

    assert "Not there yet: 66 % of the credit, 80 % are needed." in sheet
    assert "0.5 of credit is missing; task 3 still has some to give." in sheet
    assert "0.5 missing: 3" in alone
    rows = list(csv.DictReader(io.StringIO(table)))
    assert {
        (row["person_percent"], row["person_needs_percent"], row["person_passed"]) for row in rows
    } == {("66", "80", "no")}


def test_without_a_rule_nothing_is_said_of_it(desk, open_class, mia):
    cast.send(open_class, mia, ("1", right(open_class, "1")))
    CourseClass.objects.update(pass_share=None)
    Course.objects.update(pass_share=None)

    pages = [
        said(desk.get(f"/classes/{open_class.pk}/{page}"))
        for page in (f"people/{mia.pk}/", "debrief/alone/")
    ] + [said(desk.get(f"/courses/{open_class.course.pk}/"))]

    assert [
        word for page in pages for word in ("assed", "there yet", "To pass:") if word in page
    ] == []


def test_a_phone_reads_it_once_the_class_was_counted_as_a_whole(phone, ines, open_class, mia):
    tasks = [(task, right(open_class, task)) for task in "123"]
    cast.send(open_class, mia, *tasks)
    CourseClass.objects.update(state="closed", closed_at=cast.LATER)
    before = said(phone.get(f"/c/{open_class.code}/mine/"))

    debrief(course_class=CourseClass.objects.get(), now=cast.LATER)

    assert "Passed:" not in before
    assert "Passed: 100 % of the credit, 80 % are needed." in said(
        phone.get(f"/c/{open_class.code}/mine/")
    )


def test_a_task_that_the_ground_spoilt_is_left_out_and_said(desk, open_class):
    cast.six_read(open_class)
    person = Person.objects.get(name="a")

    sheet = said(desk.get(f"/classes/{open_class.pk}/people/{person.pk}/"))

    assert "Task 1 is left out: the ground or the compass spoilt it, not you." in sheet


def test_a_class_loses_its_rule_in_its_settings_and_the_trail_tells(desk, open_class):
    desk.post(
        f"/classes/{open_class.pk}/settings/",
        {"name": "Saturday", "feedback": "at_once", "asks": "on", "pass_share": ""},
    )

    assert CourseClass.objects.get().pass_share is None
    assert "what passes: 80 → —" in said(desk.get(f"/classes/{open_class.pk}/trail/"))
