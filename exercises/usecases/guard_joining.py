"""Who may join a class, and how many: what its instructor allows, what one phone may add and one
address in a while.

Nothing here knows who somebody is. A browser whose cookies were cleared is another phone, and a
phone with its own connection another address: so the instructor sees what came by which
(`arrival_signs.py`), and may let nobody else in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.utils.crypto import salted_hmac

from ..domain.words import Words, say, say_many
from ..models import CourseClass, Person
from ..models.course_class import name_key
from . import guard_door, trail
from .guard_door import Patience, Shut
from .keep_roster import MOST_PEOPLE

MOST_ADDED = 6  # names that stand on no list, by one phone: a group that shares it
# A whole class joins from one address within some minutes; two of them behind one are let in too.
JOINING = Patience(60, timedelta(seconds=10), timedelta(minutes=5), timedelta(minutes=10))
DIGITS = 12  # of a digest, as it is kept


class CannotJoin(ValueError):
    """Somebody who is not let in. The message says why and what to do."""


@dataclass(frozen=True)
class Whence:
    """By which phone and from which address somebody comes, as digests that mean nothing in another
    class.
    """

    phone: str
    address: str


def whence(*, course_class: CourseClass, phone: str, address: str) -> Whence:
    """The digests of a phone's own number and of an address."""

    def kept(text: str) -> str:
        return salted_hmac("navclass.whence", f"{course_class.pk} {text}").hexdigest()[:DIGITS]

    return Whence(kept(phone), kept(address))


@transaction.atomic
def set_joining(*, course_class: CourseClass, joining: str, by: trail.By, now: datetime) -> None:
    """Let anybody with the code join, names on the list alone, or nobody else; those who are in go
    on. Twice changes nothing.
    """
    row = CourseClass.objects.select_for_update().get(pk=course_class.pk)
    if row.joining == joining:
        return
    before, row.joining = row.joining, joining
    row.save(update_fields=["joining"])
    trail.note(
        course_class=row,
        by=by,
        now=now,
        verb="joining",
        before={"joining": before},
        after={"joining": joining},
    )


def must_be_let_in(
    *,
    course_class: CourseClass,
    names: Sequence[str],
    token: UUID | None,
    whence: Whence,
    now: datetime,
) -> None:
    """Count people who come in, within the transaction that lets them in. Who sends the same
    joining page again is in already. Raises CannotJoin.
    """
    there = {
        person.name_key: person
        for person in course_class.people.filter(name_key__in=[name_key(name) for name in names])
    }
    coming = [name for name in names if not _came_before(there.get(name_key(name)), token)]
    unlisted = [name for name in coming if not _is_awaited(there.get(name_key(name)))]
    if course_class.joining == CourseClass.Joining.SHUT and coming:
        raise CannotJoin(
            say("Nobody else may join this class now. Is that a mistake? Ask your instructor.")
        )
    if course_class.joining == CourseClass.Joining.LISTED and unlisted:
        raise CannotJoin(
            say(
                "{name} is not on your instructor's list, and only names on it may join now. Type "
                "your name as it stands there, or ask your instructor.",
                name=unlisted[0],
            )
        )
    added = course_class.people.filter(joined_on=whence.phone, was_listed=False).count()
    if unlisted and added + len(unlisted) > MOST_ADDED:
        raise CannotJoin(
            say(
                "A phone can add {number} people. Ask your instructor to put the others on the "
                "list: then they can join on this phone too.",
                number=MOST_ADDED,
            )
        )
    new = [name for name in unlisted if name_key(name) not in there]
    if new and course_class.people.count() + len(new) > MOST_PEOPLE:
        raise CannotJoin(say("A class holds {most} people.", most=MOST_PEOPLE))
    _count(course_class, whence, len(coming), now)


def _came_before(person: Person | None, token: UUID | None) -> bool:
    return person is not None and token is not None and person.join_token == token


def _is_awaited(person: Person | None) -> bool:
    """Whether somebody stands on the list and has not joined."""
    return person is not None and not (person.joined_at or person.same_as_id or person.taken_out_at)


def _count(course_class: CourseClass, whence: Whence, number: int, now: datetime) -> None:
    """Count who comes from an address. Raises CannotJoin where that is too fast."""
    if not number:
        return
    door = f"joining {course_class.pk} from {whence.address}"
    try:
        guard_door.knock(door=door, patience=JOINING, now=now, tries=number)
    except Shut as shut:
        raise CannotJoin(_slower(shut.seconds)) from shut


def _slower(seconds: int) -> Words:
    return say_many(
        "Many people joined from here within a few minutes. Wait {number} second, then press "
        "“Join” again.",
        "Many people joined from here within a few minutes. Wait {number} seconds, then press "
        "“Join” again.",
        seconds,
    )
