"""The trainer's tasks with everything that its page needs to judge an answer without the network,
in the reader's language.
"""

from ..domain.earth.norths import NORTH_WORDS
from ..domain.mistakes import causes
from ..domain.planning import practice
from ..domain.tasks.kinds import kind_of
from ..languages import told
from .wording import answer_text, place_sentence, prompt


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
    kind = kind_of(answer.kind)
    return {
        "kind": answer.kind,
        "widget": kind.widget,
        "needle": kind.reads_needle,
        "prompt": prompt(answer, points),
        "target": answer.target,
        "answer_deg": answer.expected_deg,
        "true_deg": answer.bearings_deg["true"],
        "north": answer.north,
        "north_said": told(NORTH_WORDS[answer.north]),
        "answer_said": _said(answer, points),
        "full_credit_deg": answer.band.full_credit_deg,
        "sentence": place_sentence(answer),
        "wrongs": [_wrong(wrong, kind.setting) for wrong in practice.wrongs(answer)],
    }


def _wrong(wrong, setting):
    return {
        "degrees": wrong.degrees,
        "hint": told(causes.hint(wrong.cause, 1.0, setting)),
        "cause": told(causes.sentence(wrong.cause, setting)),
        "advice": told(causes.advice(wrong.cause, setting)),
    }


def _said(answer, points):
    return (
        f"{points[answer.target]['name']}, {answer_text(answer)}"
        if kind_of(answer.kind).widget == "target"
        else answer_text(answer)
    )
