"""What a course can show, in words: habits and stations with their chances, and the task more that
would add most.
"""

import math

import numpy as np

from ..domain.planning import power
from ..domain.planning.further import KIND, PRESET, further_answers
from ..languages import tell, told
from ..vocabulary import NORTHS
from .answers import words_of
from .causes import name_of
from .probabilities import percent

SEED = 1  # of the people drawn: a page that is loaded again says the same
# From which chance what is said of it; common practice, no source.
OFTEN = ((0.9, "surely"), (0.7, "mostly"), (0.4, "evenly"), (0.1, "seldom"), (0.0, "hardly"))


def power_text(answers, ground, on, people):
    """What a course with so many people can show, ready to print."""
    found = power.power(
        answers,
        people,
        rng=np.random.default_rng(SEED),
        candidates=further_answers(answers, ground, on),
    )
    return {
        "habits": [
            (told(name_of(one.habit)), often(one.chance), percent(one.chance))
            for one in found.habits
        ],
        "stations": [
            (one.station, least_text(one.least_deg), percent(one.chance()))
            for one in found.stations
        ],
        "further": further_text(found.further),
        "fields": _fields(found.further),
    }


def often(chance):
    """A chance in words.

    >>> often(0.93), often(0.5), often(0.02)
    ('almost always', 'about every other time', 'hardly ever')
    """
    code = next(code for least, code in OFTEN if chance >= least)
    return {
        "surely": tell("almost always"),
        "mostly": tell("mostly"),
        "evenly": tell("about every other time"),
        "seldom": tell("seldom"),
        "hardly": tell("hardly ever"),
    }[code]


def least_text(least_deg):
    """The smallest bias that is found, as it is said: never less than it is."""
    if least_deg is None:
        return tell("none")
    return tell("{degrees:.1f}°", degrees=math.ceil(least_deg * 10.0) / 10.0)


def further_text(further):
    """Which task more would add most, and what it would add."""
    if further is None:
        return tell("No one task more on this ground would add much.")
    line = {
        "line": words_of(further.answer).line_text(further.answer),
        "north": told(NORTHS[further.answer.north]),
    }
    if not further.habit:
        return tell(
            "One task more that would add most: sight {line}, asked in {north}. The smallest bias "
            "found at {station} would be {after} and no longer {before}.",
            station=further.station,
            before=least_text(further.was_deg),
            after=least_text(further.would_be_deg),
            **line,
        )
    was, would_be, habit = percent(further.was), percent(further.would_be), name_of(further.habit)
    if further.would_be - further.was < power.ALIKE or was == would_be:
        return tell(
            "One task more that would add most: sight {line}, asked in {north}. It is a step "
            "towards showing “{habit}”, for which one task alone is not enough.",
            habit=habit,
            **line,
        )
    return tell(
        "One task more that would add most: sight {line}, asked in {north}. Somebody with the "
        "habit “{habit}” would then be known {would_be} of the time, and not {was}.",
        habit=habit,
        was=was,
        would_be=would_be,
        **line,
    )


def _fields(further):
    """The hidden fields of the button that adds the task, as the proposal's form has them."""
    if further is None:
        return {}
    answer = further.answer
    return {
        "number": 1,
        "kind": KIND,
        "north": answer.north,
        "preset": PRESET,
        "take": f"{answer.station}>{answer.target}>{answer.north}",
    }
