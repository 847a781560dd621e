"""An export is taken in: checked row by row, then stored in one transaction or not at all."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction

from ...domain.words import say
from ...exchange.whole.archive import NotExport
from ...models import CourseClass, HandedId, Point, Survey
from ...models.codes import CODE_LENGTH, new_code
from ...models.course_class import name_key
from ..arrange import free_name
from . import soundness
from .kinds import KINDS, NAMED, OF_MODEL, Kind, is_account
from .values import read

Known = dict[tuple[str, str], int]  # keys here by kind and number
CODE = re.compile(rf"[A-Z0-9]{{{CODE_LENGTH}}}", re.ASCII)
BY_ONE = ("site", "course")  # whose names must differ from the one stored before
BATCH = 500


@dataclass(frozen=True)
class Taken:
    """How many rows came in, by kind, and how many were here already and stay as they are."""

    new: Mapping[str, int]
    here: int


def take(*, document: Mapping[str, Any], owner: AbstractUser) -> Taken:
    """Take an export in for an account: what it holds is theirs from now on. A row that came in
    before, by its number, stays as it is here; what is new beside it comes in. Raises NotExport
    with nothing stored.
    """
    try:
        with transaction.atomic():
            return _taken(document["rows"], owner)
    except ValidationError as error:
        raise NotExport(_changed("; ".join(error.messages))) from error
    except (DatabaseError, OverflowError, UnicodeError) as error:
        raise NotExport(_changed(str(error).partition("\n")[0][:200])) from error


def _changed(what: str) -> str:
    return say("The export does not fit together, so nothing was taken in: {what}", what=what)


def _taken(rows: Mapping[str, Any], owner: AbstractUser) -> Taken:
    if strange := sorted(set(rows) - set(NAMED)):
        raise NotExport(_changed(strange[0][:40]))
    here = _here(owner)
    known: Known = {}
    new: dict[str, int] = {}
    opened: list[tuple[CourseClass, dict[str, Any]]] = []
    for kind in KINDS:
        fresh = {}
        for place, row in enumerate(rows.get(kind.name, []), start=1):
            number = _number(kind, place, row)
            if (kind.name, number) in known or number in fresh:
                raise NotExport(_changed(f"{kind.name} {place}: {number}"))
            if (kind.name, number) in here:
                known[kind.name, number] = here[kind.name, number]
            else:
                fresh[number] = (place, row)
        _store(kind, fresh, owner, known, opened)
        new[kind.name] = len(fresh)
    for course_class, values in opened:
        CourseClass.objects.filter(pk=course_class.pk).update(**values)
    soundness.must_fit_together(owner)
    return Taken(
        {name: number for name, number in new.items() if number}, len(known) - sum(new.values())
    )


def _here(owner: AbstractUser) -> Known:
    """What the account has here that came in or went out before. A number of a row that is gone, or
    that is somebody else's, counts for nothing: its row comes in anew.
    """
    found: Known = {}
    for kind in KINDS:
        own = set(
            kind.model._base_manager.filter(**{kind.owner: owner}).values_list("pk", flat=True)
        )
        numbers = HandedId.objects.filter(owner=owner, kind=kind.name).values_list("uid", "row")
        found |= {(kind.name, str(uid)): row for uid, row in numbers if row in own}
    return found


def _number(kind: Kind, place: int, row: Mapping[str, Any]) -> str:
    try:
        return str(uuid.UUID(row["id"]))
    except (KeyError, ValueError, TypeError, AttributeError) as error:
        raise NotExport(_changed(f"{kind.name} {place}: id")) from error


def _store(
    kind: Kind,
    fresh: Mapping[str, tuple[int, Any]],
    owner: AbstractUser,
    known: Known,
    opened: list[tuple[CourseClass, dict[str, Any]]],
) -> None:
    later: list[tuple[Any, str, str]] = []  # references to rows of the same kind
    made = []
    for place, row in fresh.values():
        instance = _instance(kind, place, row, owner, known, later)
        if kind.name in PREPARED:
            PREPARED[kind.name](instance, owner)
        if isinstance(instance, CourseClass):
            opened.append((instance, _as_a_draft(instance)))
        if kind.name in BY_ONE:
            instance.save(force_insert=True)
        made.append(instance)
    if kind.name not in BY_ONE:
        kind.model._base_manager.bulk_create(made, batch_size=BATCH)
    numbers = [
        HandedId(owner=owner, kind=kind.name, row=instance.pk, uid=uuid.UUID(number))
        for number, instance in zip(fresh, made, strict=True)
    ]
    for first in range(0, len(numbers), BATCH):
        batch = numbers[first : first + BATCH]
        HandedId.objects.filter(owner=owner, uid__in=[one.uid for one in batch]).delete()
    HandedId.objects.bulk_create(numbers, batch_size=BATCH)
    known |= {(kind.name, number): made[place].pk for place, number in enumerate(fresh)}
    for instance, name, number in later:
        if (kind.name, number) not in known:
            raise NotExport(_changed(f"{kind.name}: {name}"))
        kind.model._base_manager.filter(pk=instance.pk).update(**{name: known[kind.name, number]})
    for instance in made:
        soundness.must_be_sound(kind.name, instance)


def _instance(
    kind: Kind,
    place: int,
    row: Mapping[str, Any],
    owner: AbstractUser,
    known: Known,
    later: list[tuple[Any, str, str]],
) -> Any:
    instance = kind.model()
    carried = {field.name: field for field in kind.carried()}
    if strange := sorted(set(row) - {"id", *carried}):
        raise NotExport(_changed(f"{kind.name} {place}: {strange[0][:40]}"))
    for name, field in carried.items():
        where = f"{kind.name} {place}: {name}"
        if name not in row:
            if not (field.has_default() or field.null or field.blank):
                raise NotExport(_changed(where))
        elif not field.is_relation:
            setattr(instance, name, read(field, row[name], where))
        elif row[name] is not None and field.related_model is kind.model:
            later.append((instance, name, str(row[name])))
        else:
            setattr(instance, field.attname, _referred(field, row[name], known, where))
    for field in kind.model._meta.concrete_fields:
        if is_account(field) and not field.null:
            setattr(instance, field.attname, owner.pk)
    return instance


def _referred(field: Any, number: Any, known: Known, where: str) -> int | None:
    """The key of a row that a field refers to: one that came in, or that is the account's."""
    if number is None and field.null:
        return None
    found = known.get((OF_MODEL[field.related_model].name, str(number)))
    if found is None:
        raise NotExport(_changed(where))
    return found


