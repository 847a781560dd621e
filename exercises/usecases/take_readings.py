"""Store what a phone sends, once however often it is sent."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db import IntegrityError, transaction

from ..domain.earth.angle_units import DEGREES, AngleUnit, UnknownUnit, unit_of
from ..domain.earth.plain_text import narrow
from ..domain.tasks.answer import Answer
from ..domain.tasks.forms import UNREADABLE
from ..domain.words import say
from ..models import CourseClass, Person, Reading
from .clocks import moment

LONGEST_BATCH = 200
LONGEST_TEXT = 40
TRIES = 20  # to number an attempt: each that fails means that another came in between


@dataclass(frozen=True)
class Outcome:
    """What became of one reading sent: `status` is stored, again, conflict or refused. `reading` is
    None when it was refused.
    """

    client_id: str
    status: str
    message: str
    reading: Reading | None = None


class Refused(ValueError):
    """A reading that is not stored. The message says why."""


def take_readings(
    *,
    course_class: CourseClass,
    people: Iterable[Person],
    sent: Iterable[Any],
    answers: Iterable[Answer],
    now: datetime,
    source: str = Reading.Source.PHONE,
    typed_by: AbstractUser | None = None,
    clock: Callable[[], datetime] | None = None,
) -> list[Outcome]:
    """Take in the readings sent by a phone that speaks for `people`; what became of each, in order.

    `sent` is a list of dicts: id (a UUID made on the phone), person, task, text, unit (of the
    compass, in which a bearing was asked; degrees where it is missing), mils (whether the person
    said so of a number asked in degrees), measured_at (ISO 8601). `answers` are those of the key. A
    reading that comes after closing is kept and marked late, but for one from paper, which was
    written in time; one that cannot be read is kept with its problem; one that names nobody here or
    no task is refused. `typed_by` is who typed it from paper. `now` is when they arrived; `clock`
    tells when each was stored, after which a phone may be told of it, where that matters.
    """
    sent, people = list(sent), list(people)
    desk = _Desk(
        course_class,
        people,
        _by_any_name(people, sent),
        {answer.task: answer for answer in answers},
        now,
        source,
        typed_by,
        clock or (lambda: now),
    )
    checked = [_checked_or_refused(desk, item) for item in sent]
    kept = iter(_store(desk, [one for one in checked if isinstance(one, _Sent)]))
    return [one if isinstance(one, Outcome) else _outcome(one, *next(kept)) for one in checked]


def _by_any_name(people: Iterable[Person], sent: Iterable[Any]) -> dict[int, Person]:
    """People by their keys, and by those of the second names under which a phone may still hold
    readings of theirs.
    """
    own = {person.pk: person for person in people}
    if all(isinstance(item, dict) and _is_one_of(item.get("person"), own) for item in sent):
        return own  # as nearly always
    second = Person.objects.filter(same_as__in=own).values_list("pk", "same_as")
    return own | {pk: own[same_as] for pk, same_as in second}


def _is_one_of(pk: Any, people: Mapping[int, Person]) -> bool:
    """Whether what was sent as a person is the key of one; JSON may hold anything in its place."""
    return isinstance(pk, int) and not isinstance(pk, bool) and pk in people


@dataclass(frozen=True)
class _Desk:
    """What readings are taken in by: for whom and for which tasks, when, and from where."""

    course_class: CourseClass
    people: Sequence[Person]
    by_any_name: Mapping[int, Person]
    answers: Mapping[str, Answer]
    now: datetime
    source: str
    typed_by: AbstractUser | None
    clock: Callable[[], datetime]

    @property
    def is_paper(self) -> bool:
        """Whether they stood on paper."""
        return bool(self.source == Reading.Source.PAPER)


@dataclass(frozen=True)
class _Sent:
    """One reading as it was sent, checked: `is_mils` is what the person said of a bare number."""

    client_id: uuid.UUID
    shown_id: str
    person: Person
    answer: Answer
    text: str
    unit: AngleUnit
    is_mils: bool
    measured_at: datetime | None


def _checked_or_refused(desk: _Desk, item: Any) -> _Sent | Outcome:
    """One reading sent, checked, or the word on one that cannot be stored."""
    try:
        return _checked(desk, item)
    except Refused as error:
        shown_id = str(item.get("id", ""))[:64] if isinstance(item, dict) else ""
        return Outcome(shown_id, "refused", error.args[0])


def _outcome(sent: _Sent, kept: Reading, is_new: bool) -> Outcome:
    """The word on a reading that was stored, now or before."""
    is_same = (kept.whose.pk, kept.task, kept.text, kept.unit) == (
        sent.person.pk,
        sent.answer.task,
        sent.text,
        sent.unit.code,
    )
    shown_id = sent.shown_id
    if not is_new and not is_same:
        return Outcome(
            shown_id, "conflict", say("Another reading has this number already. Enter yours again.")
        )
    message = kept_problem(kept) or (
        say("Kept, but marked late: the class is closed.") if kept.is_late else say("Kept.")
    )
    return Outcome(shown_id, "stored" if is_new else "again", message, kept)


def kept_problem(reading: Reading) -> str:
    """What is wrong with a reading that was kept but cannot be graded, in words, or nothing."""
    if not reading.problem:
        return ""
    return say(
        "Kept, but “{text}” is not an answer that can be graded. Enter it again.",
        text=reading.text,
    )


def tidy(text: str) -> str:
    """What was typed in one way of writing: wide made narrow, look-alikes of ° made one."""
    return narrow(text).strip()


def _checked(desk: _Desk, item: Any) -> _Sent:
    """One reading sent. Raises Refused for what cannot be stored at all."""
    if not isinstance(item, dict):
        raise Refused(say("This is not a reading."))
    try:
        client_id = uuid.UUID(item.get("id"))
    except (ValueError, TypeError, AttributeError) as error:
        raise Refused(
            say("The reading has no proper id. Reload the page and enter it again.")
        ) from error
    pk, task, text = item.get("person"), item.get("task"), item.get("text")
    if not isinstance(pk, int) or not _is_one_of(pk, desk.by_any_name):
        raise Refused(say("This phone does not speak for that person. Join the class again."))
    if not isinstance(task, str) or task not in desk.answers:
        raise Refused(say("The class has no such task. Reload the page."))
    text = tidy(text) if isinstance(text, str) and len(text) <= 2 * LONGEST_TEXT else ""
    if not 0 < len(text) <= LONGEST_TEXT or not text.isprintable():
        raise Refused(say("The answer is empty or too long. Enter it again."))
    return _Sent(
        client_id,
        str(item["id"])[:64],
        desk.by_any_name[pk],
        desk.answers[task],
        text,
        _unit(item),
        is_mils=item.get("mils") is True,
        measured_at=moment(item.get("measured_at")),
    )


def _unit(item: dict[str, Any]) -> AngleUnit:
    """The unit in which a reading was asked; a page of before there was a choice names none and
    asked in degrees. Raises Refused.
    """
    try:
        return unit_of(item.get("unit", DEGREES.code))
    except (UnknownUnit, TypeError) as error:
        raise Refused(say("The reading is in no unit that is known. Reload the page.")) from error


def _store(desk: _Desk, sent: Sequence[_Sent]) -> list[tuple[Reading, bool]]:
    """The reading under each id, and whether it is new. Nothing is locked: where two number an
    attempt alike at this moment, the database refuses the second, which is numbered anew.
    """
    for _ in range(TRIES):
        try:
            with transaction.atomic() if len(sent) > 1 else nullcontext():
                return [_stored(desk, one) for one in sent]
        except IntegrityError as error:
            refused = error
    raise refused


def _stored(desk: _Desk, sent: _Sent) -> tuple[Reading, bool]:
    """One reading as it is kept, and whether it is new."""
    reading = _reading(desk, sent)
    if Reading.objects.keep(reading):
        return reading, True
    kept = desk.course_class.readings.select_related("person__same_as")
    return kept.get(client_id=sent.client_id), False


def _reading(desk: _Desk, sent: _Sent) -> Reading:
    """A reading to be stored, with the compass in its person's hand; what cannot be graded is kept
    with its problem.
    """
    person, is_open = sent.person, desk.course_class.state == CourseClass.State.OPEN
    instrument, columns, problem = person.instrument(), {}, ""
    try:
        columns = sent.answer.form.columns(_seen(desk, sent))
    except UNREADABLE as error:
        problem = type(error).__name__
    return Reading(
        course_class=desk.course_class,
        person=person,
        client_id=sent.client_id,
        task=sent.answer.task,
        text=sent.text,
        problem=problem,
        measured_at=sent.measured_at,
        received_at=desk.now,
        stored_at=desk.clock(),
        source=desk.source,
        typed_by=desk.typed_by,
        is_late=not is_open and not desk.is_paper,
        compass_number=person.compass.number if person.compass else "",
        compass_graduation_deg=instrument.graduation_deg,
        compass_declination_is_set=instrument.declination_is_set,
        **{"unit": sent.unit.code, **columns},
    )


def _seen(desk: _Desk, sent: _Sent) -> Any:
    """What was given, in the form of the answer. Raises one of `forms.UNREADABLE`."""
    form = sent.answer.form
    if desk.is_paper:
        return form.parse_on_paper(sent.answer, sent.text, sent.unit)
    return form.parse(sent.answer, sent.text, is_mils=sent.is_mils, unit=sent.unit)
