"""Join a class with a name, or with several for a group that shares one phone."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from ..domain.earth.angle_units import DEGREES
from ..domain.words import say
from ..models import Compass, CourseClass, Person, Phone
from ..models.course_class import name_key
from . import guard_door
from .guard_joining import CannotJoin, Whence, must_be_let_in

Joined = tuple[Person, str]  # a person, and the secret with which a phone speaks for them


class NameTaken(CannotJoin):
    """Somebody in the class has that name."""


class NamesGone(NameTaken):
    """The names of the class are deleted, and it takes no new ones."""


class NobodyFound(ValueError):
    """A personal code that nobody in the class has."""


def digest(secret: str) -> str:
    """What is kept of a person's secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def join_class(
    *,
    course_class: CourseClass,
    names: Sequence[str],
    compass_number: str,
    graduation_deg: float,
    declination_is_set: bool,
    now: datetime,
    token: UUID | None = None,
    unit: str = DEGREES.code,
    whence: Whence | None = None,
) -> list[Joined]:
    """Add people to a class, all or none; returns [(person, secret), ...]. The secret is given out
    once, here.

    A numbered compass is noted as the last person told of it; one without a number is this phone's
    own. `unit` is the code of what its dial is marked in. `token` is the joining page's: who sends
    it again, because the answer was lost or the button tapped twice, is let in again and not
    doubled. `whence` is by which phone and from where they come; an instructor who types names has
    none, and is let in always. Raises NameTaken, NamesGone where the names of the class are
    deleted, and CannotJoin where they are not let in.
    """
    if course_class.names_purged_at:
        raise NamesGone(
            say("The names of this class are deleted: nobody can join it. Ask your instructor.")
        )
    if whence:
        must_be_let_in(course_class=course_class, names=names, token=token, whence=whence, now=now)
    told = {"graduation_deg": graduation_deg, "declination_is_set": declination_is_set}
    compass = _compass(course_class, compass_number, {**told, "unit": unit})
    coming = {
        "compass": compass,
        "joined_at": now,
        "join_token": token,
        "joined_on": whence.phone if whence else "",
        "joined_from": whence.address if whence else "",
    }
    joined = []
    for name in names:
        try:
            with transaction.atomic():
                person = Person.objects.create(course_class=course_class, name=name, **coming)
        except IntegrityError as error:
            person = _expected(course_class, name, coming) or _joined_before(
                course_class, name, token
            )
            if person is None:
                raise _taken(name) from error
        joined.append((person, _new_phone(person, now)))
    return joined


def _taken(name: str) -> NameTaken:
    """The refusal of a name."""
    return NameTaken(
        say(
            "Somebody in this class is called {name} already. Add a letter or choose "
            "another name. If it is you, on another phone, "
            "go on with your personal code.",
            name=name,
        )
    )


def _expected(course_class: CourseClass, name: str, coming: Mapping[str, Any]) -> Person | None:
    """Who stands on the roster under this name and has not joined yet: now they have."""
    people = Person.objects.filter(
        course_class=course_class, name_key=name_key(name), joined_at=None
    )
    if not people.listed().update(**coming):
        return None
    return people.model.objects.get(course_class=course_class, name_key=name_key(name))


def _joined_before(course_class: CourseClass, name: str, token: UUID | None) -> Person | None:
    """Who joined under this name from the same joining page, if anybody did."""
    if token is None:
        return None
    return Person.objects.filter(
        course_class=course_class, name_key=name_key(name), join_token=token
    ).first()


def _new_phone(person: Person, now: datetime) -> str:
    """Let one more phone speak for a person, and return its secret."""
    secret = secrets.token_urlsafe(18)
    Phone.objects.create(person=person, secret_digest=digest(secret), since=now)
    return secret


def go_on(
    *, course_class: CourseClass, personal_code: str, address: str, now: datetime
) -> list[Joined]:
    """Let this phone speak for the person of a code, beside the phone that they had; returns
    [(person, secret)]. Raises NobodyFound; wrong codes are counted by the address that they come
    from, since they name nobody whose door they could stand before. Raises Shut.
    """
    door = f"personal code {course_class.pk} from {address}"
    people = Person.objects.filter(
        course_class=course_class,
        personal_code=personal_code.replace(" ", "").upper(),
        taken_out_at=None,
    )
    person = guard_door.look(
        door=door, patience=guard_door.CODES, now=now, find=people.first, guess=personal_code[:12]
    )
    if person is None:
        raise NobodyFound(
            say(
                "Nobody in this class has the code “{code}”. Your instructor can look it up.",
                code=personal_code[:12],
            )
        )
    return [(person, _new_phone(person, now))]


