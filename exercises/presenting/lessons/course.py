"""Lessons for home as their page needs them: every question with its drawing, every choice with
what happened, in the reader's language. The page only shows them, and needs no network for it.
"""

import random
from functools import lru_cache

from ...domain.planning import home_lessons
from ...domain.planning.sighted_rounds import LABELS_DEG
from ...domain.words import say
from ...drawing import lesson as drawings
from ...drawing.baseplate import baseplate
from ...drawing.signs import signs
from ...languages import tell, told
from ..north_sentences import declination_text
from . import ends, paper, sighted
from .base import shown

ROUNDS = {
    "hold": sighted.Hold(),
    "ahead": sighted.Ahead(),
    "boxed": sighted.Boxed(),
    "turn": sighted.Turn(),
    "where": sighted.Where(),
    "read": sighted.Read(),
    "needle": ends.Needle(),
    "quarter": ends.Quarter(),
    "slip": ends.Slip(),
    "edge": paper.Edge(),
    "housing": paper.Housing(),
    "estimate": paper.Estimate(),
    "needless": paper.Needless(),
    "convert": paper.Convert(),
}
TITLES = {
    "hold": say("Hold it, and face"),
    "box": say("Box the needle"),
    "read": say("Read the dial"),
    "end": say("Which end?"),
    "map": say("A bearing off the map"),
    "declination": say("Declination, both ways"),
}
BEGINNINGS = {
    "hold": say(
        "Hold the compass level before you, the arrow of the plate (the travel arrow) away from "
        "you. To aim, turn your feet: you and the compass turn as one."
    ),
    "box": say(
        "The needle stays with north while everything else turns. Turn the dial (the housing) "
        "until the marked end of the needle (its north end, often red) lies in the arrow of the "
        "dial (the orienting arrow). That is called boxing the needle."
    ),
    "read": say(
        "The number is read in one place only: at the line where the arrow of the plate begins "
        "(the index line). Find the printed number before it, then count the small lines (ticks) "
        "up, clockwise."
    ),
    "end": say(
        "The north end of the needle is marked, often red. With the other end in the orienting "
        "arrow a bearing points exactly the wrong way. The quarter of the circle tells."
    ),
    "map": say(
        "On a map the compass measures angles, and the needle has no part in it. Lay the edge "
        "along your line, turn the housing until its lines lie along the lines of the sheet, N "
        "to the top, and read."
    ),
    "declination": say(
        "The needle points to magnetic north, the lines of the map to true north. The angle "
        "between the two is the declination. One sentence says what to do with it; on the way "
        "back, do the opposite."
    ),
}
NOW = {
    "hold": say("You can hold a compass so that it points where you face."),
    "box": say("You can box the needle, and you know when it is not boxed."),
    "read": say("You can read a bearing to the tick."),
    "end": say("You can tell from the quarter that the wrong end of the needle was boxed."),
    "map": say("You can take a bearing off a map, and you leave the needle out of it."),
    "declination": say(
        "You can turn a bearing from magnetic to true and back, with the declination east or west."
    ),
}


def course(setting):
    """All lessons of a setting with their drawings, as a page's JSON can hold them."""
    return {
        "link": home_lessons.link_of(setting),
        "lessons": [_lesson(code, setting) for code in home_lessons.LESSONS],
        "drawings": _drawings(setting),
        "signs": signs(),
    }


def _lesson(code, setting):
    """A lesson, with some sets of rounds so that a repeated one is another."""
    return {
        "code": code,
        "title": told(TITLES[code]),
        "begin": told(BEGINNINGS[code]),
        "now": told(NOW[code]),
        "sets": [
            [shown(ROUNDS[made.code], made) for made in rounds] for rounds in _sets(code, setting)
        ],
    }


@lru_cache(maxsize=64)  # ten places: a class opens the same page within a minute
def _sets(code, setting):
    """The rounds of a lesson, the same for everybody with this setting."""
    return tuple(
        home_lessons.lesson(code, setting, random.Random(f"{code} {number}"))
        for number in range(home_lessons.SETS)
    )


def _drawings(setting):
    """What rounds are drawn on, by name."""
    own, other = setting.grounds()
    return {
        "compass": baseplate(),
        "held": drawings.held(),
        "rose": drawings.rose(),
        "window": drawings.dial_window(setting.graduation_deg, LABELS_DEG),
        "sheet": drawings.sheet(),
        **{
            f"norths {place.code}": drawings.two_norths(place.norths.declination_deg)
            for place in (own, other)
        },
    }


def setting_words(setting):
    """The ground and the dial of a link in a sentence."""
    words = tell(
        "Your instructor’s place: declination {declination}, a tick on the dial every {step}°.",
        declination=declination_text(setting.declination_deg),
        step=setting.graduation_deg,
    )
    if not setting.is_small:
        return words
    small = tell(
        "That is too little to tell from a careless reading, so the lesson on declination shows "
        "two invented places."
    )
    return f"{words} {small}"