def _site(site: Any, owner: AbstractUser) -> None:
    site.name = free_name(site.name, owner.sites.kept())


def _course(course: Any, _owner: AbstractUser) -> None:
    course.name = free_name(course.name, course.site.courses.kept())


def _point(point: Any, _owner: AbstractUser) -> None:
    point.card_code = _free_code(point.card_code, Point, "card_code")


def _survey(survey: Any, _owner: AbstractUser) -> None:
    if Survey.objects.filter(client_id=survey.client_id).exists():
        survey.client_id = uuid.uuid4()


def _class(course_class: Any, _owner: AbstractUser) -> None:
    course_class.code = _free_code(course_class.code, CourseClass, "code")


def _as_a_draft(course_class: CourseClass) -> dict[str, Any]:
    """Let a class come in as a draft, for the database opens none without its key, which comes
    later; what it was opened with.
    """
    values = {name: getattr(course_class, name) for name in OPENED_WITH}
    course_class.state = CourseClass.State.DRAFT
    course_class.opened_at = course_class.closed_at = course_class.released_at = None
    return values


def _person(person: Any, _owner: AbstractUser) -> None:
    person.name_key = name_key(person.name)


OPENED_WITH = ("state", "opened_at", "closed_at", "released_at")
# what must be free in this database: names, and codes that people type
PREPARED: Mapping[str, Callable[[Any, AbstractUser], None]] = {
    "site": _site,
    "course": _course,
    "point": _point,
    "survey": _survey,
    "class": _class,
    "person": _person,
}


def _free_code(code: str, model: Any, field: str) -> str:
    """A code, or a new one where it is no code or another row has it."""
    if CODE.fullmatch(code) and not model._base_manager.filter(**{field: code}).exists():
        return code
    return new_code()
