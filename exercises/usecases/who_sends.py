"""Who sends readings, into which class, and by which key they are taken in and told: one question,
since it is asked for every reading.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .. import queries
from ..models import Compass, CourseClass, Key, Person, Phone
from ..models.prepared import Prepared, known_of
from .join_class import is_of, secrets_by_person

OF_PERSON = (
    *("id", "name", "same_as_id", "compass_id", "course_class_id"),
    *("wider_band_deg", "pace_m", "lengths"),
)
OF_COMPASS = ("number", "graduation_deg", "declination_is_set", "unit")
OF_CLASS = ("code", "state", "feedback", "asks", "released_at")
OF_KEY = ("id", "version", "frozen_at", "dropped")
ASKED = (
    "secret_digest",
    *(f"person__{name}" for name in OF_PERSON),
    *(f"person__compass__{name}" for name in OF_COMPASS),
    *(f"person__course_class__{name}" for name in OF_CLASS),
    *(f"person__course_class__keys__{name}" for name in OF_KEY),
)


@dataclass(frozen=True)
class Sender:
    """For whom a phone sends, in which class; `key` is the newest, None before it opens. Of people,
    class and key only what a reading is taken in by, and told by, was fetched.
    """

    course_class: CourseClass
    people: Sequence[Person]
    key: Key | None


def who_sends(code: str, tokens: Iterable[str]) -> Sender | None:
    """The people of a class whose secrets are among the tokens, and its key; None where there is
    nobody, or where somebody has a second name, which is seldom: `phone_in_class` knows them.
    """
    secrets = secrets_by_person(tokens)
    if not secrets:
        return None
    rows = [dict(zip(ASKED, row, strict=True)) for row in _QUESTION.ask(code, [*secrets])]
    known = [row for row in rows if is_of(row["secret_digest"], secrets[row["person__id"]])]
    if not known or any(row["person__same_as_id"] for row in known):
        return None
    newest = max(known, key=lambda row: row["person__course_class__keys__version"] or 0)
    course_class = known_of(
        CourseClass,
        {"id": newest["person__course_class_id"], **_part(newest, "course_class__", OF_CLASS)},
    )
    people = {row["person__id"]: _person(row, course_class) for row in known}
    return Sender(
        course_class,
        sorted(people.values(), key=lambda person: (person.name, person.pk)),
        queries.key_with(course_class, _part(newest, "course_class__keys__", OF_KEY)),
    )


def _phones(code: str, people: Sequence[int]) -> Any:
    """Phones of people in a class, a row for each version of its key."""
    kept = {
        f"person__course_class{of}__removed_at": None for of in ("", "__course", "__course__site")
    }
    return (
        Phone.objects.filter(person__course_class__code=code, person__in=people, **kept)
        .filter(person__taken_out_at=None)
        .order_by()
        .values_list(*ASKED)
    )


_QUESTION = Prepared(_phones)


def _part(row: Mapping[str, Any], of: str, names: Iterable[str]) -> dict[str, Any]:
    return {name: row[f"person__{of}{name}"] for name in names}


def _person(row: Mapping[str, Any], course_class: CourseClass) -> Person:
    """The person of a row, with the compass in hand."""
    person = known_of(Person, _part(row, "", OF_PERSON))
    person.course_class = course_class
    if person.compass_id:
        person.compass = known_of(
            Compass, {"id": person.compass_id, **_part(row, "compass__", OF_COMPASS)}
        )
    return person
