"""A retest: a course of exactly what was missed in a class, or of tasks like it elsewhere, and a
class of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.contrib.auth.models import AbstractUser
from django.db import transaction

from ..domain.planning.twins import twins
from ..domain.planning.weighing import Line
from ..domain.tasks import wants
from ..domain.tasks.answer import Answer
from ..domain.tasks.kinds import kind_of
from ..domain.words import say
from ..models import Course, CourseClass, Person, Point, Task
from .arrange import LONGEST_NAME, free_name
from .check_ground import surroundings
from .debrief import Debriefed
from .open_class import create_class


class NothingMissed(ValueError):
    """A retest of nothing. The message says why and what to do."""


@dataclass(frozen=True)
class Retest:
    """The class that was made, the labels of tasks that are elsewhere now, and of those that the
    course has no more.
    """

    course_class: CourseClass
    elsewhere: tuple[str, ...]
    left_out: tuple[str, ...]


def missed_by(whole: Debriefed, people: Iterable[Person]) -> tuple[str, ...]:
    """The labels of tasks that at least one of these people is to do again, in the course's order;
    a field half brings the map half that it goes on from.
    """
    missed = {task for person in people for task in whole.missed(person)}
    before = {answer.after for answer in whole.answers if answer.task in missed}
    return tuple(answer.task for answer in whole.answers if answer.task in missed | before)


def who_missed(whole: Debriefed) -> list[Person]:
    """Who has something to do again, by name: with a rule those who did not pass."""
    people = [whole.people[key] for key in whole.by_person]
    return sorted(filter(whole.is_to_retest, people), key=lambda person: person.name.casefold())


@transaction.atomic
def make_retest(
    *,
    whole: Debriefed,
    people: Sequence[Person],
    name: str,
    on: date,
    is_elsewhere: bool,
    owner: AbstractUser,
) -> Retest:
    """A course of what some people missed and a class of it, not open yet. `is_elsewhere` asks for
    other lines where the ground has some. Raises NothingMissed.
    """
    held = whole.course_class
    missed = missed_by(whole, people)
    rows = _rows(held.course, [one for one in whole.answers if one.task in missed])
    if not rows:
        raise NothingMissed(
            say("There is nothing to do again: no task of the course was missed.")
            if not missed
            else say("The tasks that were missed are not on the course any more.")
        )
    ground = surroundings(held.course.site)
    asked = [task.as_domain() for task in _tasks(held.course)]
    lines = (
        twins(ground, on, [row.as_domain() for row in rows if _may_move(row)], asked)
        if is_elsewhere
        else {}
    )
    course = Course.objects.create(
        site=held.course.site,
        name=free_name(name[:LONGEST_NAME], held.course.site.courses.kept()),
        pass_share=held.pass_share,
    )
    points = {point.code: point for point in held.course.site.points.all()}
    labels = tuple(str(row.number) for row in rows)
    Task.objects.bulk_create(
        _again(row, course, place, lines.get(str(row.number)), points)
        for place, row in enumerate(rows, start=1)
    )
    return Retest(
        _class_of(held, course, name, on, owner),
        elsewhere=tuple(label for label in labels if label in lines),
        left_out=tuple(label for label in missed if label not in labels),
    )


def _tasks(course: Course) -> list[Task]:
    """The tasks of a course, in order, with their points."""
    return list(course.tasks.select_related("station", "target", "second", "third"))


def _rows(course: Course, answers: Iterable[Answer]) -> list[Task]:
    """The tasks behind answers of a frozen key, as far as the course still asks them so."""
    asked = {(answer.task, answer.kind, answer.station, answer.target) for answer in answers}
    return [
        row
        for row in _tasks(course)
        if (
            str(row.number),
            row.kind,
            row.station.code,
            row.target.code if row.target else "",
        )
        in asked
    ]


def _may_move(row: Task) -> bool:
    """Whether a task can be asked elsewhere by itself; halves that go on from each other cannot."""
    return wants.FIELD_HALF not in kind_of(row.kind).wants


def _again(
    row: Task, course: Course, number: int, line: Line | None, points: dict[str, Point]
) -> Task:
    """A task once more, on another line where there is one."""
    row.pk, row.course, row.number = None, course, number
    if line:
        row.station, row.target = points[line.station], points[line.target]
        row.given_deg = None  # the line's own
    return row


def _class_of(
    held: CourseClass, course: Course, name: str, on: date, owner: AbstractUser
) -> CourseClass:
    """A class of a course with the settings of another."""
    return create_class(
        owner=owner,
        course_class=CourseClass(
            course=course,
            name=name,
            date=on,
            time_zone=held.time_zone,
            feedback=held.feedback,
            asks=held.asks,
            key_source=held.key_source,
            unit=held.unit,
        ),
    )
