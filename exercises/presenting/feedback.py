"""What a participant sees of one reading: a question before a second try, or the whole result."""

from django.utils.translation import gettext_lazy as _

from ..domain.mistakes import causes
from ..domain.tasks.kinds import kind_of
from ..languages import tell, told
from .answers import words_of
from .answers.base import is_sound
from .causes import name_of
from .glossary.uses import of_cause
from .headings import heading, plain_name
from .lengths import IN_METRES
from .north_sentences import place_sentence
from .units import angles_of

CREDIT_WORDS = {1.0: _("Full credit"), 0.5: _("Part credit"), 0.0: _("No credit")}
AGAIN_WORDS = {1.0: _("Now it is right"), 0.5: _("Nearly there"), 0.0: _("Not yet")}
CREDIT_MARKS = {1.0: "full", 0.5: "part", 0.0: "none"}
NO_MISTAKE = ("ok", "unexplained")
# what people know of themselves whatever the numbers say
USUAL = ("reversed", "other_target", "other_station", "digits_swapped")


def well_and_cause(judged, points):
    """What was right, and what happened; where two mistakes are about as likely, both are named.
    Where the one follows from the other, and that is only probable, it is said of both in one
    breath: the second is then empty. `points` holds the key's points by code.
    """
    well = words_of(judged.answer).went_right(judged)
    sentence, is_probable = _cause(judged, points)
    if well.is_probable and is_probable:
        return _probably(f"{well.text} {sentence}"), ""
    return well.text, _probably(sentence) if is_probable else sentence


def _probably(sentence):
    return tell("Probably: {sentence}", sentence=sentence)


def _cause(judged, points):
    """What happened, and whether that is to be said with a "probably"."""
    words, verdict = words_of(judged.answer), judged.verdict
    likely = (verdict.cause, *(code for code, _ in verdict.alternatives))
    mistakes = [plain_name(code) for code in likely if code not in NO_MISTAKE]
    is_open = verdict.cause == "unexplained"  # nobody is probably unable to tell
    if is_sound(judged):
        return words.sound_sentence(judged), False
    if judged.cause == "ok" and verdict.is_sure:
        return words.nothing_wrong(judged), False
    if verdict.is_certain or not mistakes:
        return words.sure_sentence(judged, points), False
    if verdict.is_sure:
        return words.sure_sentence(judged, points), not is_open
    if verdict.cause in NO_MISTAKE or len(mistakes) == 1:
        sentence = tell("We cannot tell for certain. It may be this: “{cause}”.", cause=mistakes[0])
        return sentence, False
    return words.either(mistakes[0], mistakes[1]), False


def advice(judged):
    """What to do about it, with this place's sentence where the declination is in it."""
    words = words_of(judged.answer)
    if is_sound(judged):
        return words.sound_advice()
    sentence = words.advice(judged)
    begin, end = kind_of(judged.answer.kind).arithmetic(judged.answer)
    if "declination" in judged.cause and (begin != end or end == "magnetic"):
        return f"{sentence} {place_sentence(judged.answer, angles_of(judged))}"
    return sentence


def hint(judged):
    """What a participant sees before a second try: their own reading, and a question about it."""
    words = words_of(judged.answer)
    return {
        "task": judged.task,
        "person": int(judged.person),
        "own": words.repeated(judged),
        "hint": words.hint(judged),
        "words": _words(judged),
    }


def feedback(judged, points, *, is_again=False, lengths=IN_METRES):
    """What a participant sees of one reading; `is_again` of a second try, which is for learning and
    not for the records. `lengths` are the words of the unit that the person chose.
    """
    words, credit = words_of(judged.answer), AGAIN_WORDS if is_again else CREDIT_WORDS
    well, cause = well_and_cause(judged, points)
    return {
        "task": judged.task,
        "person": int(judged.person),
        "credit": str(credit[judged.credit]),
        "heading": str(credit[1.0]) if judged.credit == 1.0 else heading(judged),
        "well": well,
        "mark": CREDIT_MARKS[judged.credit],
        "note": tell("Your first reading stands in the records; this one was for learning.")
        if is_again
        else words.note(judged),
        "own": words.own_text(judged.reading.seen),
        "reading": words.reading_text(judged),
        "answer": words.answer_text(judged.answer, angles_of(judged)),
        "error": words.off_text(judged, lengths),
        "cause": cause,
        "advice": advice(judged),
        "dial": words.sent_to_phone(judged, lengths),
        "words": [] if is_sound(judged) else _words(judged),
        "about": judged.reading.key,
        "instead": _instead(judged),
    }


def _words(judged):
    verdict = judged.verdict
    return list(of_cause(verdict.cause, verdict.probability, words_of(judged.answer).setting))


def _instead(judged):
    """What else it may have been, as (code, name), for who knows better; nothing of a sound
    reading.
    """
    if is_sound(judged):
        return []
    likely = [code for code, _ in judged.verdict.alternatives]
    codes = dict.fromkeys(map(causes.of_person, (judged.cause, *likely, "ok", *USUAL)))
    single = [code for code in codes if code != "unexplained" and len(causes.parts(code)) == 1]
    return [{"code": code, "text": told(plain_name(code))} for code in single]


def cause_name(judged):
    """The likeliest cause by its name; empty of a sound reading."""
    return "" if judged.cause == "ok" else told(name_of(judged.cause))
