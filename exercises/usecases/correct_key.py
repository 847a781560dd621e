"""Put a class's key right after it was opened: each correction is a new version with its reason,
and any older one can be taken back up.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.contrib.auth.models import AbstractUser
from django.db import transaction

from ..domain.tasks import corrections, key as domain
from ..domain.tasks.answer import Answer
from ..domain.words import say
from ..models import CourseClass, Key
from . import trail


class NotCorrected(ValueError):
    """A correction that cannot be made. The message says why and what to do."""


def station_corrected(*, key: Key, station: str, degrees: float, error_deg: float) -> Key:
    """The key, unsaved, with everything read at a station moved by some degrees."""
    if station not in {answer.station for answer in key.as_domain()}:
        raise NotCorrected(
            say(
                "The key has no task at station {station}. Choose one of the debrief's.",
                station=station[:8],
            )
        )
    answers = corrections.station_moved(key.as_domain(), station, degrees, error_deg)
    return _next(key, answers, key.dropped)


def line_corrected(*, key: Key, task: str, degrees: float, error_deg: float) -> Key:
    """The key, unsaved, with the target of one task moved by some degrees."""
    _check_task(key, task)
    answers = corrections.line_moved(key.as_domain(), task, degrees, error_deg)
    return _next(key, answers, key.dropped)


def task_dropped(*, key: Key, task: str) -> Key:
    """The key, unsaved, in which a task counts no more. Its readings are kept."""
    _check_task(key, task)
    if len(key.counted()) == 1:
        raise NotCorrected(
            say(
                "This is the last task that counts. Keep it, or leave the class out of your "
                "records."
            )
        )
    dropped = sorted({*key.dropped, task}, key=lambda label: (len(label), label))
    return _next(key, key.as_domain(), dropped)


def taken_back(*, key: Key, older: Key) -> Key:
    """The newest key, unsaved, with the answers of an older version."""
    return _next(key, older.as_domain(), older.dropped)


@transaction.atomic
def adopt(*, key: Key, by: AbstractUser, now: datetime, reason: str) -> Key:
    """Store a corrected key as the next version, with its reason. Raises NotCorrected when another
    came in between or no reason is given.
    """
    reason = reason.strip()
    if not 0 < len(reason) <= 200:
        raise NotCorrected(say("Give the reason in a few words: it stands with the new key."))
    CourseClass.objects.select_for_update().get(pk=key.course_class_id)
    latest = Key.objects.filter(course_class_id=key.course_class_id).order_by("-version").first()
    if latest.version != key.version - 1:
        raise NotCorrected(say("The key has been changed meanwhile. Look at the debrief again."))
    if (latest.as_domain(), latest.dropped) == (key.as_domain(), key.dropped):
        raise NotCorrected(say("This changes nothing in the key."))
    key.frozen_by, key.frozen_at, key.reason = by, now, reason
    key.save()
    trail.note(
        course_class=key.course_class,
        by=trail.Account(by),
        now=now,
        verb="corrected",
        before={"version": latest.version},
        after={"version": key.version, "reason": reason},
    )
    return key


def _check_task(key: Key, task: str) -> None:
    """Raises NotCorrected for a task that does not count."""
    if task not in {answer.task for answer in key.counted()}:
        raise NotCorrected(
            say(
                "Task {task} does not count in this key. Choose one of the debrief's.",
                task=task[:8],
            )
        )


def _next(key: Key, answers: Sequence[Answer], dropped: Sequence[str]) -> Key:
    """The next version of a key, unsaved."""
    return Key(
        course_class=key.course_class,
        version=key.version + 1,
        answers=domain.to_plain(answers),
        dropped=list(dropped),
        points=key.points,
        priors=key.priors,
        compasses=key.compasses,
    )
