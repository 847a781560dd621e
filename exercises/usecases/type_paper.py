"""Answers from paper: typed into a grid, by one hand or by two, then taken in as readings."""
import uuid

from django.db import transaction

from ..domain.words import say
from ..models import PaperEntry, Person, Reading
from .join_class import NameTaken, join_class
from .take_readings import LONGEST_TEXT, take_readings

PAPER = uuid.UUID("5f0d5a5e-6a3e-4f0a-9a35-1c3d0b6f2a11")  # from which the ids of readings from paper are made
MOST_PEOPLE = 120


class CannotType(ValueError):
    """Something that cannot be noted. The message says why and what to do; nothing is stored."""


@transaction.atomic
def note(*, course_class, cells, hand, by, now):
    """Note cells ((person's key, task) to text) as one hand typed them; an empty one is taken out again. Raises CannotType for an answer that is too long."""
    kept = {(entry.person_id, entry.task): entry for entry in PaperEntry.objects.filter(course_class=course_class, hand=hand)}
    for (person, task), text in cells.items():
        text, entry = " ".join(text.split()).upper(), kept.get((person, task))
        if len(text) > LONGEST_TEXT:
            raise CannotType(say("“{text}…” is too long for an answer.", text=text[:20]))
        if not text:
            if entry:
                entry.delete()
        elif entry is None or entry.text != text:
            PaperEntry.objects.update_or_create(person_id=person, task=task, hand=hand, defaults={"course_class": course_class, "text": text, "typed_by": by, "typed_at": now})


def add_people(*, course_class, names, now):
    """People who have no phone: names as on their sheets. Raises CannotType for one that is there already, and for too many."""
    if Person.objects.filter(course_class=course_class).count() + len(names) > MOST_PEOPLE:
        raise CannotType(say("A class holds {most} people.", most=MOST_PEOPLE))
    try:
        return [person for person, _ in join_class(course_class=course_class, names=names, compass_number="", graduation_deg=2, declination_is_set=False, now=now)]
    except NameTaken as error:
        raise CannotType(error.args[0]) from error


@transaction.atomic
def note_table(*, course_class, rows, tasks, hand, by, now):
    """Note the rows of a table ((line, person's name, task, answer, compass)), adding people who are not in the class; all or none.

    Raises CannotType, naming the line, for a task that the class has not and for a second answer of one person to one task.
    """
    people, seen, cells = {person.name.casefold(): person for person in course_class.people.all()}, {}, {}
    for line, name, task, answer, compass in rows:
        if task not in tasks:
            raise CannotType(say("Line {line}: the class has no task “{task}”. Nothing was noted.", line=line, task=task[:10]))
        if not name:
            raise CannotType(say("Line {line}: whose answer is it? Nothing was noted.", line=line))
        if (name.casefold(), task) in seen:
            raise CannotType(say("Line {line}: {name} has an answer to task {task} in line {other} already. Nothing was noted.", line=line, name=name[:30], task=task, other=seen[name.casefold(), task]))
        seen[name.casefold(), task] = line
        if name.casefold() not in people:
            people[name.casefold()] = join_class(course_class=course_class, names=[name[:30]], compass_number=compass[:8].upper(), graduation_deg=2, declination_is_set=False, now=now)[0][0]
        cells[people[name.casefold()].pk, task] = answer
    note(course_class=course_class, cells=cells, hand=hand, by=by, now=now)
    return len(cells)


def differences(entries):
    """Cells that two hands typed differently, or that one of them alone typed: {(person's key, task): (first, second)}. Bearings are compared as numbers."""
    both = {}
    for entry in entries:
        both.setdefault((entry.person_id, entry.task), {})[entry.hand] = entry.text
    return {cell: (texts.get(1, ""), texts.get(2, "")) for cell, texts in both.items() if _plain(texts.get(1, "")) != _plain(texts.get(2, ""))}


def _plain(text):
    return text.lstrip("0") or ("0" if text else "")


def take_in(*, course_class, answers, is_double, by, now):
    """Store what the first hand typed as readings with the source “paper”; with `is_double` only where the second hand agrees. Returns their outcomes.

    Taking in again stores nothing twice: a reading's id follows from person, task and text.
    """
    entries = list(PaperEntry.objects.filter(course_class=course_class).select_related("person", "typed_by"))
    left = differences(entries) if is_double else {}
    chosen = [entry for entry in entries if entry.hand == 1 and (entry.person_id, entry.task) not in left]
    outcomes = []
    for entry in chosen:
        sent = {"id": str(uuid.uuid5(PAPER, f"{course_class.pk} {entry.person_id} {entry.task} {entry.text}")), "person": entry.person_id, "task": entry.task, "text": entry.text}
        outcomes += take_readings(course_class=course_class, people=[entry.person], sent=[sent], answers=answers, now=now, source=Reading.Source.PAPER, typed_by=entry.typed_by or by)
    return outcomes
