"""Give a class its code, freeze its key, let readings in, close it, release its feedback."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db import IntegrityError, transaction

from ..domain.diagnosis import priors
from ..domain.earth import geodesy, magnetics
from ..domain.earth.norths import UnknownNorth
from ..domain.tasks import key, observed_key
from ..domain.tasks.answer import Answer, NoAnswer
from ..domain.tasks.site import UnknownPoint
from ..domain.words import say
from ..models import Course, CourseClass, Key, Point
from ..models.codes import new_code
from . import check_ground
from .clocks import not_before
from .debrief import beliefs
from .keep_kit import known_before

KEPT = timedelta(days=90)  # names of a class, unless it says otherwise; common practice, no source
NO_ANSWER = (
    geodesy.SamePoint,
    geodesy.UnsuitableGrid,
    magnetics.NoDeclination,
    NoAnswer,
    UnknownNorth,
    UnknownPoint,
)


class NotReady(ValueError):
    """A class that cannot be opened. The message says what stands in the way and what to do."""


def create_class(*, course_class: CourseClass, owner: AbstractUser) -> CourseClass:
    """Store a new class with a code of its own, the rule of its course, and the day until which
    names are kept where it has none yet. `course_class` is unsaved.
    """
    course_class.owner = owner
    course_class.pass_share = course_class.course.pass_share
    course_class.names_until = course_class.names_until or course_class.date + KEPT
    for _ in range(5):
        course_class.code = new_code()
        try:
            with transaction.atomic():
                course_class.save()
            return course_class
        except IntegrityError:
            course_class.pk = None
    raise NotReady(say("No free class code was found. Try again."))


def compute_key(
    course: Course, on: date, source: str = CourseClass.KeySource.COMPUTED
) -> tuple[Answer, ...]:
    """The answers of a course for a date, computed or, where there are bearings observed on the
    ground, those. Raises NotReady, in words that name the task.
    """
    tasks = course.as_domain()
    if not tasks:
        raise NotReady(say("The course has no tasks. Add at least one, then open the class."))
    site = course.site.as_domain()
    for task in tasks:
        try:
            key.compute([task], site, on)
        except NO_ANSWER as error:
            raise NotReady(
                say("Task {task}: {reason}", task=task.label, reason=error.args[0])
            ) from error
    answers = key.compute(tasks, site, on)
    if source != CourseClass.KeySource.OBSERVED:
        return answers
    shot = check_ground.sightings(site, check_ground.observed_rows(course.site))
    return observed_key.observed(answers, shot)


@transaction.atomic
def open_class(*, course_class: CourseClass, by: AbstractUser, now: datetime) -> None:
    """Freeze the key of a class and let readings in. Raises NotReady with what stands in the
    way.
    """
    course_class = (
        CourseClass.objects.select_for_update()
        .select_related("course__site")
        .get(pk=course_class.pk)
    )
    if course_class.state != CourseClass.State.DRAFT:
        raise NotReady(
            say("The class is open already.")
            if course_class.is_open
            else say("The class is closed already.")
        )
    answers = compute_key(course_class.course, course_class.date, course_class.key_source)
    Key.objects.create(
        course_class=course_class,
        version=1,
        frozen_at=now,
        frozen_by=by,
        reason="opened",
        answers=key.to_plain(answers),
        priors=priors.to_plain(beliefs(by, before=now)[0]),
        compasses=known_before(course_class, course_class.date),
        points={point.code: _kept(point) for point in course_class.course.site.points.all()},
    )
    course_class.state, course_class.opened_at = CourseClass.State.OPEN, now
    course_class.save(update_fields=["state", "opened_at"])


def _kept(point: Point) -> dict[str, Any]:
    """What a key keeps of a point."""
    return {
        "name": point.name,
        "mark": point.mark,
        "latitude": point.latitude,
        "longitude": point.longitude,
        "elevation_m": point.elevation_m,
        "accuracy_m": point.accuracy_m,
    }


@transaction.atomic
def close_class(*, course_class: CourseClass, now: datetime) -> None:
    """Close an open class: readings that come later are kept and marked late. Closing twice changes
    nothing.
    """
    CourseClass.objects.filter(pk=course_class.pk, state=CourseClass.State.OPEN).update(
        state=CourseClass.State.CLOSED, closed_at=not_before("opened_at", now)
    )


@transaction.atomic
def reopen_class(*, course_class: CourseClass) -> None:
    """Open a closed class again, with the key it has, as when it was closed by mistake. What came
    meanwhile stays marked late.
    """
    CourseClass.objects.filter(pk=course_class.pk, state=CourseClass.State.CLOSED).update(
        state=CourseClass.State.OPEN, closed_at=None
    )


@transaction.atomic
def release_feedback(*, course_class: CourseClass, now: datetime) -> None:
    """Let participants see answers and causes. Releasing twice changes nothing."""
    CourseClass.objects.filter(pk=course_class.pk, released_at=None).exclude(
        state=CourseClass.State.DRAFT
    ).update(released_at=not_before("opened_at", now))
