"""Answers from paper: typed into a grid, by one hand or by two, then taken in as readings."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db import transaction

from ..domain.diagnosis.questions import ADDED, NOTHING, SUBTRACTED, asks_for_arithmetic
from ..domain.earth.angle_units import DEGREES, unit_of
from ..domain.tasks.answer import Answer
from ..domain.words import say
from ..models import Compass, CourseClass, PaperEntry, Person, Reading
from ..models.course_class import name_key
from .join_class import NameTaken, change_compass, join_class
from .take_readings import LONGEST_TEXT, Outcome, take_readings, tidy
from .take_said import ring

# from which the ids of readings from paper are made
PAPER = uuid.UUID("5f0d5a5e-6a3e-4f0a-9a35-1c3d0b6f2a11")
MOST_PEOPLE, LONGEST_NAME = 120, 30
EMPTIED = "—"  # what is stored of a cell that was taken in and emptied since: no answer
Cell = tuple[int, str]  # of the grid: a person's key, a task
# Of a table: its line, the person's name, the task, the answer, the number of the compass, the code
# of the unit or nothing.
TypedRow = tuple[int, str, str, str, str, str]

# what a sheet has people ring beside a number, and who types it puts after it
RINGED = {"+": ADDED, "-": SUBTRACTED, "−": SUBTRACTED, "=": NOTHING}


class CannotType(ValueError):
    """Something that cannot be noted. The message says why and what to do; nothing is stored."""


@transaction.atomic
def note(
    *,
    course_class: CourseClass,
    cells: Mapping[Cell, str],
    hand: int,
    by: AbstractUser | None,
    now: datetime,
    shown: Mapping[Cell, str] | None = None,
    units: Mapping[int, str] | None = None,
    units_shown: Mapping[int, str] | None = None,
) -> None:
    """Note cells ((person's key, task) to text) as one hand typed them; an empty one is taken out
    again.

    `shown` is what the page showed when it was typed into: a cell that is still so was not touched
    and stays as it is by now, whoever noted it. `units` are the codes of what people's sheets are
    in, by their key, where that is said; else a new cell is in degrees and an old one keeps its
    unit. `units_shown` are those of the page: a sheet whose unit was changed on it is in the new
    one throughout. Raises CannotType for an answer that is too long.
    """
    said, said_before = units or {}, units_shown or {}
    entries = PaperEntry.objects.filter(course_class=course_class, hand=hand)
    kept = {(entry.person_id, entry.task): entry for entry in entries}
    as_shown = shown or {}
    for cell, typed in cells.items():
        text, entry = _plain_answer(typed), kept.get(cell)
        unit = said.get(cell[0], entry.unit if entry else DEGREES.code)
        if len(text) > LONGEST_TEXT:
            raise CannotType(say("“{text}…” is too long for an answer.", text=text[:20]))
        if text == _plain_answer(as_shown.get(cell, "")):
            if said.get(cell[0]) != said_before.get(cell[0]):
                _note_unit(entry, unit)
        elif not text:
            if entry:
                entry.delete()
        elif entry is None or (entry.text, entry.unit) != (text, unit):
            person, task = cell
            PaperEntry.objects.update_or_create(
                person_id=person,
                task=task,
                hand=hand,
                defaults={
                    "course_class": course_class,
                    "text": text,
                    "unit": unit,
                    "typed_by": by,
                    "typed_at": now,
                },
            )


def _note_unit(entry: PaperEntry | None, unit: str) -> None:
    """Another unit of a cell whose answer was not touched."""
    if entry and entry.unit != unit:
        entry.unit = unit
        entry.save(update_fields=["unit"])


def parted(text: str) -> tuple[str, str]:
    """A number and what was ringed beside it, by the sign typed after it.

    >>> parted("074 +"), parted("074")
    (('074', 'added'), ('074', ''))
    """
    ringed = RINGED.get(text[-1:], "") if text[:1].isdigit() else ""
    return (text[:-1].strip(), ringed) if ringed else (text, "")


def _plain_answer(text: str) -> str:
    """As a reading is stored: tidy, in capitals, one space between words, nothing that cannot be
    seen.
    """
    return " ".join(
        "".join(letter for letter in tidy(text) if letter.isprintable()).upper().split()
    )


def add_people(*, course_class: CourseClass, names: Sequence[str], now: datetime) -> list[Person]:
    """People who have no phone: names as on their sheets. Raises CannotType for one that is there
    already, and for too many.
    """
    present = Person.objects.filter(course_class=course_class).count()
    return _joined(course_class, names, present, now, **_instrument(course_class, "", None))


@transaction.atomic
def note_table(
    *,
    course_class: CourseClass,
    rows: Iterable[TypedRow],
    tasks: Collection[str],
    hand: int,
    by: AbstractUser | None,
    now: datetime,
) -> int:
    """Note the rows of a table ((line, person's name, task, answer, compass, unit)), adding people
    who are not in the class; all or none. Without a unit an answer is in that of the person's
    compass.

    A compass number becomes the person's, with what is told of that compass already. Raises
    CannotType, naming the line, for a task that the class has not, for a second answer of one
    person to one task, and for a name that is too long; and for too many people.
    """
    people = {person.name_key: person for person in course_class.people.select_related("compass")}
    compasses = {compass.number: compass for compass in course_class.compasses.exclude(number="")}
    line_of: dict[tuple[str, str], int] = {}
    cells: dict[Cell, str] = {}
    units: dict[int, str] = {}
    for row in rows:
        line, name, task, answer, compass, unit = row
        key, number = name_key(name), compass[:8].upper()
        _check(row, tasks, line_of.get((key, task)))
        line_of[key, task] = line
        instrument = _instrument(course_class, number, compasses.get(number), unit)
        if key not in people:
            (people[key],) = _joined(course_class, [name], len(people), now, **instrument)
        elif number and number != (people[key].compass.number if people[key].compass else ""):
            change_compass(course_class=course_class, people=[people[key]], **instrument)
        pk = people[key].pk
        cells[pk, task] = answer
        units[pk] = unit or units.get(pk) or instrument["unit"]
    note(course_class=course_class, cells=cells, hand=hand, by=by, now=now, units=units)
    return len(cells)


def _check(row: TypedRow, tasks: Collection[str], other_line: int | None) -> None:
    """Raises CannotType for a row of a table that cannot be noted; `other_line` is the one with
    another answer of the same person to the same task, if any.
    """
    line, name, task, *_ = row
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
    if other_line is not None:
        raise CannotType(
            say(
                "Line {line}: {name} has an answer to task {task} in line {other} already. "
                "Nothing was noted.",
                line=line,
                name=name,
                task=task,
                other=other_line,
            )
        )


def _instrument(
    course_class: CourseClass, number: str, compass: Compass | None, unit: str = ""
) -> dict[str, Any]:
    """What joining is told of a compass: what is known of it, or of the usual one of the class or
    of a unit that is named.
    """
    if compass:
        return {
            "compass_number": number,
            "graduation_deg": compass.graduation_deg,
            "declination_is_set": compass.declination_is_set,
            "unit": compass.unit,
        }
    dial = unit_of(unit or course_class.unit)
    return {
        "compass_number": number,
        "graduation_deg": dial.degrees(dial.usual_step),
        "declination_is_set": False,
        "unit": dial.code,
    }


def _joined(
    course_class: CourseClass, names: Sequence[str], present: int, now: datetime, **instrument: Any
) -> list[Person]:
    """New people of a class with `present` people. Raises CannotType for too many, and for a name
    that is there already.
    """
    if present + len(names) > MOST_PEOPLE:
        raise CannotType(say("A class holds {most} people.", most=MOST_PEOPLE))
    try:
        return [
            person
            for person, _ in join_class(
                course_class=course_class, names=names, now=now, **instrument
            )
        ]
    except NameTaken as error:
        raise CannotType(error.args[0]) from error


def differences(entries: Iterable[PaperEntry]) -> dict[Cell, tuple[str, str]]:
    """Cells that two hands typed differently, or that one of them alone typed: {(person's key,
    task): (first, second)}. Bearings are compared as numbers, in the same unit.
    """
    both: dict[Cell, dict[int, PaperEntry]] = {}
    for entry in entries:
        both.setdefault((entry.person_id, entry.task), {})[entry.hand] = entry
    return {
        cell: (_text(hands.get(1)), _text(hands.get(2)))
        for cell, hands in both.items()
        if _plain(hands.get(1)) != _plain(hands.get(2))
    }


def _text(entry: PaperEntry | None) -> str:
    """What a hand typed; nothing where it typed nothing."""
    return entry.text if entry else ""


def _plain(entry: PaperEntry | None) -> tuple[str, str]:
    """What a hand typed without the noughts before it, so that 074 and 74 are alike, and the unit
    of the sheet.
    """
    return (entry.text.lstrip("0") or "0", entry.unit) if entry else ("", "")


@transaction.atomic
def take_in(
    *,
    course_class: CourseClass,
    answers: Sequence[Answer],
    is_double: bool,
    by: AbstractUser | None,
    now: datetime,
) -> tuple[list[tuple[str, Outcome]], int]:
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
    differing, by_task = differences(entries), {answer.task: answer for answer in answers}
    left = {cell for cell, (first, _) in differing.items() if is_double or not first}
    before = _taken_in(course_class)
    outcomes = []
    for wanted in _wanted(entries, before, by):
        earlier = before.get(wanted.cell, [])
        if wanted.cell in left or (earlier and wanted.is_as(earlier[-1])):
            continue
        (taken,) = take_readings(
            course_class=course_class,
            people=[wanted.person],
            sent=[wanted.sent(course_class, len(earlier))],
            answers=answers,
            now=now,
            source=Reading.Source.PAPER,
            typed_by=wanted.typed_by,
        )
        outcomes.append((wanted.person.name, taken))
        if wanted.ringed and taken.reading and asks_for_arithmetic(by_task[wanted.task]):
            ring(reading=taken.reading, said=wanted.ringed, now=now)
    return outcomes, len(left)


@dataclass(frozen=True)
class _Wanted:
    """What paper says of a cell by now, what was ringed beside it, and who typed it."""

    person: Person
    task: str
    text: str
    unit: str
    typed_by: AbstractUser | None
    ringed: str = ""

    @property
    def cell(self) -> Cell:
        """The cell of the grid."""
        return self.person.pk, self.task

    def sent(self, course_class: CourseClass, earlier: int) -> dict[str, Any]:
        """As a phone would send it; its id follows from what it is and how many came before it."""
        pk, task = self.cell
        name = f"{course_class.pk} {pk} {task} {earlier} {self.text} {self.unit}"
        return {
            "id": str(uuid.uuid5(PAPER, name)),
            "person": pk,
            "task": task,
            "text": self.text,
            "unit": self.unit,
        }

    def is_as(self, reading: Reading) -> bool:
        """Whether a reading says the same."""
        return (reading.text, reading.unit) == (self.text, self.unit)


def _taken_in(course_class: CourseClass) -> dict[Cell, list[Reading]]:
    """The readings from paper by cell, in order."""
    readings = (
        Reading.objects.filter(course_class=course_class, source=Reading.Source.PAPER)
        .select_related("person")
        .order_by("attempt")
    )
    before: dict[Cell, list[Reading]] = {}
    for reading in readings:
        before.setdefault((reading.person_id, reading.task), []).append(reading)
    return before


def _wanted(
    entries: Iterable[PaperEntry], before: Mapping[Cell, list[Reading]], by: AbstractUser | None
) -> list[_Wanted]:
    """What the first hand typed, and EMPTIED for what was taken in and is not there any more."""
    typed = {
        (entry.person_id, entry.task): _Wanted(
            entry.person, entry.task, number, entry.unit, entry.typed_by or by, ringed
        )
        for entry in entries
        for number, ringed in (parted(entry.text),)
        if entry.hand == 1
    }
    emptied = [
        _Wanted(readings[-1].person, task, EMPTIED, readings[-1].unit, by)
        for (pk, task), readings in before.items()
        if (pk, task) not in typed
    ]
    return [*typed.values(), *emptied]
