"""Take a class from state to state, with who did it."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from ..models import CourseClass
from . import open_class, trail


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


DONE = {"open": "opened", "close": "closed", "reopen": "reopened", "release": "released"}


def _state(course_class: CourseClass) -> dict[str, object]:
    """What of a class the verbs change."""
    return {"state": course_class.state, "released": course_class.released_at is not None}
