"""Let the names of a class go, on its day or by hand; what was measured stays, as nobody's.

What holds names, table by table, and what becomes of it:

- people: the name becomes a number; personal code, joining token and phones go, and by
  which phone and address they joined
- groups: often named after somebody; they become numbers
- compasses, and the copies on readings: a number that is somebody's name becomes another number
- readings that could not be read, paper that was typed: a name in them becomes a dash
- helpers without an account: the name becomes a number, their phones speak no longer; invitations
  that still hold are withdrawn
- who counted heads, ticked names and lines of the list: nothing
- rotation, notes, what was seen to, the kit's log: `purge_running.py`
- the list's own lines, reasons of corrections, the trail: a name in them becomes a dash; accounts
  stay, for these are not names of the class

The class's own name stays, and the site's cautions: whoever runs the class typed them.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Q

from ..domain.words import say
from ..models import (
    CheckItem,
    CourseClass,
    Headcount,
    HeadcountMark,
    PaperEntry,
    Person,
    Phone,
    Reading,
    Results,
    TrailEntry,
)
from ..models.course_class import name_key
from . import purge_running, trail
from .clocks import not_before
from .debrief import debrief
from .without_names import NOBODY, parts, without_names

OPEN_LASTS = timedelta(days=2)  # of a class still open after its day: somebody may be out there
NAMING = ("merged", "unmerged", "ended")  # acts whose trail says a name outright


class CannotPurge(ValueError):
    """Names that cannot go now. The message says why and what to do."""


def purge_due(*, now: datetime) -> int:
    """Let the names of all classes go whose day is over; returns how many classes. A class that is
    still open keeps its names for OPEN_LASTS more.
    """
    due = CourseClass.objects.filter(
        names_purged_at=None, names_until__lte=now.date() + timedelta(days=1)
    )
    number = 0
    for course_class in due:
        today = now.astimezone(ZoneInfo(course_class.time_zone)).date()
        grace = OPEN_LASTS if course_class.is_open else timedelta(0)
        if course_class.names_until + grace < today:
            _purge(course_class, trail.Named(NOBODY), now)
            number += 1
    return number


def purge_by_hand(*, course_class: CourseClass, by: trail.By, now: datetime) -> None:
    """Let the names of a class go now. Twice changes nothing. Raises CannotPurge while it is
    open.
    """
    if course_class.is_open:
        raise CannotPurge(
            say("The class is open: names are needed while people are out. Close it first.")
        )
    _purge(course_class, by, now)


def _purge(course_class: CourseClass, by: trail.By, now: datetime) -> None:
    """All of it at once; then what was found is counted again where a compass was renamed."""
    with transaction.atomic():
        row = CourseClass.objects.select_for_update().get(pk=course_class.pk)
        if row.names_purged_at:
            return
        is_renamed = let_go(row, now)
        trail.note(course_class=row, by=by, now=now, verb="names_purged")
        had_results = is_renamed and Results.objects.filter(course_class=row).delete()[0]
    if had_results:
        debrief(course_class=row, now=now)


def let_go(row: CourseClass, now: datetime) -> bool:
    """Let the names of a class go within the transaction of the caller, whatever its state. Returns
    whether a compass was renamed: what was found is to be counted again then.
    """
    row.names_purged_at = now  # first: what is not to change may from here on lose its names
    row.save(update_fields=["names_purged_at"])
    names = _names(row)
    _number_people(row)
    groups = _number_groups(row)
    is_renamed = _rename_compasses(row, names)
    _clear_readings(row, names)
    _end_helpers(row, now)
    _clear_counts(row)
    _clear_texts(row, names)
    purge_running.clear(row, names=names, groups=groups)
    return is_renamed


def _names(course_class: CourseClass) -> list[str]:
    """Every name that the class knows, the longest first: of people, of helpers without an account,
    and of people who are no more but stand in the trail.
    """
    names = {*course_class.people.values_list("name", flat=True)}
    names |= {*course_class.staff.filter(user=None).values_list("name", flat=True)}
    for entry in course_class.trail.filter(verb__in=NAMING):
        names |= {plain["name"] for plain in (entry.before, entry.after) if "name" in plain}
    told = {name for name in names if name and not name.startswith(NOBODY)}
    return sorted(told, key=lambda name: (-len(name), name))


def _number_people(course_class: CourseClass) -> None:
    """Each person is a number from now on, in the order in which they came, and has a code that
    cannot be typed.
    """
    people = list(course_class.people.order_by("pk"))
    Phone.objects.filter(person__in=people).delete()
    for person in people:  # out of the way first: names are unique in a class
        person.name = person.name_key = f"{NOBODY}{person.pk}"
    Person.objects.bulk_update(people, ["name", "name_key"])
    wide = len(str(len(people)))
    for place, person in enumerate(people, start=1):
        person.name = f"#{place:0{wide}d}"
        person.name_key = name_key(person.name)
        person.join_token, person.wish = None, ""
        person.joined_on = person.joined_from = ""
        person.personal_code = f"x{place:05d}"  # small: what is typed is made capitals first
    changed = [
        "name",
        "name_key",
        "personal_code",
        "join_token",
        "wish",
        "joined_on",
        "joined_from",
    ]
    Person.objects.bulk_update(people, changed)


def _number_groups(course_class: CourseClass) -> dict[str, str]:
    """Groups are numbers; those that are one already keep it. Returns the new names by the old."""
    renamed = {}
    groups = list(course_class.groups.order_by("pk"))
    taken = {group.name for group in groups if group.name.isdecimal()}
    free = (str(number) for number in range(1, 1000) if str(number) not in taken)
    for group in groups:
        if group.name not in taken:
            old, group.name = group.name, next(free)
            renamed[old] = group.name
            group.save(update_fields=["name"])
    return renamed


def _rename_compasses(course_class: CourseClass, names: Iterable[str]) -> bool:
    """Compasses that bear somebody's name get a number, on their readings as well. Returns whether
    there was one.
    """
    named = {name_key(word) for word in parts(names)}
    numbers = {
        *course_class.compasses.values_list("number", flat=True),
        *course_class.readings.values_list("compass_number", flat=True),
    } - {""}
    free = (f"N{number}" for number in range(1, 10000) if f"N{number}" not in numbers)
    renamed = False
    for number in sorted(numbers):
        if not number.isdecimal() and name_key(number) in named:
            fresh, renamed = next(free), True
            course_class.compasses.filter(number=number).update(number=fresh)
            course_class.readings.filter(compass_number=number).update(compass_number=fresh)
    return renamed


def _clear_readings(course_class: CourseClass, names: Iterable[str]) -> None:
    """Names in what could not be read as an answer, and in paper that was typed."""
    unread: Any = Reading.objects.filter(course_class=course_class).exclude(problem="")
    typed: Any = PaperEntry.objects.filter(course_class=course_class)
    for rows in (unread, typed):
        for pk, text in rows.values_list("pk", "text"):
            cleared = without_names(text, names)
            if cleared != text:
                rows.filter(pk=pk).update(text=cleared)


def _end_helpers(course_class: CourseClass, now: datetime) -> None:
    """Helpers without an account are numbers, and their phones speak no longer; nobody becomes one
    any more.
    """
    helpers = course_class.staff.filter(user=None).order_by("pk")
    helpers.filter(ended_at=None).update(ended_at=not_before("since", now))
    for place, pk in enumerate(helpers.values_list("pk", flat=True), start=1):
        course_class.staff.filter(pk=pk).update(name=f"#{place}", secret_digest=NOBODY)
    invitations = course_class.invitations.filter(withdrawn_at=None)
    invitations.update(withdrawn_at=not_before("made_at", now))


def _clear_counts(course_class: CourseClass) -> None:
    """Who counted and who ticked."""
    Headcount.objects.filter(course_class=course_class).update(begun_by="")
    HeadcountMark.objects.filter(headcount__course_class=course_class).update(by="")
    CheckItem.objects.filter(course_class=course_class).update(done_by="")


def _clear_texts(course_class: CourseClass, names: list[str]) -> None:
    """Names in what people typed, and in the trail."""
    for item in course_class.checks.all():
        item.words = without_names(item.words, names)
        item.save(update_fields=["words"])
    for key in course_class.keys.all():
        key.reason = without_names(key.reason, names)
        key.save(update_fields=["reason"])
    TrailEntry.objects.filter(course_class=course_class, by=None).update(by_name=NOBODY)
    for entry in course_class.trail.exclude(Q(before={}, after={})).exclude(verb="settings"):
        is_naming = entry.verb in NAMING
        entry.before = _cleared(entry.before, names, is_naming)
        entry.after = _cleared(entry.after, names, is_naming)
        entry.save(update_fields=["before", "after"])


def _cleared(plain: dict[str, Any], names: list[str], is_naming: bool) -> dict[str, Any]:
    """Values of an act without names."""
    return {
        field: NOBODY
        if is_naming and field == "name"
        else without_names(value, names)
        if isinstance(value, str)
        else value
        for field, value in plain.items()
    }
