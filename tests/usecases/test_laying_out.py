"""Points brought in, courses changed by the check and taken from a proposal, keys that were
observed.
"""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from exercises.domain.earth.coordinates import read_place
from exercises.domain.planning.proposal import Line
from exercises.domain.tasks.bands import Band
from exercises.exchange.rows import Row
from exercises.models import CourseClass, ObservedBearing
from exercises.usecases import bring_in, plan_course, survey_site
from exercises.usecases.open_class import compute_key, create_class, open_class
from exercises.usecases.plan_course import CannotChange
from exercises.usecases.survey_site import CannotSurvey
from tests import cast

DAY = datetime.date(2026, 10, 3)
pytestmark = pytest.mark.django_db


@pytest.fixture
def course(ines):
    return cast.course_of(cast.site_of(ines))


def row(line, code, text, action="new", **more):
    return Row(
        line, text, code, code, read_place(text), None, 2.0, "receiver", action=action, **more
    )


def take(site, *rows, again="combine"):
    return bring_in.bring_in(
        site=site, rows=rows, again=again, by=None, now=cast.NOW, on=DAY, source="points.csv"
    )


def test_rows_become_points_with_a_survey_and_what_they_see(course):
    made = take(
        course.site,
        row(2, "X", "-45.13100, 170.10100", mark="peg", is_target=False, sees=("Y", "T1", "ZZ")),
        row(3, "Y", "-45.13200, 170.10200", is_target=True),
    )

    x = course.site.points.get(code="X")
    assert made == (2, 0)
    assert (
        x.mark,
        x.is_target,
        [seen.target.code for seen in x.sees.order_by("target__code")],
    ) == ("peg", False, ["T1", "Y"])
    assert [
        (one.details["source"], one.details["line"], one.measured_on) for one in x.surveys.all()
    ] == [("points.csv", 2, DAY)]


def test_a_point_nobody_stands_on_can_be_sighted_whatever_the_sheet_says(course):
    take(course.site, row(2, "X", "-45.13100, 170.10100", mark="", is_target=False))

    assert course.site.points.get(code="X").is_target


@pytest.mark.parametrize(
    ("again", "surveys", "in_use"), [("combine", 2, 2), ("replace", 2, 1), ("leave", 0, 0)]
)
def test_points_that_are_there_become_what_was_chosen(course, again, surveys, in_use):
    take(course.site, row(2, "T1", "-45.12900, 170.10360", action="survey"), again=again)

    t1 = course.site.points.get(code="T1")
    assert (t1.surveys.count(), t1.surveys.filter(is_set_aside=False).count()) == (surveys, in_use)


def test_many_points_surveyed_again_cost_the_queries_of_one(course):
    def cost(*rows):
        with CaptureQueriesContext(connection) as queries:
            take(course.site, *rows)
        return len(queries)

    one = cost(row(2, "A", "-45.12900, 170.10360", action="survey"))
    three = cost(
        *(
            row(line, code, "-45.12900, 170.10360", action="survey")
            for line, code in enumerate(("B", "T1", "T2"), 2)
        )
    )

    assert three == one


def test_a_row_that_cannot_be_stored_takes_all_others_back(course, monkeypatch):

    monkeypatch.setattr(survey_site, "MOST_POINTS", 6)

    with pytest.raises(CannotSurvey, match=r"Line 3: .*Nothing was brought in"):
        take(course.site, row(2, "X", "-45.13100, 170.10100"), row(3, "Y", "-45.13200, 170.10200"))

    assert not course.site.points.filter(code="X").exists()


def test_a_code_that_was_taken_meanwhile_is_named_with_its_line(course):
    with pytest.raises(CannotSurvey, match=r"Line 3: .*of that code already.*Nothing was brought"):
        take(course.site, row(2, "X", "-45.13100, 170.10100"), row(3, "T1", "-45.13200, 170.10200"))

    assert not course.site.points.filter(code="X").exists()


def test_what_is_the_same_changes_nothing(course):
    take(course.site, row(2, "T1", "-45.12900, 170.10360", action="same"))

    assert course.site.points.get(code="T1").surveys.count() == 0


def change(course, number, **more):
    plan_course.change_task(
        course=course,
        number=number,
        was=course.tasks.select_related("station", "target").get(number=number).fingerprint(),
        **more,
    )


def test_a_band_is_widened(course):
    change(course, 1, band=Band(7, 14))

    assert course.tasks.filter(number=1, full_credit_deg=7, part_credit_deg=14).exists()


def test_a_target_is_exchanged_and_a_given_bearing_goes_with_it(course):
    course.tasks.filter(number=2).update(given_deg=100)

    change(course, 2, target="T2")

    task = course.tasks.get(number=2)
    assert (task.target.code, task.given_deg) == ("T2", None)


