"""Take a class from state to state, with who did it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from ..models import CourseClass
from ..models.codes import new_code
from . import open_class, own_wish, trail


@transaction.atomic
def change_state(*, course_class: CourseClass, verb: str, by: trail.By, now: datetime) -> None:
    """Open, close, reopen or release a class, and note who did it where that changed something;
    `by` has an account, which answers for the frozen key. Raises what opening raises.
    """
    before = _state(course_class)
    if verb == "open":
        open_class.open_class(course_class=course_class, by=by.user, now=now)
    elif verb == "close":
        open_class.close_class(course_class=course_class, now=now)
        own_wish.carry_out(course_class=course_class, now=now)
    elif verb == "reopen":
        open_class.reopen_class(course_class=course_class)
    else:
        open_class.release_feedback(course_class=course_class, now=now)
    course_class.refresh_from_db()
    after = _state(course_class)
    if after != before:
        trail.note(
            course_class=course_class,
            by=by,
            now=now,
            verb=DONE[verb],
            before=before,
            after=after,
        )


@transaction.atomic
def change_settings(
    *,
    course_class: CourseClass,
    wanted: Mapping[str, Any],
    has_new_code: bool,
    by: trail.By,
    now: datetime,
) -> None:
    """Change what of a class may change in its state, and note who did it, when, what it was and
    is. `wanted` holds values by the name of the field.
    """
    row = CourseClass.objects.select_for_update().get(pk=course_class.pk)
    before = _said(row, wanted)
    for name, value in wanted.items():
        setattr(row, name, value)
    after = _said(row, wanted)
    if has_new_code:
        before["code"] = row.code
        row.code = new_code()
        after["code"] = row.code
    if before == after:
        return
    row.save()
    trail.note(course_class=row, by=by, now=now, verb="settings", before=before, after=after)


def _said(row: CourseClass, names: Iterable[str]) -> dict[str, str]:
    """Values of a class as the trail keeps them; a dash for none."""
    values = {name: getattr(row, name) for name in names}
    return {name: "—" if value is None else str(value) for name, value in values.items()}


DONE = {"open": "opened", "close": "closed", "reopen": "reopened", "release": "released"}


def _state(course_class: CourseClass) -> dict[str, object]:
    """What of a class the verbs change."""
    return {"state": course_class.state, "released": course_class.released_at is not None}
