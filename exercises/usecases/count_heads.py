"""Count heads: begin a count, tick names, see who is missing and when they were last heard of."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from .. import kit_queries
from ..domain.running import headcount as domain
from ..models import CourseClass, Headcount, HeadcountMark, Person, Reading
from . import trail
from .clocks import by_our_clock

TOGETHER = timedelta(minutes=5)  # within which two who begin a count count together


def compasses_held(course_class: CourseClass) -> dict[int, list[str]]:
    """The numbers of the compasses that each person has, by the person's key, in one query; in
    none where no kit goes out.
    """
    held: dict[int, list[str]] = {}
    if course_class.kit_id is None:
        return held
    for issue in kit_queries.compasses_out(course_class):
        if issue.person:
            held.setdefault(issue.person.same_as_id or issue.person.pk, []).append(
                issue.compass.number
            )
    return held


@dataclass(frozen=True)
class LastHeard:
    """When somebody's last reading was made, and of which task."""

    at: datetime
    task: str


def begin(*, course_class: CourseClass, occasion: str, by: trail.By, now: datetime) -> Headcount:
    """Begin a count; one of the same occasion that was begun in the last minutes is gone on with,
    so that two who press at once count together.
    """
    with transaction.atomic():
        CourseClass.objects.select_for_update().get(pk=course_class.pk)
        latest = course_class.headcounts.first()
        if (
            latest
            and latest.occasion == occasion
            and timedelta(0) <= now - latest.begun_at <= TOGETHER
        ):
            return latest
        return Headcount.objects.create(
            course_class=course_class, occasion=occasion, begun_at=now, begun_by=by.name
        )


def take_marks(
    *, headcount: Headcount, sent: Iterable[Any], clock: Any, by: trail.By, now: datetime
) -> list[str]:
    """Keep marks as a counter's phone sends them: dicts of id (a UUID made there), person, here,
    marked_at by its clock, which shows `clock` as it sends them: by how much that differs from ours
    every moment is put right. Returns the ids that are kept now, those of marks sent again among
    them; one that names nobody of the class is not, and neither is one without an id.
    """
    known = set(headcount.course_class.people.values_list("pk", flat=True))
    kept = []
    for item in sent:
        mark = _mark(headcount, item, known, by, now, clock)
        if mark is None:
            continue
        HeadcountMark.objects.bulk_create([mark], ignore_conflicts=True)
        kept.append(str(mark.client_id))
    return kept


def _mark(
    headcount: Headcount,
    item: Any,
    known: set[int],
    by: trail.By,
    now: datetime,
    clock: Any,
) -> HeadcountMark | None:
    """One mark to keep, or None of what is none; `clock` is what the counter's shows."""
    if not isinstance(item, dict) or type(item.get("person")) is not int:
        return None
    if item["person"] not in known:
        return None
    try:
        client_id = uuid.UUID(str(item.get("id")))
    except ValueError:
        return None
    return HeadcountMark(
        headcount=headcount,
        person_id=item["person"],
        client_id=client_id,
        is_here=item.get("here") is True,
        by=by.name,
        marked_at=by_our_clock(item.get("marked_at"), clock, now),
        received_at=now,
    )


def count(headcount: Headcount) -> list[tuple[Person, domain.Counted]]:
    """The people who are expected, each with the last word on them, in two queries."""
    people = {
        str(person.pk): person
        for person in headcount.course_class.people.expected().select_related("group")
    }
    marks = [mark.as_domain() for mark in headcount.marks.all()]
    return [(people[entry.person], entry) for entry in domain.counted(list(people), marks)]


def last_heard(course_class: CourseClass) -> dict[int, LastHeard]:
    """When and where each person was last heard of, by the key of the person, in one query."""
    rows: QuerySet[Reading] = course_class.readings.select_related("person__same_as").order_by(
        "received_at", "pk"
    )
    return {row.whose.pk: LastHeard(row.moment, row.task) for row in rows}
