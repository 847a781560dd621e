"""Watch a class while it is out: its first signs, who was heard of when; see to a sign, note
something.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.core.cache import cache
from django.db import transaction

from .. import queries
from ..domain.running.first_signs import Sign, first_signs, is_key
from ..domain.running.whereabouts import Given
from ..domain.tasks.kinds import kind_of
from ..models import CourseClass, FieldNote, Person, Phone, SeenTo
from . import trail
from .clocks import by_our_clock
from .debrief import Debriefed, debrief

SIGNS_EVERY_S = 20  # a class that comes in is counted anew no more often
LONGEST_SIGN, LONGEST_NOTE, LONGEST_STATION = 60, 500, 4
HEARD_EVERY = timedelta(minutes=1)  # how exactly it is kept when a phone was heard of
MOST_UNSENT = 9999


@dataclass(frozen=True)
class SignNow:
    """A first sign, who saw to it last and when, and how many readings show it that were made
    since.
    """

    sign: Sign
    seen_to: SeenTo | None
    showing_since: int


@dataclass(frozen=True)
class Watched:
    """A class while it is out: the codes of its stations in the order of its key, all that was
    given there, its people by their key as text, when their phones were last heard of and how many
    readings they said they hold, and its first signs.
    """

    course_class: CourseClass
    points: Mapping[str, Mapping[str, Any]]
    stations: Sequence[str]
    given: Sequence[Given]
    people: Mapping[str, Person]
    phones: Mapping[str, tuple[datetime, int]]
    signs: Sequence[SignNow]


def watch(*, course_class: CourseClass, now: datetime) -> Watched:
    """What there is to be seen of a class."""
    key = queries.current_key(course_class)
    points = key.points if key else {}
    codes = {a.task: kind_of(a.kind).marks(a)[0] for a in (key.counted() if key else ())}
    station_of = {task: code for task, code in codes.items() if code in points}
    return Watched(
        course_class,
        points,
        list(dict.fromkeys(station_of.values())),
        _given(course_class, station_of),
        {str(person.pk): person for person in course_class.people.expected()},
        _phones(course_class),
        signs_now(course_class=course_class, now=now),
    )


def _given(course_class: CourseClass, station_of: Mapping[str, str]) -> list[Given]:
    """Every reading of a class at a station, in one query."""
    rows = course_class.readings.select_related("person__same_as").order_by("received_at", "pk")
    return [
        Given(str(row.whose.pk), station_of[row.task], row.moment)
        for row in rows
        if row.task in station_of
    ]


def _phones(course_class: CourseClass) -> dict[str, tuple[datetime, int]]:
    """When phones were last heard of, and how many readings they said they hold, in one query."""
    rows = (
        Phone.objects.filter(person__course_class=course_class, heard_at__isnull=False)
        .order_by("heard_at")
        .values_list("person", "person__same_as", "heard_at", "unsent")
    )
    return {str(same_as or person): (at, unsent) for person, same_as, at, unsent in rows}


def signs_now(*, course_class: CourseClass, now: datetime) -> list[SignNow]:
    """The first signs of a class, at most so old as SIGNS_EVERY_S says. While one process counts,
    those who ask meanwhile are told what was found before.
    """
    seen = seen_to(course_class)
    stamp = [row.pk for row in seen], course_class.state, int(now.timestamp()) // SIGNS_EVERY_S
    name = f"first_signs_{course_class.pk}"
    held = cache.get(name)
    if held and (held[0] == stamp or not cache.add(f"{name}_counting", 1, 60)):
        return held[1]
    try:
        found = _found(debrief(course_class=course_class, now=now), seen)
        cache.set(name, (stamp, found), 24 * 3600)
    finally:
        cache.delete(f"{name}_counting")
    return found


def seen_to(course_class: CourseClass) -> list[SeenTo]:
    """What somebody saw to, in order of time."""
    return list(course_class.seen_to.filter(taken_back_at=None))


def _found(whole: Debriefed, seen: Sequence[SeenTo]) -> list[SignNow]:
    """The signs of a class that was counted."""
    last = {row.sign: row for row in seen}
    return [
        SignNow(sign, row, _since(whole, sign, row) if row else 0)
        for sign in first_signs(whole.judged, whole.diagnosis)
        for row in [last.get(sign.key)]
    ]


def _since(whole: Debriefed, sign: Sign, row: SeenTo) -> int:
    """How many readings show a sign that were made after somebody saw to it."""
    moments = (whole.judged[place].reading.moment for place in sign.rests_on)
    return sum(moment is not None and moment > row.at for moment in moments)


def take_acts(
    *, course_class: CourseClass, sent: Iterable[Any], clock: Any, by: trail.By, now: datetime
) -> list[str]:
    """Keep what somebody did on a phone: dicts of id (a UUID made there), do ("see_to", "take_back"
    or "note"), what that is about, and `at` by its clock, which shows `clock` as it sends them.
    Returns the ids that are kept now, those of acts sent again among them.
    """
    kept = []
    for item in sent:
        act = ACTS.get(str(item.get("do"))) if isinstance(item, dict) else None
        client_id = _uuid(item) if act else None
        if act is None or client_id is None:
            continue
        at = by_our_clock(item.get("at"), clock, now)
        with transaction.atomic():
            if act(course_class, client_id, item, at, by, now):
                kept.append(str(client_id))
    return kept


def _uuid(item: Mapping[str, Any]) -> uuid.UUID | None:
    try:
        return uuid.UUID(str(item.get("id")))
    except ValueError:
        return None


def _text(item: Mapping[str, Any], name: str, longest: int) -> str:
    """A text of an act, "" where it is none or too long."""
    text = item.get(name)
    text = " ".join(text.replace("\0", "").split()) if isinstance(text, str) else ""
    return text if len(text) <= longest else ""


def _see_to(
    course_class: CourseClass,
    client_id: uuid.UUID,
    item: Mapping[str, Any],
    at: datetime,
    by: trail.By,
    now: datetime,
) -> bool:
    """Note that somebody saw to a sign: it may be when things changed."""
    sign = _text(item, "sign", LONGEST_SIGN)
    if not is_key(sign):
        return False
    row, is_new = SeenTo.objects.get_or_create(
        course_class=course_class,
        client_id=client_id,
        defaults={"sign": sign, "at": at, "by": by.name, "received_at": now},
    )
    if is_new:
        trail.note(course_class=course_class, by=by, now=now, verb="saw_to", after={"sign": sign})
    return row.sign == sign


def _take_back(
    course_class: CourseClass,
    client_id: uuid.UUID,
    item: Mapping[str, Any],
    at: datetime,
    by: trail.By,
    now: datetime,
) -> bool:
    """Say that nobody saw to a sign after all."""
    sign = _text(item, "sign", LONGEST_SIGN)
    rows = course_class.seen_to.filter(sign=sign, taken_back_at=None, at__lte=at)
    if rows.update(taken_back_at=now):
        trail.note(course_class=course_class, by=by, now=now, verb="unsaw", before={"sign": sign})
    return is_key(sign)


def _note(
    course_class: CourseClass,
    client_id: uuid.UUID,
    item: Mapping[str, Any],
    at: datetime,
    by: trail.By,
    now: datetime,
) -> bool:
    """Keep a note."""
    words = _text(item, "words", LONGEST_NOTE)
    if not words:
        return False
    FieldNote.objects.get_or_create(
        course_class=course_class,
        client_id=client_id,
        defaults={
            "station": _text(item, "station", LONGEST_STATION),
            "words": words,
            "at": at,
            "by": by.name,
            "received_at": now,
        },
    )
    return True


ACTS = {"see_to": _see_to, "take_back": _take_back, "note": _note}


def hear_phone(*, people: Sequence[Person], unsent: int, now: datetime) -> None:
    """Note that the phone of some people was heard of, and how many readings it says it still
    holds; written where that tells something new.
    """
    phones = Phone.objects.filter(person__in=people)
    unsent = min(max(unsent, 0), MOST_UNSENT)
    stale = phones.exclude(heard_at__gt=now - HEARD_EVERY, unsent=unsent)
    if stale.exists():  # a read locks nothing, and mostly there is nothing to write
        stale.update(heard_at=now, unsent=unsent)
