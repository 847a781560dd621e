"""The trainer's tasks with everything that its page needs to judge an answer without the network,
in the reader's language.
"""

from .. import vocabulary
from ..domain.planning import practice
from ..domain.tasks.kinds import kind_of
from ..domain.words import say
from ..languages import told
from .answers import words_of
from .causes import advice_on, hint_on, sentence_on
from .north_sentences import place_sentence

PLACES = {
    "hill": say("The hill, declination 12° east"),
    "bay": say("The bay, declination 9° west"),
}
LANDMARKS = {
    "hill": {
        "A": say("the windmill"),
        "B": say("the water tank"),
        "C": say("the chapel tower"),
        "D": say("the lone pine"),
        "E": say("the boathouse"),
    },
    "bay": {
        "A": say("the lighthouse"),
        "B": say("the crane"),
        "C": say("the flagpole"),
        "D": say("the white house"),
        "E": say("the radio mast"),
    },
}


def everything():
    """The places with their landmarks and tasks, as JSON can hold it."""
    return [_place(place) for place in practice.PLACES]


def _place(place):
    points = {code: {"name": told(name)} for code, name in LANDMARKS[place.code].items()}
    return {
        "code": place.code,
        "name": told(PLACES[place.code]),
        "declination_deg": place.norths.declination_deg,
        "landmarks": [
            {
                "code": landmark.code,
                "name": points[landmark.code]["name"],
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
        "wrongs": [wrong_words(wrong, kind.setting) for wrong in practice.wrongs(answer)],
    }


def wrong_words(wrong, setting):
    """A number to which a mistake leads, with what is said of it."""
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
