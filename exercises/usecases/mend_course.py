"""Mend a course where it is: change a task, copy it, move it, take it out and put it back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from ..domain.tasks import wants
from ..domain.tasks.kinds import kind_of
from ..domain.tasks.kinds.face import Face
from ..domain.words import say
from ..models import Course, Task
from .plan_course import (
    MOST_TASKS,
    CannotChange,
    check_points,
    locked,
    put_in_order,
    remove_task,
)


@transaction.atomic
def change_task(*, task: Task, was: str) -> None:
    """Store a task that was changed in a form; its field halves go where the map half goes. `was`
    is the task as the form showed it (`Task.fingerprint`).

    Raises CannotChange where it has been changed or taken out meanwhile. A class that is open keeps
    its frozen key.
    """
    course = locked(task.course_id)
    rows = course.tasks.select_related("station", "target", "second", "third")
    before = rows.filter(pk=task.pk).first()
    if before is None or before.fingerprint() != was:
        raise CannotChange(say("This task was changed meanwhile. Look at the course once more."))
    check_points(course, task)
    task.number = before.number
    task.save()
    is_map_half = all(wants.FIELD_HALF in kind_of(one.kind).wants for one in (before, task))
    if is_map_half:
        halves = rows.filter(kind=Face.code, station=before.station, target=before.target)
        halves.update(station=task.station, target=task.target)


@transaction.atomic
def copy_task(*, course: Course, number: int, was: str) -> int:
    """Put a copy of a task right after it; returns its number. `was` is `Course.fingerprint` as it
    was shown. Raises CannotChange for another course by now, and for more tasks than it holds.
    """
    task = _as_shown(course, number, was)
    task.pk = None
    _insert(course, task, number + 1)
    return number + 1


@transaction.atomic
def move_task(*, course: Course, number: int, was: str, by: int) -> int:
    """Move a task by so many places, later ones positive, and no further than the ends; returns its
    new number. `was` as for `copy_task`. Raises CannotChange for another course by now.
    """
    task = _as_shown(course, number, was)
    order = list(course.tasks.values_list("pk", flat=True))
    place = order.index(task.pk)
    goal = min(max(place + by, 0), len(order) - 1)
    order.insert(goal, order.pop(place))
    put_in_order(course, order)
    return goal + 1


@transaction.atomic
def take_out(*, course: Course, number: int, was: str) -> dict[str, Any]:
    """Take a task out of a course; returns the row that `put_back` puts back, as plain values.
    `was` as for `copy_task`. Raises CannotChange for another course by now.
    """
    task = _as_shown(course, number, was)
    row = plain_row(task)
    remove_task(task=task)
    return row


def plain_row(task: Task) -> dict[str, Any]:
    """All that a task is, as plain values."""
    return {field.attname: getattr(task, field.attname) for field in Task._meta.concrete_fields}


@transaction.atomic
def put_back(*, course: Course, row: Mapping[str, Any]) -> int:
    """Put a task that was taken out back at its place; returns its number. Twice is as once: the
    row comes back as itself, with its old primary key.

    Raises CannotChange where one of its points is gone, and for more tasks than a course holds.
    """
    locked(course.pk)
    there = course.tasks.filter(pk=row["id"]).first()
    if there:
        return there.number
    task = Task(**{**row, "course_id": course.pk})
    check_points(course, task)
    return _insert(course, task, row["number"])


def _as_shown(course: Course, number: int, was: str) -> Task:
    """A task of a course that is as it was shown; the course is locked. Raises CannotChange where
    it is not.
    """
    locked(course.pk)
    task = course.tasks.filter(number=number).first()
    if task is None or course.fingerprint() != was:
        raise CannotChange(say("The course was changed meanwhile. Look at it once more."))
    return task


def _insert(course: Course, task: Task, number: int) -> int:
    """Store a new task so that it has a number, or the one after the last; returns which. Raises
    CannotChange for more than a course holds.
    """
    order = list(course.tasks.values_list("pk", flat=True))
    if len(order) + 1 > MOST_TASKS:
        raise CannotChange(say("A course holds {most} tasks.", most=MOST_TASKS))
    place = min(number, len(order) + 1)
    task.number = len(order) + 1
    task.save(force_insert=True)
    order.insert(place - 1, task.pk)
    put_in_order(course, order)
    return place
