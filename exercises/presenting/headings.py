"""What stands above a result on the phone: what happened, in three words, and what was right in a
reading that was not. Nothing is said that the probability does not carry.
"""

from ..domain.mistakes import causes
from ..domain.words import say
from ..languages import tell, told
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
OPEN_HEADINGS = {0.5: say("Nearly there"), 0.0: say("Not yet")}  # no cause is sure

# By the setting in which a bearing is found: what went right before the stage that did not.
_LINE_RIGHT = say("The line is right; only its two ends are exchanged.")
_AIM_RIGHT = say("You aimed at the right thing. It went wrong at the dial.")
_DIAL_RIGHT = say("The number on your dial was right. It went wrong in the sum after it.")
_BEFORE_WRITING = say("Aim and needle were right. Only the digits came out wrong.")
_READ_WELL = say("You read your compass well. Only the place was another.")
_RIGHT_OF_BEARING = {
    causes.IN_THE_FIELD: {
        "reversed": _LINE_RIGHT,
        "declination_ignored": _DIAL_RIGHT,
        "declination_twice": _DIAL_RIGHT,
        "other_target": _READ_WELL,
        "other_station": _READ_WELL,
        "counted_back": _AIM_RIGHT,
        "quarter_turn": _AIM_RIGHT,
        "ten_off": _AIM_RIGHT,
        "digits_swapped": _BEFORE_WRITING,
        "digit_dropped": _BEFORE_WRITING,
        "hundred_off": _BEFORE_WRITING,
        "mils": say("The direction is right. Only the scale was another."),
    },
    causes.ON_A_MAP: {"reversed": _LINE_RIGHT},
    causes.IN_A_SUM: {"over_360": say("Your sum was right up to its last step.")},
}


def heading(judged):
    """What happened, in about three words; where no single cause is sure, that it is not there yet.
    Not for full credit, which speaks for itself.
    """
    verdict = judged.verdict
    otherwise = angles_of(judged).otherwise
    known = _heading_of(causes.of_person(verdict.cause), otherwise) or _heading_of(
        verdict.cause, otherwise
    )
    return told(known if known and verdict.is_sure else OPEN_HEADINGS[judged.credit])


def _heading_of(code, otherwise):
    """The heading of a code in the words of a unit; None where it has none."""
    return otherwise.get(code, {}).get("heading") or HEADINGS.get(code)


def what_was_right(judged, setting):
    """What was right in a bearing that earned less than full credit; nothing where no single cause
    is sure, or where nothing can be said.
    """
    verdict = judged.verdict
    sentence = _RIGHT_OF_BEARING[setting].get(verdict.cause)
    if judged.credit == 1.0 or sentence is None or not verdict.is_sure:
        return ""
    if verdict.is_certain:
        return told(sentence)
    return tell("Probably: {sentence}", sentence=told(sentence))
