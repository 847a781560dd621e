"""The questions that a phone may ask about a reading, in words; and about which one it does."""

from collections import Counter

from ..domain.diagnosis import questions
from ..domain.words import say
from ..languages import tell, told
from .answers.base import name_of
from .glossary.uses import OF_QUESTIONS
from .headings import open_heading

ONE_IN = 3  # of a person's readings may be asked about
PROMPTS = {
    "needle_end": say("Which end of the needle was in the arrow?"),
    "arithmetic": say("Did you add anything to the number, or subtract anything?"),
    "aimed_at": say("Which thing did you aim at?"),
}
REPLIES = {
    questions.MARKED_END: say("The marked end (often red, or with an N)"),
    questions.OTHER_END: say("The other end"),
    questions.ADDED: say("Added"),
    questions.SUBTRACTED: say("Subtracted"),
    questions.NOTHING: say("Neither"),
}


def not_asked(rows):
    """The people of some readings, by their keys as text, of whom nothing more is asked: at most
    one in ONE_IN of the readings they gave is. `rows` are these as stored, with their replies.
    """
    given, replied = Counter(), Counter()
    for row in rows:
        given[str(row.whose.pk)] += 1
        replied[str(row.whose.pk)] += hasattr(row, "reply")
    return {person for person in given if ONE_IN * (replied[person] + 1) > given[person]}


def questions_for(judged, points):
    """The question about each judged reading that has one, by its key, ready for a phone. `points`
    holds the key's points by code.
    """
    return {
        judgement.reading.key: question_text(judgement, points)
        for judgement in judged
        if judgement.verdict.question
    }


def question_text(judgement, points):
    """One question as a phone shows it; things by their names alone, as tasks do."""
    code = judgement.verdict.question
    question, answer = questions.QUESTIONS[code], judgement.answer
    return {
        "about": judgement.reading.key,
        "code": code,
        "heading": open_heading(judgement),
        "prompt": told(PROMPTS[code]),
        "why": tell("Your number alone does not say what happened. It changes no credit."),
        "choices": [
            {
                "code": reply,
                "text": told(REPLIES[reply]) if reply in REPLIES else name_of(reply, points),
            }
            for reply in question.replies(answer)
        ],
        "words": list(OF_QUESTIONS.get(code, ())),
    }
