"""Practice at home beside what a class found: what a person says they have done, and which lesson
fits a mistake.
"""

from ..domain.planning.home_lessons import REPEATS
from ..languages import tell, told
from .lessons.course import TITLES


def titles_text(person):
    """The lessons that a person says they have done at home, by name; nothing without any."""
    return "; ".join(told(TITLES[code]) for code in person.lessons_at_home() if code in TITLES)


def lesson_text(cause, person):
    """The lesson for home that fits a mistake, and whether this person says they have done it;
    nothing where no lesson fits.
    """
    if cause not in REPEATS:
        return ""
    lesson = told(TITLES[REPEATS[cause]])
    if REPEATS[cause] in person.lessons_at_home():
        return tell("“{lesson}” is done already. Do it once more together.", lesson=lesson)
    return tell("the lesson “{lesson}”.", lesson=lesson)
