"""One person's sheet over several classes, ready to print."""

from django.utils.formats import date_format

from .. import vocabulary
from ..domain.results import own_classes
from ..domain.words import say
from ..languages import tell, told
from .causes import WORDS as CAUSES

CHANGES = {"rising": say("better now"), "falling": say("better before")}  # of others nothing


def own_classes_text(held):
    """What a person did in classes; `held` are (`Debriefed`, person), the earliest first. The cells
    of a row are (day, class, what there is to say), of the classes that had some.
    """
    fair = [_fair(whole, person) for whole, person in held]
    columns = [_class(whole) for whole, _ in held]
    return {
        "skills": [
            (
                told(vocabulary.KINDS[skill.kind]),
                [(*column, _of(share)) for column, share in _both(columns, skill.shares) if share],
                told(CHANGES[skill.change]) if skill.change in CHANGES else "",
            )
            for skill in own_classes.skills(fair)
        ],
        "mistakes": [
            (
                told(CAUSES[code].name),
                [(*column, count) for column, count in _both(columns, counts) if count],
            )
            for code, counts in own_classes.mistakes(fair).items()
        ],
        "passed": [_class(whole) for whole, person in held if _passed(whole.passing(person))],
    }


def _both(columns, cells):
    return zip(columns, cells, strict=True)


def _fair(whole, person):
    """A person's judged readings, without those that are nobody's fault."""
    key = str(person.pk)
    spoilt = {judged.task for judged in whole.told.not_theirs if judged.person == key}
    return [judged for judged in whole.by_person.get(key, []) if judged.task not in spoilt]


def _class(whole):
    """A class as its day and its name."""
    held = whole.course_class
    return date_format(held.date, "j M Y"), held.name


def _passed(found):
    return found is not None and found.passed


def _of(share):
    """How many readings of how many had full credit."""
    return tell("{hits} of {number}", hits=share.hits, number=share.number)
