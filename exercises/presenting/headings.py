"""What stands above a result on the phone: what happened, in three words. Nothing is said that the
probability does not carry.
"""

from ..domain.mistakes import causes
from ..domain.words import say, together
from ..languages import told
from .units import angles_of

HEADINGS = {
    "reversed": say("The opposite way"),
    "declination_ignored": say("Declination left out"),
    "declination_wrong_way": say("Declination turned round"),
    "declination_twice": say("Declination used twice"),
    "convergence_ignored": say("Two norths mixed"),
    "other_target": say("Another target"),
    "other_station": say("Another standing mark"),
    "mirrored": say("East and west exchanged"),
    "counted_back": say("Ticks counted backwards"),
    "quarter_turn": say("A quarter turn"),
    "digits_swapped": say("Two digits exchanged"),
    "digit_dropped": say("A digit missing"),
    "ten_off": say("The wrong label"),
    "hundred_off": say("First digit wrong"),
    "mils": say("Read in mils"),
    "compass_offset": say("The compass is off"),
    "station_fault": say("The station is off"),
    "over_360": say("Past the full circle"),
    "paces": say("Paces counted otherwise"),
    "leg_left_out": say("A leg missing"),
}
NOTHING_WRONG = say("Nothing went wrong")
# no cause is sure, or a question is open about it
OPEN_HEADINGS = {1.0: say("Full credit"), 0.5: say("Nearly there"), 0.0: say("Not yet")}


def heading(judged):
    """What happened, in about three words; where no single cause is sure, that it is not there yet.
    Not for full credit, which speaks for itself.
    """
    verdict = judged.verdict
    otherwise = angles_of(judged).otherwise
    known = _heading_of(causes.of_person(verdict.cause), otherwise) or _heading_of(
        verdict.cause, otherwise
    )
    return told(known) if known and verdict.is_sure else open_heading(judged)


def open_heading(judged):
    """How near it came, and nothing of what happened."""
    return told(OPEN_HEADINGS[judged.credit])


def _heading_of(code, otherwise):
    """The heading of a code in the words of a unit; None where it has none."""
    return otherwise.get(code, {}).get("heading") or HEADINGS.get(code)


def plain_name(code):
    """A cause in a child's words, two together with a plus between."""
    parts = causes.parts(code)
    return together([HEADINGS.get(part, NOTHING_WRONG) for part in parts], " + ")
