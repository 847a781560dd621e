"""Who was in a class, in a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from ..domain.running.attendance import Attended, Count, attended
from ..domain.running.headcount import Mark
from ..models import CourseClass, Headcount, HeadcountMark, Person, Reading


@dataclass(frozen=True)
class Attendance:
    """The counts of a class, oldest first, and its people by name, each with their attendance."""

    counts: tuple[Headcount, ...]
    people: tuple[tuple[Person, Attended], ...]

    @property
    def heads(self) -> int:
        """How many were there."""
        return sum(found.was_there for _, found in self.people)


def attendance(course_class: CourseClass) -> Attendance:
    """Who stands on the list of a class, with second names counted as who they are. Those who were
    taken out were there as nobody, and are counted among the people without a name.
    """
    headcounts = tuple(course_class.headcounts.order_by("begun_at", "pk"))
    people = list(course_class.people.select_related("group").order_by("name", "pk"))
    first = {person.pk: person.same_as_id or person.pk for person in people}
    moments = _moments(course_class)
    counts = [Count(count.begun_at, _marks(count, first)) for count in _with_marks(headcounts)]
    return Attendance(
        headcounts,
        tuple(
            (
                person,
                attended(
                    str(person.pk),
                    min(_joined(person, people), default=None),
                    person.left_at,
                    moments.get(person.pk, []),
                    counts,
                ),
            )
            for person in people
            if person.same_as_id is None
        ),
    )


def _joined(person: Person, people: Iterable[Person]) -> list[datetime]:
    """When somebody joined, under whatever name."""
    own = [one for one in people if person.pk in (one.pk, one.same_as_id)]
    return [one.joined_at for one in own if one.joined_at]


def _moments(course_class: CourseClass) -> dict[int, list[datetime]]:
    """When each person's readings were made."""
    moments: dict[int, list[datetime]] = {}
    rows: Iterable[Reading] = course_class.readings.select_related("person__same_as")
    for row in rows:
        moments.setdefault(row.whose.pk, []).append(row.moment)
    return moments


def _with_marks(headcounts: Iterable[Headcount]) -> list[Headcount]:
    """Counts with their marks, in one query more."""
    rows = Headcount.objects.filter(pk__in=[count.pk for count in headcounts])
    return list(rows.prefetch_related("marks").order_by("begun_at", "pk"))


def _marks(count: Headcount, first: dict[int, int]) -> list[Mark]:
    """The marks of a count; one of a second name is of who they are."""
    rows: Iterable[HeadcountMark] = count.marks.all()
    made = []
    for mark in rows:
        mark.person_id = first.get(mark.person_id, mark.person_id)
        made.append(mark.as_domain())
    return made
