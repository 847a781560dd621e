"""What some people are told alone: the mistakes and habits that are not the class's, person by
person, and the compasses that one person held.
"""

from dataclasses import dataclass

from ..languages import tell_many, told
from .answers import words_of
from .at_home import lesson_text
from .causes import WORDS as CAUSES, advice_on
from .ground_faults import sound_ground
from .probabilities import percent
from .remedies import exercise


@dataclass(frozen=True)
class _Item:
    """A mistake of one person: its lesson, and how many of its readings are theirs."""

    lesson: object
    readings: int


def people_told(whole):
    """A row for each person who is told something alone, by name: never by credit. `whole` is a
    `Debriefed`.
    """
    items = {}
    for lesson in whole.told.lessons:
        for person in lesson.people:
            if lesson in whole.told.few or whole.habits.get(person) == lesson.code:
                number = sum(reading.person == person for reading in lesson.readings)
                items.setdefault(person, []).append(_Item(lesson, number))
    by_name = sorted(items, key=lambda person: whole.people[person].name.casefold())
    return [_row(whole, person, items[person]) for person in by_name]


def _row(whole, person, items):
    """One person with what to tell them, what happened most often first."""
    items = sorted(items, key=lambda item: (-item.readings, item.lesson.code))
    return {
        "person": whole.people[person],
        "codes": [item.lesson.code for item in items],
        "has_habit": person in whole.habits,
        "items": [_item(whole, person, item) for item in items],
    }


def _item(whole, person, item):
    code, example = item.lesson.code, item.lesson.example
    return {
        "name": told(CAUSES[code].name),
        "figures": _figures(whole, person, item),
        "say": told(advice_on(code, words_of(example.answer).setting)),
        "exercise": exercise(code, sound_ground(whole), whole.key.points),
        "at_home": lesson_text(code, whole.people[person]),
    }


def _figures(whole, person, item):
    """How many readings, and whether it is a habit."""
    if whole.habits.get(person) == item.lesson.code:
        return tell_many(
            "{number} reading, a habit (probability {probability})",
            "{number} readings, a habit (probability {probability})",
            item.readings,
            probability=percent(whole.diagnosis.people[person].habit_probability),
        )
    return tell_many("{number} reading", "{number} readings", item.readings)


def causes_told(rows):
    """The mistakes in some rows as (code, name), to choose from."""
    codes = sorted({code for row in rows for code in row["codes"]})
    return [(code, told(CAUSES[code].name)) for code in codes]
