"""A course is mended where it is: each action of the course editor, and what it says beside."""

import re

import pytest

from exercises.models import Point, Task
from exercises.usecases import mend_course
from tests import cast


@pytest.fixture
def course(ines):
    return cast.course_of(cast.site_of(ines))


def order(course):
    return [(task.number, task.kind) for task in course.tasks.all()]


def press(desk, course, number, verb, was=None):
    was = course.fingerprint() if was is None else was
    return desk.post(f"/courses/{course.pk}/tasks/{number}/{verb}/", {"was": was})


def fields_of(page):
    """What the form of a task holds, as a browser would send it."""
    form = page[page.index("data-task") :]
    form = form[: form.index("</form>")]
    sent = dict(
        re.findall(r'<input type="(?:text|hidden)" name="(\w+)"(?: value="([^"]*)")?', form)
    )
    for name, choices in re.findall(r'<select name="(\w+)".*?>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', choices)
        sent[name] = chosen[1] if chosen else ""
    return sent


def edit(desk, course, number, **changes):
    address = f"/courses/{course.pk}/tasks/{number}/"
    return desk.post(address, {**fields_of(desk.get(address).content.decode()), **changes})


def test_a_form_that_is_saved_as_it_came_changes_nothing(desk, course):
    course.tasks.filter(number=1).update(full_credit_deg=7, part_credit_deg=9, feedback="released")
    before = list(course.tasks.values())

    for number in (1, 2, 3):
        answer = edit(desk, course, number)
        assert answer["Location"] == f"/courses/{course.pk}/#task{number}"

    assert list(course.tasks.values()) == before


def test_a_task_is_edited_where_it_is_and_confirmed_in_its_row(desk, course):
    answer = edit(desk, course, 2, north="grid", preset="beginner")

    task = course.tasks.get(number=2)
    assert (task.kind, task.north, task.full_credit_deg, task.part_credit_deg) == (
        "follow",
        "grid",
        10,
        20,
    )
    page = desk.get(answer["Location"]).content.decode()
    row = page[page.index('id="task2"') : page.index('id="task3"')]
    assert 'role="status">Task 2 changed.' in row


def test_a_task_that_cannot_be_is_refused_and_nothing_typed_is_lost(desk, course):
    answer = edit(desk, course, 1, target="", north="grid")

    page = answer.content.decode()
    assert (answer.status_code, course.tasks.get(number=1).north) == (200, "magnetic")
    assert "Choose the target." in page
    assert fields_of(page)["north"] == "grid"
    assert "Task 1: A → T1" in " ".join(page.split())


def test_a_task_that_was_changed_meanwhile_is_not_overwritten(desk, course):
    address = f"/courses/{course.pk}/tasks/1/"
    sent = fields_of(desk.get(address).content.decode())
    course.tasks.filter(number=1).update(north="true")

    answer = desk.post(address, {**sent, "north": "grid"})

    assert course.tasks.get(number=1).north == "true"
    page = answer.content.decode()
    assert "This task was changed meanwhile. Look at the course once more." in page
    assert fields_of(page)["north"] == "grid"


def test_the_field_half_goes_where_its_map_half_is_sent(desk, course):
    points = {point.code: point for point in course.site.points.all()}
    ends = {"course": course, "station": points["A"], "north": "grid"}
    Task.objects.create(number=4, kind="map", target=points["T2"], **ends)
    Task.objects.create(number=5, kind="face", target=points["T2"], **ends)

    edit(desk, course, 4, target=points["T3"].pk)

    assert [task.target.code for task in course.tasks.filter(number__gt=3)] == ["T3", "T3"]


def test_a_class_that_is_open_keeps_its_key_when_its_course_is_mended(desk, open_class):
    course, before = open_class.course, open_class.keys.get().answers

    edit(desk, course, 1, north="grid")
    press(desk, course, 2, "remove")

    assert [key.answers for key in open_class.keys.all()] == [before]


