"""Choose the kit of a class, give its compasses out, and take them back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from ..domain.words import say
from ..models import Compass, CourseClass, Issue, Kit, KitCompass, Person
from . import trail


class CannotHandOut(ValueError):
    """A compass that cannot be given out. The message says why and what to do."""


@transaction.atomic
def choose_kit(*, course_class: CourseClass, kit: Kit | None, by: trail.By, now: datetime) -> None:
    """Say which kit goes out with a class. Raises CannotHandOut while compasses of another are
    out.
    """
    classes = CourseClass.objects.select_for_update(of=("self",)).select_related("kit")
    row = classes.get(pk=course_class.pk)
    if row.kit == kit:
        return
    if out := row.issues.filter(returned_at=None).count():
        raise CannotHandOut(
            say("Compasses of the other kit are out ({number}). Take them back first.", number=out)
        )
    before, row.kit = row.kit, kit
    row.save(update_fields=["kit"])
    trail.note(
        course_class=row,
        by=by,
        now=now,
        verb="kit",
        before={"name": before.name if before else ""},
        after={"name": kit.name if kit else ""},
    )


@transaction.atomic
def give_out(
    *,
    course_class: CourseClass,
    numbers: Sequence[str],
    person: Person | None,
    group_name: str,
    by: trail.By,
    now: datetime,
) -> None:
    """Give compasses to a person, or to a group by its name; all or none. Given again to the same,
    nothing changes. Raises CannotHandOut, naming the number and what to do.
    """
    kit = course_class.kit
    if kit is None:
        raise CannotHandOut(say("Choose first which kit goes out with this class."))
    rows = {
        row.number: row
        for row in KitCompass.objects.select_for_update().filter(kit=kit, number__in=numbers)
    }
    out = {
        issue.compass.number: issue
        for issue in Issue.objects.filter(
            compass__in=rows.values(), returned_at=None
        ).select_related("compass", "person", "course_class")
    }
    for number in numbers:
        _check(number, rows.get(number))
        issue = out.get(number)
        if issue and _is_theirs(issue, course_class, person, group_name):
            continue
        if issue:
            raise _taken(issue, course_class)
        Issue.objects.create(
            course_class=course_class,
            compass=rows[number],
            person=person,
            group_name="" if person else group_name,
            issued_at=now,
            issued_by=by.name,
        )
        if person:
            _note_in_hand(course_class, person, rows[number])


def _check(number: str, row: KitCompass | None) -> None:
    """Raises CannotHandOut for a number that is not there, or that is withdrawn."""
    if row is None:
        raise CannotHandOut(
            say(
                "There is no compass {number} in this kit. Look at its number again.", number=number
            )
        )
    if row.withdrawn_at:
        raise CannotHandOut(
            say("Compass {number} was withdrawn. Give out another one.", number=number)
        )


def _is_theirs(
    issue: Issue, course_class: CourseClass, person: Person | None, group_name: str
) -> bool:
    """Whether a compass is out to this very person or group already."""
    if issue.course_class_id != course_class.pk:
        return False
    if person:
        return issue.person_id == person.pk
    return issue.person_id is None and bool(group_name) and issue.group_name == group_name


def _taken(issue: Issue, course_class: CourseClass) -> CannotHandOut:
    """The refusal of a compass that is out already."""
    number = issue.compass.number
    if issue.course_class_id != course_class.pk:
        return CannotHandOut(
            say(
                "Compass {number} is out with another class. It must come back first.",
                number=number,
            )
        )
    return CannotHandOut(
        say(
            "Compass {number} is with {name}. Take it back first.",
            number=number,
            name=issue.person.name if issue.person else issue.group_name,
        )
    )


def _note_in_hand(course_class: CourseClass, person: Person, row: KitCompass) -> None:
    """Let readings of somebody who has told of no compass be those of this one; what a phone says
    later holds instead.
    """
    if person.compass_id is None:
        compass, _ = Compass.objects.get_or_create(
            course_class=course_class,
            number=row.number,
            defaults={"graduation_deg": row.graduation_deg, "unit": row.unit},
        )
        Person.objects.filter(pk=person.pk, compass=None).update(compass=compass)


@transaction.atomic
def take_back(*, course_class: CourseClass, number: str, now: datetime) -> int:
    """Take a compass back, or with no number all that are out. Returns how many came back; twice
    changes nothing.
    """
    out = course_class.issues.filter(returned_at=None)
    if number:
        out = out.filter(compass__number=number)
    return out.update(returned_at=now)
