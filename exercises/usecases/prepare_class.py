"""Prepare a class: its list of what is done before going out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from ..models import CheckItem, CourseClass
from . import trail


@transaction.atomic
def set_lines(*, course_class: CourseClass, lines: Sequence[str]) -> None:
    """Give a class its list; what was ticked of lines that stay is still ticked."""
    CourseClass.objects.select_for_update().get(pk=course_class.pk)
    ticked = {item.words: item for item in course_class.checks.all()}
    course_class.checks.all().delete()
    CheckItem.objects.bulk_create(
        CheckItem(
            course_class=course_class,
            number=number,
            words=words,
            done_at=ticked[words].done_at if words in ticked else None,
            done_by=ticked[words].done_by if words in ticked else "",
        )
        for number, words in enumerate(lines, start=1)
    )


def tick(*, item: CheckItem, is_done: bool, by: trail.By, now: datetime) -> None:
    """Tick a line, or take the tick away, with who did it and when."""
    CheckItem.objects.filter(pk=item.pk).update(
        done_at=now if is_done else None, done_by=by.name if is_done else ""
    )