def test_a_copy_stands_right_after_its_task_and_is_made_once(desk, course):
    was = course.fingerprint()
    answer = press(desk, course, 1, "copy", was)
    press(desk, course, 1, "copy", was)

    assert order(course) == [(1, "sight"), (2, "sight"), (3, "follow"), (4, "convert")]
    assert answer["Location"] == f"/courses/{course.pk}/#task2"
    assert "Task 2 is a copy of task 1." in desk.get(f"/courses/{course.pk}/").content.decode()


@pytest.mark.parametrize(
    ("number", "verb", "kinds", "place"),
    [
        (2, "up", ["follow", "sight", "convert"], "task1-down"),
        (3, "up", ["sight", "convert", "follow"], "task2-up"),
        (1, "down", ["follow", "sight", "convert"], "task2-down"),
        (2, "down", ["sight", "convert", "follow"], "task3-up"),
        (1, "up", ["sight", "follow", "convert"], "task1-down"),
    ],
)
def test_a_task_is_moved_and_the_page_returns_to_its_button(
    desk, course, number, verb, kinds, place
):
    answer = press(desk, course, number, verb)

    assert [task.kind for task in course.tasks.all()] == kinds
    assert answer["Location"] == f"/courses/{course.pk}/#{place}"
    assert f'id="{place}"' in desk.get(f"/courses/{course.pk}/").content.decode()


@pytest.mark.parametrize("verb", ["up", "down", "copy", "remove"])
def test_a_button_of_a_page_that_is_out_of_date_does_nothing(desk, course, verb):
    was = course.fingerprint()
    course.tasks.filter(number=3).update(north="grid")
    before = list(course.tasks.values())

    press(desk, course, 2, verb, was)

    assert list(course.tasks.values()) == before
    assert (
        "The course was changed meanwhile." in desk.get(f"/courses/{course.pk}/").content.decode()
    )


def undo(desk, page, course):
    button = re.search(
        r'action="/courses/\d+/tasks/back/">.*?name="task" value="(\d+)"', page, re.S
    )
    return desk.post(f"/courses/{course.pk}/tasks/back/", {"task": button[1]})


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_removed_task_is_put_back_at_its_place_once(desk, course, number):
    before = list(course.tasks.values())
    answer = press(desk, course, number, "remove")
    assert answer["Location"] == f"/courses/{course.pk}/#removed"
    page = desk.get(f"/courses/{course.pk}/").content.decode()

    for _ in range(2):  # pressed twice
        answer = undo(desk, page, course)
        assert answer["Location"] == f"/courses/{course.pk}/#task{number}"

    assert list(course.tasks.values()) == before


def test_two_removed_tasks_come_back_one_after_the_other(desk, course):
    before = list(course.tasks.values())
    press(desk, course, 1, "remove")
    press(desk, course, 2, "remove")

    for _ in range(2):
        undo(desk, desk.get(f"/courses/{course.pk}/").content.decode(), course)

    assert list(course.tasks.values()) == before
    assert "tasks/back/" not in desk.get(f"/courses/{course.pk}/").content.decode()


def test_a_task_that_the_check_let_drop_is_put_back(desk, course):
    before = list(course.tasks.values())
    fields = {"verb": "drop", "task": 1, "was": course.tasks.get(number=1).fingerprint()}
    answer = desk.post(f"/courses/{course.pk}/change/", fields)
    assert answer["Location"] == f"/courses/{course.pk}/#check"

    undo(desk, desk.get(f"/courses/{course.pk}/").content.decode(), course)

    assert list(course.tasks.values()) == before


def test_a_task_whose_point_is_gone_stays_out_and_the_page_says_why(desk, course):
    press(desk, course, 2, "remove")
    page = desk.get(f"/courses/{course.pk}/").content.decode()
    Point.objects.filter(code="T3").delete()

    undo(desk, page, course)

    assert order(course) == [(1, "sight"), (2, "convert")]
    page = desk.get(f"/courses/{course.pk}/").content.decode()
    assert "A point of this task is not on the site any more." in page


