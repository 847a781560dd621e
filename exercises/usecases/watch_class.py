"""Watch a class while it is out: see to a sign, note something."""

from __future__ import annotations

import uuid
from datetime import datetime

from ..models import CourseClass, FieldNote, SeenTo
from . import trail


def see_to(*, course_class: CourseClass, sign: str, by: trail.By, now: datetime) -> None:
    """Note that somebody saw to a sign. The first time holds: it may be when things changed."""
    SeenTo.objects.get_or_create(
        course_class=course_class, sign=sign, defaults={"at": now, "by": by.name}
    )


def not_seen_to(*, course_class: CourseClass, sign: str) -> None:
    """Take that back."""
    SeenTo.objects.filter(course_class=course_class, sign=sign).delete()


def note(
    *,
    course_class: CourseClass,
    client_id: uuid.UUID,
    station: str,
    words: str,
    by: trail.By,
    now: datetime,
) -> None:
    """Keep a note. Sent twice it is stored once."""
    FieldNote.objects.get_or_create(
        course_class=course_class,
        client_id=client_id,
        defaults={"station": station, "words": words, "at": now, "by": by.name},
    )
