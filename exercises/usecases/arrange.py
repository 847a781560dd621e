"""Copy sites, courses and classes, put them away, and let them go into the bin and out of it."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any, TypeVar

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser
from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from ..domain.words import say
from ..models import Course, CourseClass, Person, Point, Reading, Site, Survey, Task, Visible
from .open_class import create_class

BIN_DAYS = 30  # for which what was removed can be put back
LONGEST_NAME = 80
Row = TypeVar("Row", Site, Course, CourseClass)


class CannotArrange(ValueError):
    """Something that cannot be removed or put back. The message says why and what to do."""


@transaction.atomic
def copy_course(*, course: Course, site: Site | None = None, name: str = "") -> Course:
    """A course once more, with all its tasks; on another site the points of the same codes take
    their places.
    """
    goal = site or course.site
    tasks = list(course.tasks.all())
    points = {point.code: point for point in goal.points.all()} if site else {}
    codes = dict(Point.objects.filter(site=course.site).values_list("pk", "code"))
    made = Course.objects.create(
        site=goal,
        name=name or _free_name(course.name, goal.courses.kept()),
        pass_share=course.pass_share,
    )
    for task in tasks:
        task.pk, task.course = None, made
        if site:
            for end in ("station", "target", "second", "third"):
                old = getattr(task, f"{end}_id")
                setattr(task, end, points[codes[old]] if old else None)
    Task.objects.bulk_create(tasks)
    return made


@transaction.atomic
def copy_site(*, site: Site, owner: AbstractUser, now: datetime) -> Site:
    """A site once more, with its points, what is seen from them, its dangers and its courses. The
    points' surveys are theirs as before; cards get codes of their own.
    """
    points = list(site.points.prefetch_related("surveys"))
    seen = list(Visible.objects.filter(station__site=site).values_list("station", "target"))
    hazards, courses = list(site.hazards.all()), list(site.courses.kept())
    made = Site.objects.get(pk=site.pk)
    made.pk, made.owner, made.organisation = None, owner, None
    made.name = _free_name(site.name, owner.sites.kept())
    made.archived_at = None
    made.save()
    copies = {point.pk: _copy_point(point, made, now) for point in points}
    Visible.objects.bulk_create(
        [Visible(station=copies[one], target=copies[other]) for one, other in seen]
    )
    for hazard in hazards:
        hazard.pk, hazard.site = None, made
        hazard.save()
    for course in courses:
        copy_course(course=course, site=made, name=course.name)
    return made


def _copy_point(point: Point, site: Site, now: datetime) -> Point:
    """A point once more on another site, with its surveys."""
    surveys = list(point.surveys.all())
    made = Point.objects.get(pk=point.pk)
    made.pk, made.site = None, site
    made.card_code = Point._meta.get_field("card_code").get_default()
    made.save()
    for survey in surveys:
        survey.pk, survey.point = None, made
        survey.client_id = Survey._meta.get_field("client_id").get_default()
    Survey.objects.bulk_create(surveys)
    return made


def copy_class(
    *, course_class: CourseClass, owner: AbstractUser, name: str, on: date
) -> CourseClass:
    """A class to be held once more: its course and settings on another day, with a code of its own
    and nobody in it.
    """
    return create_class(
        owner=owner,
        course_class=CourseClass(
            course=course_class.course,
            name=name,
            date=on,
            time_zone=course_class.time_zone,
            feedback=course_class.feedback,
            asks=course_class.asks,
            key_source=course_class.key_source,
        ),
    )


def free_name(name: str, rows: QuerySet[Any]) -> str:
    """A name, or where one of these rows has it, as `_free_name` gives it."""
    return _free_name(name, rows) if rows.filter(name=name).exists() else name


def _free_name(name: str, rows: QuerySet[Any]) -> str:
    """A name with the first number behind it that none of these rows has: `Round 2`."""
    taken = set(rows.values_list("name", flat=True))
    stem = name.rstrip("0123456789").rstrip() or name
    number = 2
    while (made := f"{stem[: LONGEST_NAME - 5]} {number}") in taken:
        number += 1
    return made


def set_archived(*, row: Site | Course, now: datetime | None) -> None:
    """Put a site or a course away, or take it out again (None): it is there as before, and stands
    no longer among those in use.
    """
    type(row).objects.filter(pk=row.pk).update(archived_at=now)


@transaction.atomic
def remove(*, row: Row, now: datetime) -> None:
    """Let something go into the bin, with all that hangs on it. Twice changes nothing. Raises
    CannotArrange while a class of it is open: somebody may be out there.
    """
    if _classes(row).filter(state=CourseClass.State.OPEN).exists():
        raise CannotArrange(say("A class of it is open. Close it first, then remove it."))
    type(row).objects.filter(pk=row.pk, removed_at=None).update(removed_at=now)


def goes_with(row: Site | Course | CourseClass) -> dict[str, int]:
    """How much goes with something that is removed: numbers of points, courses, classes, people and
    readings.
    """
    classes = _classes(row)
    people = Person.objects.filter(course_class__in=classes)
    return {
        "points": row.points.count() if isinstance(row, Site) else 0,
        "courses": row.courses.kept().count() if isinstance(row, Site) else 0,
        "classes": 0 if isinstance(row, CourseClass) else classes.count(),
        "people": people.count(),
        "readings": Reading.objects.filter(course_class__in=classes).count(),
    }


def _classes(row: Site | Course | CourseClass) -> QuerySet[CourseClass]:
    """The classes that hang on something, itself among them."""
    lookup = {Site: "course__site", Course: "course", CourseClass: "pk"}[type(row)]
    return CourseClass.objects.kept().filter(**{lookup: row.pk})


@transaction.atomic
def put_back(*, row: Row) -> None:
    """Take something out of the bin. Raises CannotArrange where another of its name is there by
    now.
    """
    try:
        with transaction.atomic():
            type(row).objects.filter(pk=row.pk).update(removed_at=None)
    except IntegrityError as error:
        raise CannotArrange(
            say("There is another “{name}” by now. Rename that one first.", name=row.name)
        ) from error


def empty_bins(*, now: datetime) -> None:
    """Let go for good what has lain in anybody's bin for BIN_DAYS, whether they look into it or
    not.
    """
    owners = {
        *Site.objects.exclude(removed_at=None).values_list("owner", flat=True),
        *Course.objects.exclude(removed_at=None).values_list("site__owner", flat=True),
        *CourseClass.objects.exclude(removed_at=None).values_list("owner", flat=True),
    }
    for owner in get_user_model().objects.filter(pk__in=owners):
        empty_bin(owner=owner, now=now)


@transaction.atomic
def empty_bin(*, owner: AbstractUser, now: datetime) -> None:
    """Let go for good what has lain in an instructor's bin for BIN_DAYS."""
    old = {"removed_at__lt": now - timedelta(days=BIN_DAYS)}
    for course_class in CourseClass.objects.filter(owner=owner, **old):
        course_class.delete()
    for course in Course.objects.filter(site__owner=owner, **old):
        if not CourseClass.objects.filter(course=course).exclude(owner=owner).exists():
            CourseClass.objects.filter(course=course).delete()
            course.delete()
    for site in Site.objects.filter(owner=owner, **old):
        if CourseClass.objects.filter(course__site=site).exclude(owner=owner).exists():
            continue  # somebody else's class hangs on it: it stays where it cannot be seen
        CourseClass.objects.filter(course__site=site).delete()
        Course.objects.filter(site=site).delete()
        site.delete()
