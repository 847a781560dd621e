"""Store what a phone sends, once however often it is sent."""

import re
import unicodedata
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime

from django.db import IntegrityError, transaction

from ..domain.tasks.forms import UNREADABLE
from ..domain.words import say
from ..models import CourseClass, Person, Reading

LONGEST_BATCH = 200
LONGEST_TEXT = 40


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
    *, course_class, people, sent, answers, now, source=Reading.Source.PHONE, typed_by=None
):
    """Outcomes of readings sent by a phone that speaks for `people`, in order.

    `sent` is a list of dicts: id (a UUID made on the phone), person, task, text, mils (whether the
    person said so), measured_at (ISO 8601). `answers` are those of the key. A reading that comes
    after closing is kept and marked late, but for one from paper, which was written in time; one
    that cannot be read is kept with its problem; one that names nobody here or no task is refused.
    `typed_by` is who typed it from paper.
    """
    by_pk, by_task = (
        {person.pk: person for person in people},
        {answer.task: answer for answer in answers},
    )
    return [_take(course_class, by_pk, by_task, item, now, source, typed_by) for item in sent]


def _take(course_class, by_pk, by_task, item, now, source, typed_by):
    shown_id = str(item.get("id", ""))[:64] if isinstance(item, dict) else ""
    try:
        client_id, person, answer, text = _checked(item, by_pk, by_task)
        kept, is_new = _store(
            course_class, client_id, person, answer, text, item, now, source, typed_by
        )
    except Refused as error:
        return Outcome(shown_id, "refused", error.args[0])
    if not is_new and (kept.person_id, kept.task, kept.text) != (person.pk, answer.task, text):
        return Outcome(
            shown_id, "conflict", say("Another reading has this number already. Enter yours again.")
        )
    message = kept_problem(kept) or (
        say("Kept, but marked late: the class is closed.") if kept.is_late else say("Kept.")
    )
    return Outcome(shown_id, "stored" if is_new else "again", message, kept)


def kept_problem(reading):
    """What is wrong with a reading that was kept but cannot be graded, in words, or nothing."""
    return (
        say(
            "Kept, but “{text}” is not an answer that can be graded. Enter it again.",
            text=reading.text,
        )
        if reading.problem
        else ""
    )


def tidy(text):
    """What was typed in one way of writing: full width made narrow, look-alikes of the degree sign
    made one.
    """
    return unicodedata.normalize("NFKC", re.sub("[º˚]", "°", text)).strip()


def _checked(item, by_pk, by_task):
    """The parts of one reading sent. Raises Refused for what cannot be stored at all."""
    if not isinstance(item, dict):
        raise Refused(say("This is not a reading."))
    try:
        client_id = uuid.UUID(item.get("id"))
    except (ValueError, TypeError, AttributeError) as error:
        raise Refused(
            say("The reading has no proper id. Reload the page and enter it again.")
        ) from error
    person, answer, text = item.get("person"), item.get("task"), item.get("text")
    if not isinstance(person, int) or person not in by_pk:
        raise Refused(say("This phone does not speak for that person. Join the class again."))
    if not isinstance(answer, str) or answer not in by_task:
        raise Refused(say("The class has no such task. Reload the page."))
    text = tidy(text) if isinstance(text, str) and len(text) <= 2 * LONGEST_TEXT else ""
    if not 0 < len(text) <= LONGEST_TEXT or not text.isprintable():
        raise Refused(say("The answer is empty or too long. Enter it again."))
    return client_id, by_pk[person], by_task[answer], text


def _store(course_class, client_id, person, answer, text, item, now, source, typed_by):
    """The reading under this id and whether it is new. The person's row is locked, so attempts are
    numbered one by one.
    """
    with transaction.atomic():
        person = (
            Person.objects.select_for_update(of=("self",))
            .select_related("compass")
            .get(pk=person.pk)
        )
        if kept := Reading.objects.filter(course_class=course_class, client_id=client_id).first():
            return kept, False
        state = CourseClass.objects.values_list("state", flat=True).get(pk=course_class.pk)
        instrument, columns, problem = person.instrument(), {}, ""
        try:
            columns = answer.form.columns(_seen(answer, text, item.get("mils") is True, source))
        except UNREADABLE as error:
            problem = type(error).__name__
        reading = Reading(
            course_class=course_class,
            person=person,
            client_id=client_id,
            task=answer.task,
            text=text,
            problem=problem,
            attempt=Reading.objects.filter(person=person, task=answer.task).count() + 1,
            measured_at=_moment(item.get("measured_at")),
            received_at=now,
            source=source,
            typed_by=typed_by,
            is_late=state != CourseClass.State.OPEN and source != Reading.Source.PAPER,
            compass_number=person.compass.number if person.compass else "",
            compass_graduation_deg=instrument.graduation_deg,
            compass_declination_is_set=instrument.declination_is_set,
            **columns,
        )
        try:
            with transaction.atomic():
                reading.save()
            return reading, True
        except IntegrityError:  # another person of the same class used the id at the same moment
            return Reading.objects.get(course_class=course_class, client_id=client_id), False


def _seen(answer, text, is_mils, source):
    if source == Reading.Source.PAPER:
        return answer.form.parse_on_paper(answer, text)
    return answer.form.parse(answer, text, is_mils=is_mils)


def _moment(text):
    """The phone's time of reading, or None when it gives none that makes sense; its clock is never
    trusted for order.
    """
    try:
        moment = datetime.fromisoformat(text)
        return moment.replace(tzinfo=moment.tzinfo or UTC).astimezone(UTC)
    except (ValueError, TypeError, OverflowError):
        return None
