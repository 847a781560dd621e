"""The trainer's tasks with everything that its page needs to judge an answer without the network,
in the reader's language.
"""

from .. import vocabulary
from ..domain.planning import practice
from ..domain.tasks.kinds import kind_of
from ..languages import told
from .answers import words_of
from .causes import advice_on, hint_on, sentence_on
from .north_sentences import place_sentence


def everything():
    """The places with their landmarks and tasks, as JSON can hold it."""
    return [_place(place) for place in practice.PLACES]


def _place(place):
    points = {landmark.code: {"name": told(landmark.name)} for landmark in place.landmarks}
    return {
        "code": place.code,
        "name": told(place.name),
        "declination_deg": place.norths.declination_deg,
        "landmarks": [
            {
                "code": landmark.code,
                "name": told(landmark.name),
                "bearing_deg": landmark.bearing_deg,
            }
            for landmark in place.landmarks
        ],
        "tasks": [_task(answer, points) for answer in practice.tasks(place)],
    }


def _task(answer, points):
    words, kind = words_of(answer), kind_of(answer.kind)
    return {
        "kind": answer.kind,
        "widget": answer.form.code,
        "needle": kind.reads_needle,
        "prompt": words.prompt(answer, points),
        "target": answer.target,
        "answer_deg": answer.expected_deg,
        "true_deg": answer.bearings_deg["true"],
        "north": answer.north,
        "north_said": told(vocabulary.NORTHS[answer.north]),
        "answer_said": _said(words, answer, points),
        "full_credit_deg": answer.band.full_credit_deg,
        "sentence": place_sentence(answer),
        "wrongs": [_wrong(wrong, kind.setting) for wrong in practice.wrongs(answer)],
    }


def _wrong(wrong, setting):
    return {
        "degrees": wrong.degrees,
        "hint": told(hint_on(wrong.cause, 1.0, setting)),
        "cause": told(sentence_on(wrong.cause, setting)),
        "advice": told(advice_on(wrong.cause, setting)),
    }


def _said(words, answer, points):
    """The right answer, a target by its name as well."""
    text = words.answer_text(answer)
    if not answer.form.choices(answer):
        return text
    return f"{points[answer.target]['name']}, {text}"
