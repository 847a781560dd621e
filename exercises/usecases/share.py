"""An instructor's own classes as nameless readings, to share."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from django.contrib.auth.models import AbstractUser

from ..exchange.nameless.table import HeldReading
from ..models import CourseClass
from .debrief import debrief


def nameless_classes(*, instructor: AbstractUser, now: datetime) -> Iterator[list[HeldReading]]:
    """The readings of each closed class, oldest first, with what was said of them afterwards."""
    closed = CourseClass.objects.kept().filter(owner=instructor, state=CourseClass.State.CLOSED)
    for course_class in closed.select_related("course__site").order_by("date", "pk"):
        labels = {
            label.reading_id: (label.cause, label.said_by) for label in course_class.labels.all()
        }
        replies = {
            reply.reading_id: (reply.question, reply.said) for reply in course_class.replies.all()
        }
        yield [
            HeldReading(
                judged,
                course_class.date.year,
                labels.get(judged.reading.key),
                replies.get(judged.reading.key),
            )
            for judged in debrief(course_class=course_class, now=now).judged
        ]
