"""Who is in a class: a roster, groups, late comers and early leavers, names that were one person,
and people who are taken out.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction

from ..domain.running import groups
from ..domain.words import say
from ..models import CourseClass, Group, Person, Phone
from ..models.course_class import name_key
from . import purge_running, trail
from .without_names import NOBODY

MOST_PEOPLE, MOST_GROUPS = 300, 40
LONGEST_NAME, LONGEST_GROUP = 30, 30


class CannotChange(ValueError):
    """A change of the roster that is not possible. The message says why and what to do."""


@dataclass(frozen=True)
class Row:
    """One line of a roster as it is pasted: a name and perhaps a group."""

    line: int
    name: str
    group: str = ""


@transaction.atomic
def take_roster(*, course_class: CourseClass, rows: Sequence[Row]) -> tuple[int, int]:
    """Put names on the list of a class, with their groups; all or none. Returns how many are new
    and how many were there already, who get the group. Raises CannotChange, naming the line.
    """
    _check_kept(CourseClass.objects.select_for_update().get(pk=course_class.pk))
    there = {person.name_key: person for person in course_class.people.all()}
    seen: dict[str, int] = {}
    new = 0
    for row in rows:
        key = name_key(row.name)
        _check(row, seen.get(key), there.get(key))
        seen[key] = row.line
        person = there.get(key)
        if person is None:
            person, new = Person(course_class=course_class, name=row.name), new + 1
        person.was_listed = True
        if row.group:
            person.group = _group(course_class, row.group)
        person.save()
    if course_class.people.count() > MOST_PEOPLE:
        raise CannotChange(say("A class holds {most} people.", most=MOST_PEOPLE))
    return new, len(rows) - new


def _check_kept(course_class: CourseClass) -> None:
    """Raises CannotChange where the names of a class are gone: new ones would have been promised
    a day that is over.
    """
    if course_class.names_purged_at:
        raise CannotChange(say("The names of this class are deleted. Make a new class."))


def _check(row: Row, earlier: int | None, person: Person | None) -> None:
    """Raises CannotChange for a line that cannot be taken."""
    if len(row.name) > LONGEST_NAME or len(row.group) > LONGEST_GROUP:
        raise CannotChange(
            say(
                "Line {line}: a name has at most {most} letters. Shorten it.",
                line=row.line,
                most=LONGEST_NAME,
            )
        )
    if earlier is not None:
        raise CannotChange(
            say(
                "Lines {first} and {line} name {name} twice. Add a letter to one of them.",
                first=earlier,
                line=row.line,
                name=row.name,
            )
        )
    if person and (person.same_as_id or person.taken_out_at):
        raise CannotChange(
            say(
                "Line {line}: {name} is a name that was merged or taken out. Put it back first, or "
                "add a letter.",
                line=row.line,
                name=row.name,
            )
        )


def _group(course_class: CourseClass, name: str) -> Group:
    """The group of a name, made where there is none."""
    group, _ = Group.objects.get_or_create(course_class=course_class, name=name)
    return group


@transaction.atomic
def shuffle(*, course_class: CourseClass, number: int, rng: random.Random) -> None:
    """Divide those who are expected into so many groups by chance, named 1, 2, 3; groups that
    there were are no more. Raises CannotChange for none to divide.
    """
    CourseClass.objects.select_for_update().get(pk=course_class.pk)
    people = {str(person.pk): person for person in course_class.people.expected()}
    if not people or not 1 <= number <= MOST_GROUPS:
        raise CannotChange(
            say("There is nobody to divide yet. Put names on the list, or let them join.")
            if not people
            else say("Give a number of groups from 1 to {most}.", most=MOST_GROUPS)
        )
    course_class.groups.all().delete()
    for place, members in enumerate(groups.shuffled(sorted(people), number, rng), start=1):
        group = _group(course_class, str(place))
        course_class.people.filter(pk__in=members).update(group=group)


@transaction.atomic
def change_person(*, person: Person, name: str, group: str) -> None:
    """Correct a name and a group; an empty group is none. Raises CannotChange for a name that
    somebody else has, and where the names of the class are gone.
    """
    _check_kept(person.course_class)
    person.name = name
    person.group = _group(person.course_class, group) if group else None
    try:
        with transaction.atomic():
            person.save()
    except IntegrityError as error:
        raise CannotChange(
            say(
                "Somebody else in this class is called {name}. Add a letter, or merge the two.",
                name=name,
            )
        ) from error
    _drop_empty_groups(person.course_class)


def _drop_empty_groups(course_class: CourseClass) -> None:
    """Groups without anybody are none, unless they stand for a phone or paper that waits."""
    course_class.groups.filter(people=None).delete()


def note_leaving(*, person: Person, now: datetime) -> None:
    """Somebody went home early: they are not counted any more, their readings are."""
    Person.objects.filter(pk=person.pk, left_at=None).update(left_at=now)


def note_return(*, person: Person) -> None:
    """Somebody is there after all."""
    Person.objects.filter(pk=person.pk).update(left_at=None)


@transaction.atomic
def merge(*, second: Person, first: Person, by: trail.By, now: datetime) -> None:
    """Let one name be a second name of another's: readings and phones of both are one person's.
    Readings stay as they are, so that it can be undone. Raises CannotChange for two of which one
    is a second name already.
    """
    people = Person.objects.select_for_update().filter(course_class=first.course_class)
    one, other = people.get(pk=first.pk), people.get(pk=second.pk)
    if one.pk == other.pk or one.same_as_id or other.same_as_id or other.second_names.exists():
        raise CannotChange(
            say("These two cannot be merged: one of them was merged before. Undo that first.")
        )
    Person.objects.filter(pk=other.pk).update(same_as=one)
    trail.note(
        course_class=first.course_class,
        by=by,
        now=now,
        verb="merged",
        before={"name": other.name},
        after={"name": one.name},
    )


@transaction.atomic
def unmerge(*, second: Person, by: trail.By, now: datetime) -> None:
    """Let a second name be a person again. Twice changes nothing."""
    first = second.same_as
    if first and Person.objects.filter(pk=second.pk, same_as=first).update(same_as=None):
        trail.note(
            course_class=second.course_class,
            by=by,
            now=now,
            verb="unmerged",
            before={"name": first.name},
            after={"name": second.name},
        )


@transaction.atomic
def take_out(*, person: Person, by: trail.By, now: datetime) -> None:
    """Take somebody out, with their readings kept as nobody's: the name goes for good, their phones
    speak for them no longer, the statistics stay.
    """
    _nameless(person, now)
    trail.note(course_class=person.course_class, by=by, now=now, verb="taken_out")


@transaction.atomic
def purge(*, person: Person, by: trail.By, now: datetime) -> None:
    """Take somebody out with all that they gave: name, phones and readings go for good."""
    _gone(person, now)
    trail.note(course_class=person.course_class, by=by, now=now, verb="purged")


@transaction.atomic
def let_name_go(*, person: Person, now: datetime) -> None:
    """As `take_out`, by the person's own wish."""
    _nameless(person, now)
    nobody = trail.Named(NOBODY)
    trail.note(course_class=person.course_class, by=nobody, now=now, verb="wished_out")


