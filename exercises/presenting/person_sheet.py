"""One person's page: readings on dials, how sure and how steady they were, what to practise."""

import uuid
from functools import partial
from typing import Any, NamedTuple

from ..domain.mistakes import causes
from ..domain.results import cohort
from ..domain.tasks.kinds import reads_needle
from ..languages import tell, told
from .answers import words_of
from .causes import WORDS as CAUSES, name_of
from .feedback import CREDIT_MARKS, CREDIT_WORDS, advice, well_and_cause
from .ground_faults import sound_ground
from .lengths import lengths_in
from .passing import passing_lines
from .remedies import exercise
from .units import angles_of

ENOUGH_FOR_SCATTER = 5  # bearings read off a dial
MOST_TO_PRACTISE = 2


class Around(NamedTuple):
    """A person among those of a class: the one before and the one after, or None, and the place in
    their order from 1 on.
    """

    person: Any
    before: Any
    after: Any
    place: int


def neighbours(people, key):
    """The person with a key among some in their order, as `Around`; None if there is none."""
    for index, person in enumerate(people):
        if person.pk == key:
            return Around(
                person,
                people[index - 1] if index else None,
                people[index + 1] if index + 1 < len(people) else None,
                index + 1,
            )
    return None


def sheet(whole, person):
    """The page of a person; `whole` is a `Debriefed`."""
    judged = whole.by_person.get(str(person.pk), [])
    lengths = lengths_in(person.lengths, person.pace_m)
    order = {answer.task: index for index, answer in enumerate(whole.answers)}
    return {
        "person": person,
        "readings": [
            _on_sheet(judgement, whole.key.points, lengths)
            for judgement in sorted(judged, key=lambda judgement: order[judgement.task])
        ],
        "credit": tell(
            "Credit {credit:g} of {number}.",
            credit=sum(judgement.credit for judgement in judged),
            number=len(judged),
        ),
        "passing": passing_lines(whole.passing(person)) if judged else [],
        "scatter": _scatter(whole.diagnosis.people.get(str(person.pk)), judged),
        "practise": [
            (
                told(CAUSES[count.code].name),
                told(CAUSES[count.code].advice),
                exercise(count.code, sound_ground(whole), whole.key.points),
            )
            for count in cohort.causes_by_credit_lost(judged)[:MOST_TO_PRACTISE]
        ],
    }


def with_labels(made, labels):
    """A page with what somebody said truly happened, and with what could be said: for the
    instructor.
    """
    last = {label.reading_id: label for label in labels}
    for reading in made["readings"]:
        label = last.get(reading["key"])
        reading["label"] = label and told(name_of(label.cause))
        reading["labels"] = label_choices(reading["likely"])
        reading["client_id"] = uuid.uuid4()
    return made


def label_choices(likely):
    """Causes to choose from, those that the diagnosis thought of first, as (code, name). Faults of
    the ground and of a compass are not among them: nobody sees these from a person.
    """
    codes = dict.fromkeys(map(causes.of_person, (*likely, *causes.CODES)))
    return [(code, told(name_of(code))) for code in codes]


def _scatter(posterior, judged):
    """How steady the person reads; empty where too few readings tell."""
    if not posterior or sum(map(reads_dial, judged)) < ENOUGH_FOR_SCATTER:
        return ""
    return tell(
        "Your sound readings scatter by about {degrees:.0f}° either way.",
        degrees=posterior.scatter_deg,
    )


def reads_dial(judged):
    """Whether a reading tells of its person's scatter."""
    return reads_needle(judged.answer) and judged.answer.form.in_figures


def _on_sheet(judgement, points, lengths):
    words, answer = words_of(judgement.answer), judgement.answer
    well, cause = well_and_cause(judgement, points)
    return {
        "task": judgement.task,
        "station": answer.station,
        "mark": CREDIT_MARKS[judgement.credit],
        "credit": str(CREDIT_WORDS[judgement.credit]),
        "own": words.own_text(judgement.reading.seen),
        "reading": words.reading_text(judgement),
        "note": words.note(judgement),
        "answer": words.answer_text(answer, angles_of(judgement)),
        "error": words.off_text(judgement, lengths),
        "well": well,
        "cause": cause,
        "advice": "" if judgement.cause == "ok" else advice(judgement),
        # made when it is asked for: a print asks for the one, a page for the other
        "dial": partial(words.picture, judgement, lengths),
        "figure": partial(words.figure, judgement),
        "key": judgement.reading.key,
        "likely": (judgement.cause, *(code for code, _ in judgement.verdict.alternatives)),
    }