@pytest.mark.parametrize("key", ["", "x", "0", "999999"])
def test_what_was_never_taken_out_is_not_put_back(desk, course, key):
    desk.post(f"/courses/{course.pk}/tasks/back/", {"task": key})

    assert len(order(course)) == 3
    page = desk.get(f"/courses/{course.pk}/").content.decode()
    assert "This task is not kept any more. Add it once more." in page


def test_a_full_course_takes_nothing_back(desk, course):
    row = mend_course.take_out(course=course, number=1, was=course.fingerprint())
    first = course.tasks.get(number=1)
    for number in range(3, 61):
        first.pk, first.number = None, number
        first.save()

    with pytest.raises(mend_course.CannotChange, match="A course holds"):
        mend_course.put_back(course=course, row=row)


def test_adding_keeps_the_place(desk, course):
    point = {point.code: point.pk for point in course.site.points.all()}
    sent = {"kind": "sight", "station": point["B"], "target": point["T1"], "north": "true"}

    answer = desk.post(f"/courses/{course.pk}/", {**sent, "preset": "usual"})

    assert answer["Location"] == f"/courses/{course.pk}/#task4"
    assert 'id="task4"' in desk.get(f"/courses/{course.pk}/").content.decode()


def drag(desk, course, order, task, was=None):
    sent = {"order": order, "task": task, "was": course.fingerprint() if was is None else was}
    return desk.post(f"/courses/{course.pk}/tasks/order/", sent)


def test_tasks_are_put_into_the_order_they_were_dragged_into(desk, course):
    answer = drag(desk, course, "3 1 2", "3")

    assert order(course) == [(1, "convert"), (2, "sight"), (3, "follow")]
    assert answer["Location"] == f"/courses/{course.pk}/#task1"


@pytest.mark.parametrize("wrong", ["", "1 2", "1 1 2 3", "1 2 4", "x y z", "² 1 2", "9" * 5000])
def test_an_order_that_is_none_changes_nothing(desk, course, wrong):
    before = list(course.tasks.values())

    drag(desk, course, wrong, "1")

    assert list(course.tasks.values()) == before


def test_an_order_of_a_page_that_is_out_of_date_is_refused_in_words(desk, course):
    was = course.fingerprint()
    press(desk, course, 1, "remove")

    drag(desk, course, "3 1 2", "3", was)

    assert order(course) == [(1, "follow"), (2, "convert")]
    page = desk.get(f"/courses/{course.pk}/").content.decode()
    assert "The course was changed meanwhile." in page


def test_what_the_course_can_show_is_reckoned_only_where_it_is_asked_for(desk, course, monkeypatch):
    reckoned = []
    monkeypatch.setattr(
        "exercises.presenting.course_checks.power_text",
        lambda *given: reckoned.append(given[-1]) or {},
    )

    desk.get(f"/courses/{course.pk}/")
    assert reckoned == []
    desk.get(f"/courses/{course.pk}/?people=7")
    desk.get(f"/courses/{course.pk}/shows/?people=9")
    assert reckoned == [7, 9]


@pytest.mark.parametrize("tasks", [3, 30])
@pytest.mark.parametrize(("verb", "queries"), [("up", 12), ("copy", 12), ("remove", 20)])
def test_a_change_asks_the_database_as_often_in_a_long_course(
    desk, course, django_assert_num_queries, tasks, verb, queries
):
    first = course.tasks.get(number=1)
    for number in range(4, tasks + 1):
        first.pk, first.number = None, number
        first.save()
    was = course.fingerprint()

    with django_assert_num_queries(queries):
        press(desk, course, 2, verb, was)


def test_a_page_that_is_out_of_date_comes_back_with_a_number_that_is_none(desk, course):
    answer = edit(desk, course, 1, was="0123456789abcdef", part_credit_m="é" * 9)

    assert answer.status_code == 200
    assert "é" * 9 in answer.content.decode()
