"""Attendance as a file: each name once, and nothing in it that a spreadsheet would run."""

import csv
import io

import openpyxl
import pytest

from exercises.models import Person
from exercises.usecases import count_heads, keep_roster
from exercises.usecases.trail import Account
from tests import cast


def rows(desk, course_class):
    text = desk.get(f"/classes/{course_class.pk}/attendance.csv").content.decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


@pytest.fixture
def counted(open_class, ines):
    """Mia joined in a group and was ticked, Tom is on the roster; Mimi is Mia's other name."""
    ((mia, _),) = cast.join(open_class, "Mia")
    keep_roster.take_roster(
        course_class=open_class, rows=[keep_roster.Row(1, "Tom"), keep_roster.Row(2, "Mia", "Reds")]
    )
    ((mimi, _),) = cast.join(open_class, "Mimi")
    keep_roster.merge(second=mimi, first=mia, by=Account(ines), now=cast.NOW)
    count = count_heads.begin(
        course_class=open_class, occasion="before", by=Account(ines), now=cast.NOW
    )
    count_heads.take_marks(
        headcount=count,
        sent=[{"id": "00000000-0000-4000-8000-000000000001", "person": mimi.pk, "here": True}],
        clock=None,
        by=Account(ines),
        now=cast.NOW,
    )
    return open_class


def test_each_name_stands_once_with_when_they_came_and_each_count(desk, counted):
    moment = "2026-10-03 22:30"  # New Zealand, thirteen hours ahead
    count = f"count_before {moment}"

    assert rows(desk, counted) == [
        {
            "person": "Mia",
            "group": "Reds",
            "was_there": "yes",
            "came_at": moment,
            "left_early_at": "",
            count: "here",
        },
        {
            "person": "Tom",
            "group": "",
            "was_there": "no",
            "came_at": "",
            "left_early_at": "",
            count: "missing",
        },
    ]


def test_who_was_taken_out_is_not_in_the_file(desk, counted, ines):
    keep_roster.take_out(person=Person.objects.get(name="Mia"), by=Account(ines), now=cast.LATER)

    assert [row["person"] for row in rows(desk, counted)] == ["Tom"]


def test_a_name_is_no_formula_in_either_file(desk, open_class):
    cast.join(open_class, "=1+1")

    (row,) = rows(desk, open_class)
    sheet = openpyxl.load_workbook(
        io.BytesIO(desk.get(f"/classes/{open_class.pk}/attendance.xlsx").content)
    ).active

    assert row["person"] == "'=1+1"
    assert (sheet["A2"].value, sheet["A2"].data_type) == ("=1+1", "s")


def test_attendance_takes_the_same_queries_for_one_and_for_thirty(
    desk, open_class, django_assert_num_queries
):
    cast.join(open_class, "Mia")
    address = f"/classes/{open_class.pk}/attendance.csv"
    with django_assert_num_queries(6):
        desk.get(address)
    cast.join(open_class, *(f"P{number}" for number in range(29)))

    with django_assert_num_queries(6):
        desk.get(address)
