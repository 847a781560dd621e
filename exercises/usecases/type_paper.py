"""Answers from paper: typed into a grid, by one hand or by two, then taken in as readings."""

import uuid

from django.db import transaction

from ..domain.words import say
from ..models import PaperEntry, Person, Reading
from ..models.course_class import name_key
from .join_class import NameTaken, change_compass, join_class
from .take_readings import LONGEST_TEXT, take_readings, tidy

PAPER = uuid.UUID(
    "5f0d5a5e-6a3e-4f0a-9a35-1c3d0b6f2a11"
)  # from which the ids of readings from paper are made
MOST_PEOPLE, LONGEST_NAME = 120, 30
EMPTIED = "—"  # what is stored of a cell that was taken in and emptied since: no answer


class CannotType(ValueError):
    """Something that cannot be noted. The message says why and what to do; nothing is stored."""


@transaction.atomic
def note(*, course_class, cells, hand, by, now, shown=None):
    """Note cells ((person's key, task) to text) as one hand typed them; an empty one is taken out
    again.

    `shown` is what the page showed when it was typed into: a cell that is still so was not touched
    and stays as it is by now, whoever noted it. Raises CannotType for an answer that is too long.
    """
    kept = {
        (entry.person_id, entry.task): entry
        for entry in PaperEntry.objects.filter(course_class=course_class, hand=hand)
    }
    for (person, task), text in cells.items():
        text, entry = _plain_answer(text), kept.get((person, task))
        if len(text) > LONGEST_TEXT:
            raise CannotType(say("“{text}…” is too long for an answer.", text=text[:20]))
        if text == _plain_answer((shown or {}).get((person, task), "")):
            continue
        if not text:
            if entry:
                entry.delete()
        elif entry is None or entry.text != text:
            PaperEntry.objects.update_or_create(
                person_id=person,
                task=task,
                hand=hand,
                defaults={
                    "course_class": course_class,
                    "text": text,
                    "typed_by": by,
                    "typed_at": now,
                },
            )


def _plain_answer(text):
    """As a reading is stored: tidy, in capitals, one space between words, nothing that cannot be
    seen.
    """
    return " ".join(
        "".join(letter for letter in tidy(text) if letter.isprintable()).upper().split()
    )


def add_people(*, course_class, names, now):
    """People who have no phone: names as on their sheets. Raises CannotType for one that is there
    already, and for too many.
    """
    return _joined(
        course_class,
        names,
        Person.objects.filter(course_class=course_class).count(),
        now,
        compass_number="",
        graduation_deg=2,
        declination_is_set=False,
    )


@transaction.atomic
def note_table(*, course_class, rows, tasks, hand, by, now):
    """Note the rows of a table ((line, person's name, task, answer, compass)), adding people who
    are not in the class; all or none.

    A compass number becomes the person's, with what is told of that compass already. Raises
    CannotType, naming the line, for a task that the class has not, for a second answer of one
    person to one task, and for a name that is too long; and for too many people.
    """
    people, seen, cells = (
        {person.name_key: person for person in course_class.people.select_related("compass")},
        {},
        {},
    )
    compasses = {compass.number: compass for compass in course_class.compasses.exclude(number="")}
    for line, name, task, answer, compass in rows:
        key, number = name_key(name), compass[:8].upper()
        if task not in tasks:
            raise CannotType(
                say(
                    "Line {line}: the class has no task “{task}”. Nothing was noted.",
                    line=line,
                    task=task[:10],
                )
            )
        if not name:
            raise CannotType(say("Line {line}: whose answer is it? Nothing was noted.", line=line))
        if len(name) > LONGEST_NAME:
            raise CannotType(
                say(
                    "Line {line}: the name “{name}…” is too long; {most} letters are the most. "
                    "Nothing was noted.",
                    line=line,
                    name=name[:20],
                    most=LONGEST_NAME,
                )
            )
        if (key, task) in seen:
            raise CannotType(
                say(
                    "Line {line}: {name} has an answer to task {task} in line {other} already. "
                    "Nothing was noted.",
                    line=line,
                    name=name,
                    task=task,
                    other=seen[key, task],
                )
            )
        seen[key, task] = line
        instrument = compasses.get(number)
        told = {
            "compass_number": number,
            "graduation_deg": instrument.graduation_deg if instrument else 2,
            "declination_is_set": instrument.declination_is_set if instrument else False,
        }
        if key not in people:
            (people[key],) = _joined(course_class, [name], len(people), now, **told)
        elif number and number != (people[key].compass.number if people[key].compass else ""):
            change_compass(course_class=course_class, people=[people[key]], **told)
        cells[people[key].pk, task] = answer
    note(course_class=course_class, cells=cells, hand=hand, by=by, now=now)
    return len(cells)