def test_a_dropped_task_lets_the_others_move_up(course):
    change(course, 1, is_dropped=True)

    assert list(course.tasks.values_list("number", "kind")) == [(1, "follow"), (2, "convert")]


def test_a_button_that_is_pressed_twice_acts_once(course):
    was = course.tasks.select_related("station", "target").get(number=1).fingerprint()
    plan_course.change_task(course=course, number=1, was=was, is_dropped=True)

    with pytest.raises(CannotChange, match="changed meanwhile"):
        plan_course.change_task(course=course, number=1, was=was, is_dropped=True)

    assert course.tasks.count() == 2


@pytest.mark.parametrize("target", ["ZZ", "A", "B"])
def test_only_a_target_of_the_site_can_be_asked_for(course, target):
    with pytest.raises(CannotChange, match="no target"):
        change(course, 1, target=target)


def test_tasks_are_put_in_order(course):
    plan_course.reorder(course=course, numbers=[3, 1, 2], was=course.fingerprint())

    assert list(course.tasks.values_list("number", "kind")) == [
        (1, "convert"),
        (2, "sight"),
        (3, "follow"),
    ]


@pytest.mark.parametrize("numbers", [[1, 2], [1, 2, 2], [1, 2, 3, 4], []])
def test_an_order_that_is_not_of_this_course_is_refused(course, numbers):
    with pytest.raises(CannotChange):
        plan_course.reorder(course=course, numbers=numbers, was=course.fingerprint())


def test_an_order_is_not_put_twice(course):
    was = course.fingerprint()
    plan_course.reorder(course=course, numbers=[3, 1, 2], was=was)

    with pytest.raises(CannotChange):
        plan_course.reorder(course=course, numbers=[3, 1, 2], was=was)


def test_a_file_that_is_brought_in_twice_surveys_once(course):
    for _ in range(2):
        take(course.site, row(2, "T1", "-45.12900, 170.10360", action="survey"))

    assert (
        course.site.points.get(code="T1").surveys.count() == 2
    )  # the first, for which the point stood, and this one


def test_a_row_that_names_a_point_anew_changes_its_name_and_mark_alone(course):
    before = course.site.points.get(code="A")
    take(
        course.site,
        Row(
            2,
            "",
            "A",
            "the old gate",
            read_place("-45.13, 170.1"),
            None,
            2.0,
            "receiver",
            mark="brass pin",
            action="named",
        ),
    )

    after = course.site.points.get(code="A")
    assert (after.name, after.mark, after.latitude, after.surveys.count()) == (
        "the old gate",
        "brass pin",
        before.latitude,
        0,
    )


def test_lines_are_taken_once(course):
    lines = [Line("A", "T1", "magnetic"), Line("B", "T2", "true")]

    counts = [
        plan_course.take_lines(course=course, lines=lines, kind="sight", band=Band(5, 10))
        for _ in range(2)
    ]

    assert counts == [1, 0]  # A to T1 in magnetic is asked already
    assert list(
        course.tasks.filter(number=4).values_list("station__code", "target__code", "north")
    ) == [("B", "T2", "true")]


@pytest.mark.parametrize(
    "line",
    [
        Line("A", "ZZ", "true"),
        Line("T1", "T2", "true"),
        Line("A", "B", "true"),
        Line("ZZ", "T1", "true"),
    ],
)
def test_a_line_that_is_not_there_takes_none(course, line):
    with pytest.raises(CannotChange, match="not on this site any more"):
        plan_course.take_lines(
            course=course, lines=[Line("B", "T1", "true"), line], kind="sight", band=Band(5, 10)
        )

    assert course.tasks.count() == 3


def test_an_observed_key_is_what_the_instructor_read(course, ines):
    points = {point.code: point for point in course.site.points.all()}
    ObservedBearing.objects.create(
        site=course.site,
        station=points["A"],
        target=points["T1"],
        bearing_deg=50.0,
        observed_at=cast.NOW,
        received_at=cast.NOW,
    )
    made = create_class(
        owner=ines,
        course_class=CourseClass(course=course, name="Observed", date=DAY, key_source="observed"),
    )

    open_class(course_class=made, by=ines, now=cast.NOW)

    first, second, _ = made.keys.get().as_domain()
    computed = compute_key(course, DAY)
    assert first.bearings_deg["magnetic"] == pytest.approx(50.0)
    assert abs(computed[0].bearings_deg["magnetic"] - 50.0) > 3
    assert second == computed[1]


def test_a_computed_key_does_not_look_at_observed_bearings(course):
    points = {point.code: point for point in course.site.points.all()}
    before = compute_key(course, DAY)
    ObservedBearing.objects.create(
        site=course.site,
        station=points["A"],
        target=points["T1"],
        bearing_deg=50.0,
        observed_at=cast.NOW,
        received_at=cast.NOW,
    )

    assert compute_key(course, DAY) == before
