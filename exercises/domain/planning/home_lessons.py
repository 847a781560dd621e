"""Lessons for home: six short ones, in the order in which beginners fail, each a few rounds.

A round is a task as in a class with some things to choose from. Every wrong one is a number to
which one mistake leads, by the predictions of the task's own kind, so that what is explained at the
kitchen table is what would be explained in the field. Which round a lesson has stands in `LESSONS`,
how one is made in `sighted_rounds`
and `paper_rounds`.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterable
from dataclasses import dataclass

from ..earth.norths import Norths
from ..words import say
from . import paper_rounds, practice, sighted_rounds
from .rounds import Draw, Round

LARGEST_DECLINATION_DEG = 60  # of places where classes are held; common practice, no source
GRADUATIONS_DEG = (1, 2, 5)
# below this, a declination cannot be told from a careless reading: trade practice teaches it
# with a place that has more
LEAST_DECLINATION_DEG = 5
SETS = 3  # of rounds for each lesson, so that a repeated one is another
DECLINATION = re.compile(r"([0-9]{1,2})([EW])")


class BadLink(ValueError):
    """The address of a lesson that names a declination or a dial that there is none of."""


@dataclass(frozen=True)
class Setting:
    """Where and with what one practises: the declination, whole degrees, east positive, and the
    smallest step on the dial.
    """

    declination_deg: int = 12
    graduation_deg: int = 2

    @property
    def is_small(self) -> bool:
        """Whether the declination is too small to show what is done with it."""
        return abs(self.declination_deg) < LEAST_DECLINATION_DEG

    def grounds(self) -> tuple[practice.Place, practice.Place]:
        """Ground with this declination and ground with one to the other side; where it is small,
        two invented ones.
        """
        hill, bay = practice.PLACES
        if self.is_small:
            return hill, bay
        other = bay if self.declination_deg > 0 else hill
        return practice.Place("own", Norths(self.declination_deg, 0.0), hill.landmarks), other


def read_link(declination: str, dial: str) -> Setting:
    """The setting of a link, such as ("9W", "2"); an empty text is the usual one. Raises BadLink.

    >>> read_link("9W", "2")
    Setting(declination_deg=-9, graduation_deg=2)
    """
    usual = Setting()
    return Setting(
        _declination(declination) if declination else usual.declination_deg,
        _graduation(dial) if dial else usual.graduation_deg,
    )


def _declination(text: str) -> int:
    """A declination such as `12E`. Raises BadLink."""
    match = DECLINATION.fullmatch(text)
    if not match or int(match[1]) > LARGEST_DECLINATION_DEG:
        raise BadLink(
            say(
                "The declination in this link cannot be read. It is whole degrees with E or W, "
                "such as 12E, up to {most}.",
                most=LARGEST_DECLINATION_DEG,
            )
        )
    return int(match[1]) if match[2] == "E" else -int(match[1])


def _graduation(text: str) -> int:
    """The smallest step of a dial. Raises BadLink."""
    if text not in map(str, GRADUATIONS_DEG):
        raise BadLink(say("The dial in this link cannot be read. Its smallest step is 1, 2 or 5."))
    return int(text)


def link_of(setting: Setting) -> dict[str, str]:
    """What the address of a setting holds: `read_link` the other way round.

    >>> link_of(Setting(-9, 2))
    {'declination': '9W', 'dial': '2'}
    """
    east_or_west = "E" if setting.declination_deg >= 0 else "W"
    return {
        "declination": f"{abs(setting.declination_deg)}{east_or_west}",
        "dial": str(setting.graduation_deg),
    }


LESSONS = {
    "hold": (sighted_rounds.hold, sighted_rounds.ahead, sighted_rounds.ahead),
    "box": (sighted_rounds.boxed, sighted_rounds.turn, sighted_rounds.turn),
    "read": (sighted_rounds.where, sighted_rounds.read, sighted_rounds.read),
    "end": (sighted_rounds.needle, sighted_rounds.quarter, sighted_rounds.slip),
    "map": (
        paper_rounds.edge,
        paper_rounds.housing,
        paper_rounds.estimate,
        paper_rounds.needless,
    ),
    "declination": (
        paper_rounds.to_true,
        paper_rounds.to_magnetic,
        paper_rounds.to_true_elsewhere,
        paper_rounds.to_magnetic_elsewhere,
    ),
}  # in the order in which beginners fail
REPEATS = {
    "other_target": "hold",
    "counted_back": "read",
    "quarter_turn": "read",
    "ten_off": "read",
    "mirrored": "end",
    "reversed": "end",
    "declination_ignored": "declination",
    "declination_twice": "declination",
    "declination_wrong_way": "declination",
}  # a cause, and the lesson in which it is a wrong choice and is explained; others have none


class NoLesson(ValueError):
    """A code that no lesson has."""


def in_order(codes: Iterable[object]) -> tuple[str, ...]:
    """Lessons by their codes, each once, in the order of LESSONS. Raises NoLesson.

    >>> in_order(["read", "hold", "read"])
    ('hold', 'read')
    """
    wanted = list(codes)
    if any(code not in tuple(LESSONS) for code in wanted):
        raise NoLesson(say("There is no such lesson. Reload the page."))
    return tuple(code for code in LESSONS if code in wanted)


def lesson(code: str, setting: Setting, rng: random.Random) -> tuple[Round, ...]:
    """The rounds of a lesson, one of LESSONS, drawn with `rng`. Raises KeyError."""
    own, other = setting.grounds()
    draw = Draw(own, other, setting.graduation_deg, rng)
    made: list[Round] = []
    for make in LESSONS[code]:
        found = make(draw)
        while any((found.code, found.answer) == (one.code, one.answer) for one in made):
            found = make(draw)  # the same question twice teaches nothing
        made.append(found)
    return tuple(made)