def _joined(course_class, names, present, now, **told):
    """New people of a class with `present` people. Raises CannotType for too many, and for a name
    that is there already.
    """
    if present + len(names) > MOST_PEOPLE:
        raise CannotType(say("A class holds {most} people.", most=MOST_PEOPLE))
    try:
        return [
            person
            for person, _ in join_class(course_class=course_class, names=names, now=now, **told)
        ]
    except NameTaken as error:
        raise CannotType(error.args[0]) from error


def differences(entries):
    """Cells that two hands typed differently, or that one of them alone typed: {(person's key,
    task): (first, second)}. Bearings are compared as numbers.
    """
    both = {}
    for entry in entries:
        both.setdefault((entry.person_id, entry.task), {})[entry.hand] = entry.text
    return {
        cell: (texts.get(1, ""), texts.get(2, ""))
        for cell, texts in both.items()
        if _plain(texts.get(1, "")) != _plain(texts.get(2, ""))
    }


def _plain(text):
    return text.lstrip("0") or ("0" if text else "")


@transaction.atomic
def take_in(*, course_class, answers, is_double, by, now):
    """Store what the first hand typed as readings with the source “paper”, where it is not what
    paper said of that cell last.

    With `is_double` only where the second hand agrees. A cell that was emptied since is stored as
    EMPTIED, so that what was taken in no longer counts. Returns (outcomes with their person's name,
    cells left out because the hands differ). Taking in again stores nothing: a reading's id follows
    from person, task, text and how many came before it.
    """
    entries = list(
        PaperEntry.objects.filter(course_class=course_class).select_related("person", "typed_by")
    )
    differing = differences(entries)
    left = {cell for cell, (first, _) in differing.items() if is_double or not first}
    first = {(entry.person_id, entry.task): entry for entry in entries if entry.hand == 1}
    before = {}
    for reading in (
        Reading.objects.filter(course_class=course_class, source=Reading.Source.PAPER)
        .select_related("person")
        .order_by("attempt")
    ):
        before.setdefault((reading.person_id, reading.task), []).append(reading)
    wanted = {
        cell: (entry.person, entry.text, entry.typed_by or by) for cell, entry in first.items()
    }
    wanted |= {
        cell: (readings[-1].person, EMPTIED, by)
        for cell, readings in before.items()
        if cell not in first
    }
    outcomes = []
    for (pk, task), (person, text, typed_by) in wanted.items():
        earlier = before.get((pk, task), [])
        if (pk, task) in left or (earlier and earlier[-1].text == text):
            continue
        sent = {
            "id": str(uuid.uuid5(PAPER, f"{course_class.pk} {pk} {task} {len(earlier)} {text}")),
            "person": pk,
            "task": task,
            "text": text,
        }
        outcomes += [
            (person.name, outcome)
            for outcome in take_readings(
                course_class=course_class,
                people=[person],
                sent=[sent],
                answers=answers,
                now=now,
                source=Reading.Source.PAPER,
                typed_by=typed_by,
            )
        ]
    return outcomes, len(left)
