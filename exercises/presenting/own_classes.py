"""One person's sheet over several classes, ready to print."""

from django.utils.formats import date_format

from .. import vocabulary
from ..domain.results import own_classes
from ..domain.words import say
from ..languages import tell, told
from .causes import WORDS as CAUSES

CHANGES = {
    "rising": say("better now"),
    "falling": say("better before"),
    "steady": say("too few readings to tell a change"),
    own_classes.UNTOLD: say("one class"),
}


def own_classes_text(held):
    """What a person did in classes; `held` are (`Debriefed`, person), the earliest first."""
    fair = [_fair(whole, person) for whole, person in held]
    return {
        "classes": [_class(whole, person) for (whole, person) in held],
        "skills": [
            (
                told(vocabulary.KINDS[skill.kind]),
                [_of(share) for share in skill.shares],
                told(CHANGES[skill.change]),
            )
            for skill in own_classes.skills(fair)
        ],
        "mistakes": [
            (told(CAUSES[code].name), [str(count) if count else "–" for count in counts])
            for code, counts in own_classes.mistakes(fair).items()
        ],
    }


def _fair(whole, person):
    """A person's judged readings, without those that are nobody's fault."""
    key = str(person.pk)
    spoilt = {judged.task for judged in whole.told.not_theirs if judged.person == key}
    return [judged for judged in whole.by_person.get(key, []) if judged.task not in spoilt]


def _class(whole, person):
    """A class as the head of a column: its day, its name, and what the person has to say of it."""
    found = whole.passing(person)
    return {
        "date": date_format(whole.course_class.date, "j M Y"),
        "name": whole.course_class.name,
        "passed": tell("passed") if found and found.passed else "",
    }


def _of(share):
    """How many readings of how many had full credit."""
    return tell("{hits} of {number}", hits=share.hits, number=share.number) if share else "–"
