"""First signs of a class that is out, in words: what is to be seen, what to do, how probable it is,
and who saw to it.
"""

from __future__ import annotations

import uuid
import zoneinfo
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.timezone import localtime

from ..domain.running.first_signs import About
from ..languages import tell, told
from .answers.base import name_of
from .causes import WORDS as CAUSE_WORDS
from .probabilities import percent

SHOWING_STILL = 2  # readings made since somebody saw to it, from which it is said to be there still


@dataclass(frozen=True)
class SignText:
    """A sign in words: its key, what it is about and its subject, what is to be seen, what to do,
    how probable it is; who saw to it and when, if anybody did, and whether it is there still.
    """

    key: str
    about: About
    subject: str
    what: str
    act: str
    probability: str
    seen_to: str
    is_still_there: bool
    act_id: str  # of what a form without a script does about it

    @property
    def is_done(self):
        """Whether nothing is to be done about it for now."""
        return bool(self.seen_to) and not self.is_still_there


def signs_text(signs, points, time_zone):
    """Signs as `SignText`, those to be seen to first. `points` are the key's by code."""
    zone = zoneinfo.ZoneInfo(time_zone)
    return sorted((_text(found, points, zone) for found in signs), key=lambda said: said.is_done)


def subject_text(sign_key):
    """What a sign was about, in a word or two, by its key."""
    about, subject, instead = sign_key.split(":")
    return SUBJECTS[about](subject, instead) if about in SUBJECTS else sign_key


def _text(found, points, zone):
    sign, row = found.sign, found.seen_to
    what, act = SAID[sign.about](sign, points)
    time = row and date_format(localtime(row.at, zone), "H:i")
    return SignText(
        sign.key,
        sign.about,
        sign.subject,
        what,
        act,
        percent(sign.probability),
        tell("Seen to {time}, {who}", time=time, who=row.by) if row else "",
        is_still_there=row is not None and found.showing_since >= SHOWING_STILL,
        act_id=str(uuid.uuid4()),
    )


def _off(sign):
    """By how much readings are off, in words."""
    degrees = round(abs(sign.degrees))
    if sign.degrees > 0:
        return tell("about {degrees}° too much", degrees=degrees)
    return tell("about {degrees}° too little", degrees=degrees)


def _station(sign, points):
    return (
        tell(
            "{station} reads {off}, for {showing} of {of} readings",
            station=sign.subject,
            off=_off(sign),
            showing=sign.showing,
            of=sign.of,
        ),
        tell("Check the mark and what iron stands beside it before the next group."),
    )


def _line(sign, points):
    return (
        tell(
            "Task {task} reads {off}, for {showing} of {of} readings",
            task=sign.subject,
            off=_off(sign),
            showing=sign.showing,
            of=sign.of,
        ),
        tell("Look along the line: has the target moved, or is its label on another thing?"),
    )


def _reversed(sign, points):
    return (
        tell(
            "Compass {number} looks reversed, by {showing} of {of} readings",
            number=sign.subject,
            showing=sign.showing,
            of=sign.of,
        ),
        tell("Hold it beside another one. If it points the other way, swap it."),
    )


def _compass_off(sign, points):
    return (
        tell(
            "Compass {number} reads {off}, for {showing} of {of} readings",
            number=sign.subject,
            off=_off(sign),
            showing=sign.showing,
            of=sign.of,
        ),
        tell("Hold it beside another one. If they are more than 3° apart, swap it."),
    )


def _target(sign, points):
    return (
        tell(
            "{showing} of {of} at task {task} sight {instead} instead",
            showing=sign.showing,
            of=sign.of,
            task=sign.subject,
            instead=name_of(sign.instead, points),
        ),
        tell("Say once more which one is meant."),
    )


def _habit(sign, points):
    cause = CAUSE_WORDS[sign.subject]
    return (
        tell(
            "{showing} of {of} people: {cause}",
            showing=sign.showing,
            of=sign.of,
            cause=told(cause.name),
        ),
        tell("Say it to everybody: {advice}", advice=told(cause.advice)),
    )


SAID = {
    About.STATION: _station,
    About.LINE: _line,
    About.COMPASS_REVERSED: _reversed,
    About.COMPASS_OFF: _compass_off,
    About.OTHER_TARGET: _target,
    About.HABIT: _habit,
}
SUBJECTS = {
    About.STATION: lambda code, _: tell("station {code}", code=code),
    About.LINE: lambda task, _: tell("the line of task {task}", task=task),
    About.COMPASS_REVERSED: lambda number, _: tell("compass {number}, reversed", number=number),
    About.COMPASS_OFF: lambda number, _: tell("compass {number}, off", number=number),
    About.OTHER_TARGET: lambda task, instead: tell(
        "task {task}, {instead} taken for its target", task=task, instead=instead
    ),
    About.HABIT: lambda cause, _: tell("{cause}, for everybody", cause=_cause_name(cause)),
}


def _cause_name(code):
    """The name of a cause; a code that is none of ours by itself."""
    return told(CAUSE_WORDS[code].name) if code in CAUSE_WORDS else code