@transaction.atomic
def change_compass(
    *,
    course_class: CourseClass,
    people: Iterable[Person],
    compass_number: str,
    graduation_deg: float,
    declination_is_set: bool,
    unit: str = DEGREES.code,
) -> None:
    """Give people another compass for the readings to come; those that were sent keep the one they
    were made with.
    """
    told = {"graduation_deg": graduation_deg, "declination_is_set": declination_is_set}
    compass = _compass(course_class, compass_number, {**told, "unit": unit})
    Person.objects.filter(
        course_class=course_class, pk__in=[person.pk for person in people]
    ).update(compass=compass)


def note_heard(*, people: Iterable[Person], now: datetime) -> None:
    """Keep when people said that they have read the cautions; the first time holds."""
    keys = [person.pk for person in people]
    Person.objects.filter(pk__in=keys, cautions_read_at=None).update(cautions_read_at=now)


@transaction.atomic
def note_paces(
    *, course_class: CourseClass, people: Iterable[Person], paces_m: Mapping[int, float]
) -> None:
    """Keep the double pace of some of these people, metres by their key, as they counted it over a
    taped line.
    """
    for person in people:
        if person.pk in paces_m:
            Person.objects.filter(course_class=course_class, pk=person.pk).update(
                pace_m=paces_m[person.pk]
            )


def choose_lengths(*, people: Iterable[Person], lengths: str) -> None:
    """Tell these people lengths in a unit, by its code, from now on."""
    Person.objects.filter(pk__in=[person.pk for person in people]).update(lengths=lengths)


def _compass(course_class: CourseClass, number: str, instrument: Mapping[str, Any]) -> Compass:
    """A numbered compass as last told, or one without a number."""
    if number:
        return Compass.objects.update_or_create(
            course_class=course_class, number=number, defaults=instrument
        )[0]
    return Compass.objects.create(course_class=course_class, **instrument)


def people_of(course_class: CourseClass, tokens: Iterable[str]) -> list[Person]:
    """The people of a class whose secret is among the tokens (pairs of key and secret), in one
    query.
    """
    return _spoken_for(Phone.objects.filter(person__course_class=course_class), tokens)


def phone_in_class(code: str, tokens: Iterable[str]) -> tuple[CourseClass, list[Person]] | None:
    """The class of a code, and its people whose secret is among the tokens, in one query; None
    where there is nobody.
    """
    kept = {
        f"person__course_class{of}__removed_at": None for of in ("", "__course", "__course__site")
    }
    phones = Phone.objects.filter(person__course_class__code=code, **kept)
    people = _spoken_for(phones.select_related("person__course_class"), tokens)
    return (people[0].course_class, people) if people else None


def _spoken_for(phones: QuerySet[Phone], tokens: Iterable[str]) -> list[Person]:
    """The people of those of some phones whose secret is among the tokens."""
    secret_of = secrets_by_person(tokens)
    known = (
        phones.filter(person__in=secret_of, person__taken_out_at=None)
        .select_related("person__compass")  # second names are seldom: theirs are fetched apart
        .order_by()
    )
    spoken_for = [
        phone.person.same_as or phone.person
        for phone in known
        if is_of(phone.secret_digest, secret_of[phone.person_id])
    ]
    by_name = sorted(spoken_for, key=lambda person: (person.name, person.pk))
    return list({person.pk: person for person in by_name}.values())


def secrets_by_person(tokens: Iterable[str]) -> dict[int, str]:
    """The secrets in a phone's tokens ("person:secret"), by the key of the person whose they claim
    to be.
    """
    return {
        int(pk): secret
        for pk, _, secret in (token.partition(":") for token in tokens)
        if pk.isdecimal() and len(pk) < 18
    }


def is_of(secret_digest: str, secret: str) -> bool:
    """Whether a secret is the one of which this is kept."""
    return hmac.compare_digest(secret_digest, digest(secret))
