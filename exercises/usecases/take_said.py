"""Store what people say of readings that are there already: replies to a question, and what truly
happened. Once, however often it is sent.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db import IntegrityError, transaction

from ..domain.diagnosis.questions import QUESTIONS
from ..domain.diagnosis.verdicts import Verdict
from ..domain.mistakes import causes
from ..domain.tasks.answer import Answer
from ..domain.words import say
from ..models import CourseClass, Label, Person, Reading, Reply
from .clocks import moment

STORED, AGAIN, USELESS = "stored", "again", "useless"


@dataclass(frozen=True)
class Taken:
    """What became of one thing said: `status` is stored, again, or useless where it can never be
    of use, so that a phone need not keep it. `task` is that of the reading.
    """

    client_id: str
    status: str
    message: str
    task: str = ""


class Useless(ValueError):
    """Something said that is not stored. The message says why."""


def take_replies(
    *,
    course_class: CourseClass,
    people: Iterable[Person],
    sent: Iterable[Mapping[str, Any]],
    answers: Iterable[Answer],
    now: datetime,
) -> list[Taken]:
    """Outcomes of replies sent by a phone that speaks for `people`, in order.

    `sent` is a list of dicts: id (a UUID made on the phone), about (the reading), question, said
    (empty: passed over), measured_at. One reading has one reply: the first.
    """
    own = {person.pk for person in people}
    by_task = {answer.task: answer for answer in answers}

    def take(item: Mapping[str, Any]) -> tuple[str, str]:
        reading = _reading(course_class, item.get("about"))
        if reading.whose.pk not in own:
            raise Useless(say("This phone does not speak for that person."))
        question, said = QUESTIONS.get(str(item.get("question"))), item.get("said")
        if question is None or reading.task not in by_task:
            raise Useless(say("There is no such question."))
        if said != "" and said not in question.replies(by_task[reading.task]):
            raise Useless(say("There is no such reply."))
        reply = Reply(
            course_class=course_class,
            reading=reading,
            client_id=_own_id(item),
            question=question.code,
            said=said,
            measured_at=moment(item.get("measured_at")),
            received_at=now,
        )
        return _store(reply), reading.task

    return [_taken(item, take) for item in sent]


def ring(*, reading: Reading, said: str, now: datetime) -> str:
    """Keep what was ringed on a sheet beside a number: what was added to it. Its id follows from
    the reading, so that taking in again stores nothing. Returns stored or again.
    """
    return _store(
        Reply(
            course_class=reading.course_class,
            reading=reading,
            client_id=uuid.uuid5(reading.client_id, "arithmetic"),
            question="arithmetic",
            said=said,
            received_at=now,
        )
    )


def take_labels(
    *,
    course_class: CourseClass,
    people: Iterable[Person],
    sent: Iterable[Mapping[str, Any]],
    verdict_of: Callable[[Reading], Verdict],
    now: datetime,
) -> list[Taken]:
    """Outcomes of what a phone's `people` say truly happened, in order. `sent` is a list of dicts:
    id, about (the reading), cause, measured_at; `verdict_of` a reading is what was said of it.
    """
    own = {person.pk for person in people}

    def take(item: Mapping[str, Any]) -> tuple[str, str]:
        reading = _reading(course_class, item.get("about"))
        if reading.whose.pk not in own:
            raise Useless(say("This phone does not speak for that person."))
        status = label_reading(
            reading=reading,
            cause=str(item.get("cause")),
            verdict=verdict_of(reading),
            client_id=_own_id(item),
            by=None,
            now=now,
        )
        return status, reading.task

    return [_taken(item, take) for item in sent]


def label_reading(
    *,
    reading: Reading,
    cause: str,
    verdict: Verdict,
    client_id: uuid.UUID,
    by: AbstractUser | None,
    now: datetime,
) -> str:
    """Keep what truly happened, as an instructor says it, or the person where `by` is None, with
    what the diagnosis had said. Raises Useless for what is no cause. Returns stored or again.
    """
    known = set(causes.parts(cause)) <= set(causes.CODES)
    if not known or cause != causes.combined(set(causes.parts(cause)) - {"ok"}):
        raise Useless(say("There is no such cause. Choose one of the list."))
    return _store(
        Label(
            course_class=reading.course_class,
            reading=reading,
            client_id=client_id,
            cause=cause,
            was_cause=verdict.cause,
            was_probability=min(verdict.probability, 1.0),
            said_by=Label.By.INSTRUCTOR if by else Label.By.PERSON,
            by=by,
            received_at=now,
        )
    )


def _taken(item: Mapping[str, Any], take: Any) -> Taken:
    """What became of one thing said."""
    shown_id = str(item.get("id", ""))[:64]
    try:
        status, task = take(item)
    except Useless as error:
        return Taken(shown_id, USELESS, error.args[0])
    return Taken(shown_id, status, say("Kept."), task)


def _reading(course_class: CourseClass, number: Any) -> Reading:
    """The reading that something is said of. Raises Useless."""
    found = (
        Reading.objects.filter(course_class=course_class, pk=number).first()
        if isinstance(number, int) and not isinstance(number, bool) and abs(number) < 2**62
        else None
    )
    if found is None:
        raise Useless(say("There is no such reading."))
    return found


def _own_id(item: Mapping[str, Any]) -> uuid.UUID:
    """The number that the phone made. Raises Useless."""
    try:
        return uuid.UUID(item.get("id"))
    except (ValueError, TypeError, AttributeError) as error:
        raise Useless(say("The reply has no proper id.")) from error


def _store(said: Reply | Label) -> str:
    """Store what is new; the database says what is not."""
    try:
        with transaction.atomic():
            said.save()
    except IntegrityError:
        return AGAIN
    return STORED