@transaction.atomic
def let_all_go(*, person: Person, now: datetime) -> None:
    """As `purge`, by the person's own wish."""
    _gone(person, now)
    nobody = trail.Named(NOBODY)
    trail.note(course_class=person.course_class, by=nobody, now=now, verb="wished_gone")


def _nameless(person: Person, now: datetime) -> None:
    """Somebody without a name, and without their second names."""
    everyone = [person, *person.second_names.all()]
    names = {one.name for one in everyone}
    trail.forget(course_class=person.course_class, names=names)
    for one in everyone:
        Phone.objects.filter(person=one).delete()
        one.name, one.taken_out_at, one.left_at, one.group = f"{NOBODY} {one.pk}", now, now, None
        one.wish = ""
        one.save()
    _drop_empty_groups(person.course_class)
    purge_running.forget(person.course_class, names=names)


def _gone(person: Person, now: datetime) -> None:
    """Nobody any more, and nothing of what they gave. They are taken out first: the database lets
    readings go with nobody else.
    """
    everyone = [person, *person.second_names.all()]
    Person.objects.filter(pk__in=[one.pk for one in everyone]).update(taken_out_at=now)
    names = {one.name for one in everyone}
    trail.forget(course_class=person.course_class, names=names)
    person.second_names.all().delete()
    person.delete()
    _drop_empty_groups(person.course_class)
    purge_running.forget(person.course_class, names=names)
