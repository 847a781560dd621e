"""What a phone shows of a class: its state as JSON can hold it, never an answer before its time."""

from .. import vocabulary
from ..domain.tasks import telling
from ..domain.tasks.kinds import kind_of
from ..languages import tell, told
from .answers import words_of
from .emergency import safety_text
from .feedback import feedback, hint
from .glossary.uses import OF_NORTHS
from .lengths import lengths_in
from .north_sentences import angle_sentence
from .units import USUAL, Units, angles_in


def class_text(course_class):
    """What a phone knows of a class whatever its state."""
    return {
        "code": course_class.code,
        "name": course_class.name,
        "cautions": course_class.course.site.cautions,
        "safety": safety_text(course_class.course.site, course_class.date),
        "state": course_class.state,
    }


def people_text(people):
    """The people for whom a phone speaks."""
    return [
        {
            "id": person.pk,
            "name": person.name,
            "code": person.personal_code,
            "pace_m": person.pace_m,
            "home": list(person.lessons_at_home()),
            "lengths": person.lengths,
            "unit": unit_text(person.instrument().unit),
        }
        for person in people
    ]


def unit_text(unit):
    """What a phone has to know of the unit in which somebody's bearings are typed."""
    return {"code": unit.code, "circle": unit.circle, "digits": unit.digits}


def units_of(person):
    """In what a person is told angles and lengths."""
    return Units(angles_in(person.instrument().unit), lengths_in(person.lengths, person.pace_m))


def public_task(answer, points, people=()):
    """What a phone may know of a task: never its answer. Choices come in alphabetical order. What
    is said in units stands there as usual, and `said_to` has it once more for those of its people
    who have others.
    """
    words, kind = words_of(answer), kind_of(answer.kind)
    marks = kind.marks(answer)
    task = {
        "label": answer.task,
        "kind": words.name(),
        "station": answer.station,
        "widget": answer.form.code,
        "prompt": words.prompt(answer, points),
        "angle": angle_sentence(answer),
        "north": told(vocabulary.NORTHS[answer.north]),
        "beside": USUAL.angles.beside(answer.north),
        "needle": kind.uses_compass,
        **words.for_phone(answer, points),
        "said_to": {
            person.pk: {
                **words.in_units(answer, points, units),
                "angle": angle_sentence(answer, units.angles),
            }
            for person in people
            if not (units := units_of(person)).are_usual
        },
        "typed": answer.form.is_typed,
        "after": answer.after,
        "at": list(marks),
        "words": [*words.needs, OF_NORTHS[answer.north]],
    }
    if len(marks) > 1:
        task["marks"] = [f"{code}: {points[code]['mark']}" for code in marks]
    return task


def tasks(answers, points, policy, people=()):
    """The tasks of a class, each with what comes after it and when its answer is told; `people` are
    those for whom the phone speaks.
    """
    halves = {answer.after: answer.task for answer in answers if answer.after}
    return [
        {
            **public_task(answer, points, people),
            "then": halves.get(answer.task, ""),
            "policy": telling.policy_of(answer, policy),
        }
        for answer in answers
    ]


def stations(answers, points, cards):
    """The marks on which one stands, in the order of tasks; `cards` are short codes by point."""
    marks = dict.fromkeys(mark for answer in answers for mark in kind_of(answer.kind).marks(answer))
    return [
        {
            "code": code,
            "name": points[code]["name"],
            "mark": points[code]["mark"],
            "card": cards.get(code, ""),
        }
        for code in marks
    ]


def shown(judged, told_by_task, tries, points, asked, people, *, is_released):
    """Hints and feedback, as far as they may be told (`telling.told_on_phone`). `tries` says by
    (person, task) how many there were, `asked` which question there is about a reading, by its key:
    only beside an answer that is told, so that no question gives one away. `people` are those of
    the phone, each told lengths in their own unit.
    """
    lengths_of = {str(person.pk): units_of(person).lengths for person in people}
    results = []
    for judgement in judged:
        what = told_by_task.get((judgement.person, judgement.task), telling.NOTHING)
        if what == telling.HINT:
            results.append(hint(judgement))
        elif what == telling.ANSWER:
            is_again = tries[judgement.person, judgement.task] > 1 and not is_released
            told_now = feedback(
                judgement, points, is_again=is_again, lengths=lengths_of[judgement.person]
            )
            if question := asked.get(judgement.reading.key):
                told_now["question"] = question
            results.append(told_now)
    return results


def taken_text(taken, telling):
    """The final word on a reply that was sent, in the shape of that on a reading."""
    return {
        "id": taken.client_id,
        "status": taken.status,
        "message": "" if taken.status in ("stored", "again") else told(taken.message),
        "task": "",
        "person": None,
        "graded": False,
        "tells": taken.task if taken.task in telling else "",
    }


def outcome_text(outcome, dropped, telling):
    """The final word on a reading that was sent. `dropped` are the tasks that do not count,
    `telling` those of which something may be told by now: what the phone asks for next.
    """
    reading = outcome.reading
    task = reading.task if reading else ""
    return {
        "id": outcome.client_id,
        "status": outcome.status,
        "message": _message(outcome, dropped),
        "task": task,
        "person": reading.person_id if reading else None,
        "graded": bool(reading) and not reading.problem,
        "tells": task if task in telling else "",
    }


def _message(outcome, dropped):
    """What there is to say of a reading; nothing of one that was simply kept."""
    reading = outcome.reading
    if reading and reading.task in dropped:
        return tell("Kept, but task {task} does not count any more.", task=reading.task)
    is_plain = (
        reading
        and not reading.problem
        and not reading.is_late
        and outcome.status in ("stored", "again")
    )
    return "" if is_plain else told(outcome.message)
