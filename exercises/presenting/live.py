"""A class while it is out, as those who run it see it: who is where, what stations have, what waits,
and first signs in words.
"""

from dataclasses import dataclass
from datetime import timedelta

from ..domain.running.live_signs import Kind, signs
from ..languages import tell, tell_signed
from .probabilities import percent

SILENT = timedelta(minutes=20)  # after which somebody is named as not heard of


@dataclass(frozen=True)
class Said:
    """A sign in words: its key, what is to be seen, what to do, how probable it is, and by whom and
    when it was seen to, if it was.
    """

    key: str
    what: str
    act: str
    probability: str
    seen_to: str = ""


def signs_text(whole, seen_to):
    """The first signs of a class so far, in words. `seen_to` holds by key who saw to it and when,
    in words; what was seen to stands last.
    """
    points = whole.key.points if whole.key else {}
    found = [_sign_text(sign, points, seen_to) for sign in signs(whole.judged, whole.diagnosis)]
    return sorted(found, key=lambda said: bool(said.seen_to))


def key_of(sign):
    """What a sign is known by."""
    return f"{sign.kind}:{sign.subject}:{sign.instead}"


def _sign_text(sign, points, seen_to):
    what, act = WORDS[sign.kind](sign, points)
    return Said(key_of(sign), what, act, percent(sign.probability), seen_to.get(key_of(sign), ""))


def _high_or_low(degrees):
    """By how much readings are off, in words."""
    if degrees > 0:
        return tell("{degrees:.0f}° high", degrees=degrees)
    return tell("{degrees:.0f}° low", degrees=-degrees)


def _station(sign, points):
    values = {"showing": sign.showing, "of": sign.of, "station": sign.subject}
    return (
        tell(
            "{station} reads {off} for {showing} of {of}",
            off=_high_or_low(sign.degrees),
            **values,
        ),
        tell("Check the mark and what stands beside it before the next group."),
    )


def _line(sign, points):
    return (
        tell(
            "Task {task} reads {off} for {showing} of {of}",
            task=sign.subject,
            off=_high_or_low(sign.degrees),
            showing=sign.showing,
            of=sign.of,
        ),
        tell("Look along the line: has the target moved, or is its label on another thing?"),
    )


def _reversed(sign, points):
    return (
        tell(
            "Compass {number} looks reversed: {showing} of {of} readings",
            number=sign.subject,
            showing=sign.showing,
            of=sign.of,
        ),
        tell("Hold it beside another one. If it points the other way, swap it."),
    )


def _off(sign, points):
    return (
        tell(
            "Compass {number} reads {degrees}° off",
            number=sign.subject,
            degrees=tell_signed(sign.degrees, 0),
        ),
        tell("Hold it beside another one. More than 3° apart: swap it."),
    )


def _target(sign, points):
    name = points.get(sign.instead, {}).get("name", sign.instead)
    return (
        tell(
            "{showing} of {of} at task {task} sight {instead} instead",
            showing=sign.showing,
            of=sign.of,
            task=sign.subject,
            instead=name,
        ),
        tell("Say once more which one is meant."),
    )


WORDS = {
    Kind.STATION: _station,
    Kind.LINE: _line,
    Kind.COMPASS_REVERSED: _reversed,
    Kind.COMPASS_OFF: _off,
    Kind.OTHER_TARGET: _target,
}
