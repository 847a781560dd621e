"""The debrief as screens to show to a class, in their order: what happened, the ground and the
compasses, what everybody is taught, each task. No screen names a person, or tells what one or two
did.
"""

from django.utils.text import capfirst

from ..domain.words import say, say_many
from ..drawing.bars import credit_bar, readings_bar
from ..languages import tell, tell_many, told
from .answers import words_of
from .answers.base import listed
from .causes import WORDS as CAUSES, advice_on
from .corrected_key import dropped_text
from .ground_faults import is_ground_judged, sound_ground
from .remedies import exercise
from .show_ground import compass_drawing, compasses_told, ground_screens
from .show_tasks import credit_counts, credit_texts, drawn_pairs, positions_of, task_chart
from .units import angles_of, angles_seen_by

MOST_TAUGHT = 3  # on the first screen; nobody remembers more
STEADIER_NAME = say("near, but outside the tolerance")
STEADIER_SENTENCE = say("Every step was right, and the number a little off.")
STEADIER_ADVICE = say(
    "Hold it level, let the needle come to rest, sight twice, then read to the tick."
)


def screens(whole):
    """The screens in order, each as plain values with an `id` for its address and the `part` by
    which its template goes; none for a class without readings. `whole` is a `Debriefed`.
    """
    if not whole.judged:
        return []
    positions = positions_of(whole)
    hazards = [hazard.as_domain() for hazard in whole.course_class.course.site.hazards.all()]
    angles = angles_seen_by(whole.course_class, whole.judged)
    charts = {
        answer.task: task_chart(answer, whole, positions, hazards, angles)
        for answer in whole.answers
    }
    ground, compasses = list(ground_screens(whole, charts)), compasses_told(whole)
    return [
        {
            "part": "first",
            "id": "what",
            "title": tell("What happened"),
            **_first(whole, ground, compasses),
        },
        *_numbered("ground", ground),
        *_compass_screen(whole, compasses, is_ground_sound=not ground),
        *_numbered("lesson", [_lesson(lesson, whole) for lesson in whole.told.taught]),
        *_numbered("task", charts.values()),
        *_numbered("pair", drawn_pairs(whole, positions)),
    ]


def _numbered(part, made):
    """Screens of one part, with their addresses: `task-1` and so on."""
    return [{"part": part, "id": f"{part}-{number}", **one} for number, one in enumerate(made, 1)]


def _first(whole, ground, compasses):
    """What happened, what to teach, and what was nobody's fault, to be read in ten seconds."""
    found = whole.told
    shown = found.taught[:MOST_TAUGHT]
    counts = credit_counts(whole.judged)
    nobodys = [
        (_ground_name(ground), found.ground),
        (_compass_name(compasses), found.compasses),
    ]
    return {
        "sent": tell_many(
            "{number} person sent {readings}",
            "{number} people sent {readings}",
            len(whole.people),
            readings=_readings(len(whole.judged)),
        ),
        **_credit(counts),
        "taught": [
            _bar(_words(lesson)[0], len(lesson.readings), len(lesson.people), found.missed)
            for lesson in shown
        ],
        "taught_besides": _besides(found.taught[MOST_TAUGHT:]),
        "not_theirs": [
            _bar(told(name), len(readings), 0, found.missed)
            for name, readings in nobodys
            if readings
        ],
        "dropped": dropped_text(whole),
        "adds_up": _adds_up(found),
    }


def _besides(lessons):
    """What is taught further on, by name; empty where the first screen shows all."""
    names = [_words(lesson)[0] for lesson in lessons]
    return tell("And further on: {names}.", names=listed(names)) if names else ""


def _ground_name(ground):
    """The ground, with what of it is at fault where that is known."""
    if not ground:
        return say("the ground")
    return say("ground at {places}", places=", ".join(one["short"] for one in ground))


def _compass_name(compasses):
    """Compasses, with their numbers where more than one person held them."""
    if not compasses:
        return say("a compass")
    return say("compass {numbers}", numbers=", ".join(one["short"] for one in compasses))


def _credit(counts):
    """How many readings earned each credit, as a bar and in words beside their marks."""
    texts = credit_texts(counts)
    return {
        "credit_bar": credit_bar(*counts, ", ".join(words for _, words in texts)),
        "credits": texts,
    }


def _adds_up(found):
    """Where the readings without full credit belong: the parts make the whole, and who counts the
    lessons comes to the first of them.
    """
    taught = sum(len(lesson.readings) for lesson in found.taught)
    nobodys, unclear = len(found.not_theirs), len(found.unclear)
    return tell_many(
        "{number} reading missed full credit: {taught} to teach from, {nobodys} nobody’s fault, "
        "{single} single slips, {unclear} unclear.",
        "{number} readings missed full credit: {taught} to teach from, {nobodys} nobody’s fault, "
        "{single} single slips, {unclear} unclear.",
        found.missed,
        taught=taught,
        nobodys=nobodys,
        unclear=unclear,
        single=found.missed - taught - nobodys - unclear,
    )


def _bar(name, readings, people, missed):
    """A bar with its name and its figures, as a part of all readings that missed full credit;
    without people where it was nobody's fault.
    """
    figures = _readings_of(readings, people) if people else told(_readings(readings))
    return {
        "name": name,
        "figures": figures,
        "bar": readings_bar(readings, people, missed, f"{name}: {figures}"),
    }


def _readings(number):
    return say_many("{number} reading", "{number} readings", number)


def _readings_of(readings, people):
    """How many readings of how many people."""
    return tell_many(
        "{number} reading of {people}",
        "{number} readings of {people}",
        readings,
        people=say_many("{number} person", "{number} people", people),
    )


def _compass_screen(whole, compasses, *, is_ground_sound):
    """Shared compasses at fault; or that neither they nor the ground are, which is said as well."""
    if compasses or is_ground_sound:
        yield {
            "part": "compasses",
            "id": "compasses",
            "title": tell("The ground and the compasses")
            if is_ground_sound
            else tell("The compasses"),
            "compasses": compasses,
            "drawing": compass_drawing(whole),
            "is_ground_sound": is_ground_sound,
            "is_ground_judged": is_ground_judged(whole),
        }


def _lesson(lesson, whole):
    """One card to teach from: the dial, the sentence, two minutes."""
    example = lesson.example
    words = words_of(example.answer)
    name, sentence, advice = _words(lesson)
    return {
        "title": capfirst(name),
        "figures": _readings_of(len(lesson.readings), len(lesson.people)),
        "sentence": sentence,
        "say": advice,
        "exercise": exercise(lesson.code, sound_ground(whole), whole.key.points),
        "evidence": tell(
            "Task {task}: {reading} where {answer} is right.",
            task=example.task,
            reading=words.reading_text(example),
            answer=words.answer_text(example.answer, angles_of(example)),
        ),
        "drawing": words.picture(example),
    }


def _words(lesson):
    """The name of a lesson, the sentence that says what happened, and what to do about it; those of
    steadier hands where nothing was wrong.
    """
    if lesson.code == "ok":
        return told(STEADIER_NAME), told(STEADIER_SENTENCE), told(STEADIER_ADVICE)
    setting = words_of(lesson.example.answer).setting
    cause = CAUSES[lesson.code]
    return (
        told(cause.name),
        told(cause.said("sentence", setting)),
        told(advice_on(lesson.code, setting)),
    )
