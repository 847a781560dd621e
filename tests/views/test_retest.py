"""A retest: exactly what was missed, at the same marks or elsewhere."""

import pytest

from exercises.domain.planning.hazards import crossed
from exercises.models import Course, CourseClass, Task
from exercises.usecases import plan_course, retest
from exercises.usecases.check_ground import surroundings
from exercises.usecases.debrief import debrief
from tests import cast

FORM = {"name": "Saturday, again", "on": "2026-10-10"}


def right(course_class, task):
    answer = cast.answer_of(course_class, task)
    return answer.target if task == "2" else f"{round(answer.expected_deg) % 360:03d}"


def said(answer):
    return " ".join(answer.content.decode().split())


@pytest.fixture
def over(open_class):
    """A class that is over: Mia missed tasks 1 and 3, Tom task 2, Ann nothing."""
    (mia, _), (tom, _), (ann, _) = cast.join(open_class, "Mia", "Tom", "Ann")
    every = {task: right(open_class, task) for task in "123"}
    cast.send(open_class, mia, ("1", "200"), ("2", every["2"]))
    cast.send(open_class, tom, ("1", every["1"]), ("2", "T1"), ("3", every["3"]))
    cast.send(open_class, ann, *every.items())
    CourseClass.objects.update(state="closed", closed_at=cast.LATER)
    open_class.refresh_from_db()
    return open_class


def asked(course):
    return [
        (task.kind, task.station.code, task.target and task.target.code, task.north)
        for task in course.tasks.select_related("station", "target")
    ]


def test_the_retest_of_a_person_asks_exactly_what_they_missed(desk, over):
    mia = over.people.get(name="Mia")
    before = asked(over.course)

    answer = desk.post(f"/classes/{over.pk}/retest/", {**FORM, "person": mia.pk})

    made = CourseClass.objects.get(name="Saturday, again")
    assert answer.url == f"/classes/{made.pk}/"
    assert asked(made.course) == [before[0], before[2]]
    assert asked(over.course) == before
    assert (made.state, made.course.name, made.course.pass_share) == (
        "draft",
        "Saturday, again",
        80,
    )


def test_the_retest_of_a_class_asks_what_anybody_missed_who_did_not_pass(desk, over):
    page = said(desk.get(f"/classes/{over.pk}/retest/"))

    desk.post(f"/classes/{over.pk}/retest/", FORM)

    assert "For Mia, Tom." in page
    assert len(asked(CourseClass.objects.get(name="Saturday, again").course)) == 3


def test_limits_given_bearings_and_policies_are_the_same(desk, over):
    Task.objects.filter(number=3).update(feedback="released")
    mia = over.people.get(name="Mia")

    desk.post(f"/classes/{over.pk}/retest/", {**FORM, "person": mia.pk})

    kept = ("kind", "north", "given_deg", "given_north", "full_credit_deg", "feedback")
    course = CourseClass.objects.get(name="Saturday, again").course
    assert course.tasks.values_list(*kept)[1] == over.course.tasks.values_list(*kept)[2]


def test_elsewhere_asks_the_same_kind_on_a_line_that_nobody_read(desk, over):
    mia = over.people.get(name="Mia")

    desk.post(f"/classes/{over.pk}/retest/", {**FORM, "person": mia.pk, "elsewhere": "on"})

    course = CourseClass.objects.get(name="Saturday, again").course
    sight, convert = asked(course)
    before = asked(over.course)
    assert (sight[0], sight[1], sight[3]) == ("sight", "B", "magnetic")  # the other station
    assert sight[1:3] not in [one[1:3] for one in before]
    assert convert == before[2]  # reckoned, nowhere to go
    ground = surroundings(course.site)
    for task in course.tasks.all():
        task_ = task.as_domain()
        assert not task_.target or not crossed(
            ground.site.point(task_.station).position,
            ground.site.point(task_.target).position,
            ground.hazards,
        )


def test_a_task_that_was_changed_since_is_left_out_and_said(desk, over):
    mia = over.people.get(name="Mia")
    plan_course.remove_task(task=over.course.tasks.get(number=1))

    answer = desk.post(f"/classes/{over.pk}/retest/", {**FORM, "person": mia.pk}, follow=True)

    assert "on the course any more" in said(answer)
    made = CourseClass.objects.filter(name="Saturday, again")
    assert not made.exists() or ("sight", "A", "T1", "magnetic") not in asked(made.get().course)


def test_who_passed_has_nothing_to_do_again(desk, over):
    ann = over.people.get(name="Ann")

    page = said(desk.get(f"/classes/{over.pk}/retest/?person={ann.pk}"))
    answer = desk.post(f"/classes/{over.pk}/retest/", {**FORM, "person": ann.pk})

    assert "There is nothing to do again" in page
    assert answer.status_code == 200
    assert Course.objects.count() == 1


def test_two_retests_are_two_courses(desk, over):
    for _ in range(2):
        desk.post(f"/classes/{over.pk}/retest/", FORM)

    assert list(Course.objects.order_by("pk").values_list("name", flat=True)) == [
        "Short round",
        "Saturday, again",
        "Saturday, again 2",
    ]


def test_an_open_class_has_no_retest(desk, open_class):
    assert desk.post(f"/classes/{open_class.pk}/retest/", FORM).url == f"/classes/{open_class.pk}/"
    assert Course.objects.count() == 1


def test_somebody_of_another_class_has_none_here(desk, over):
    assert desk.get(f"/classes/{over.pk}/retest/?person=99999").status_code == 404


def test_a_field_half_brings_its_map_half(ines, over):
    whole = debrief(course_class=over, now=cast.LATER)
    first, second, third = whole.answers
    half = type(third)(**{**vars(third), "after": "2"})
    object.__setattr__(whole, "answers", (first, second, half))

    assert retest.missed_by(whole, [over.people.get(name="Mia")]) == ("1", "2", "3")
