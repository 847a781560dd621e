"""One person's page: readings on dials, how sure and how steady they were, what to practise."""

from ..domain.results import cohort
from ..domain.tasks.kinds import reads_needle
from ..languages import tell, told
from .answers import words_of
from .causes import WORDS as CAUSES
from .feedback import CREDIT_MARKS, CREDIT_WORDS, advice, cause_sentence
from .ground_faults import sound_ground
from .remedies import exercise

ENOUGH_FOR_SCATTER = 5  # bearings read off a dial
MOST_TO_PRACTISE = 2


def sheet(whole, person):
    """The page of a person; `whole` is a `Debriefed`."""
    own = whole.by_person.get(str(person.pk), [])
    order = {answer.task: index for index, answer in enumerate(whole.answers)}
    return {
        "person": person,
        "readings": [
            _on_sheet(one, whole.key.points) for one in sorted(own, key=lambda one: order[one.task])
        ],
        "credit": tell(
            "Credit {credit:g} of {number}.",
            credit=sum(one.credit for one in own),
            number=len(own),
        ),
        "scatter": _scatter(whole.diagnosis.people.get(str(person.pk)), own),
        "practise": [
            (
                told(CAUSES[count.code].name),
                told(CAUSES[count.code].advice),
                exercise(count.code, sound_ground(whole), whole.key.points),
            )
            for count in cohort.causes_by_credit_lost(own)[:MOST_TO_PRACTISE]
        ],
    }


def _scatter(found, own):
    """How steady the person reads; empty where too few readings tell."""
    if not found or sum(map(reads_dial, own)) < ENOUGH_FOR_SCATTER:
        return ""
    return tell(
        "Your sound readings scatter by about {degrees:.0f}° either way.",
        degrees=found.scatter_deg,
    )


def reads_dial(judged):
    """Whether a reading tells of its person's scatter."""
    return reads_needle(judged.answer) and judged.answer.form.in_figures


def _on_sheet(one, points):
    words, answer = words_of(one.answer), one.answer
    return {
        "task": one.task,
        "station": answer.station,
        "mark": CREDIT_MARKS[one.credit],
        "credit": str(CREDIT_WORDS[one.credit]),
        "own": words.own_text(one.reading.seen),
        "reading": words.reading_text(one),
        "note": words.note(one),
        "answer": words.answer_text(answer),
        "error": words.off_text(one),
        "cause": cause_sentence(one, points),
        "advice": "" if one.cause == "ok" else advice(one),
        "dial": words.picture(one),
    }
