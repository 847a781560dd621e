"""The stable codes of what may have happened to a reading, and how each is said.

A cause is a small object. What it predicts depends on the kind of task and stands there, as faults of stages; what it means
for people stands here. Codes appear in exports and never change.
"""
from dataclasses import dataclass


@dataclass(frozen=True)
class Cause:
    """A cause: its code, a short name, a sentence for the participant, what to do about it, and a note for the instructor."""

    code: str
    name: str
    sentence: str
    advice: str
    note: str
    rate: float  # prior share of readings; S69, S73, S77 rank them, nobody has counted beginners: common practice, no source
    is_persistent: bool = False
    is_mistake: bool = True
    aside: str = ""  # how it is mentioned beside a mistake of the person
    paper_advice: str = ""  # what to do where no compass was in it


REGISTER = {cause.code: cause for cause in (
    Cause("ok", "sound reading", "Your reading is sound.", "Nothing to mend: read to the tick, then to half a tick.",
          "Only scatter.", 0.70, is_mistake=False, paper_advice="Nothing to mend."),
    Cause("reversed", "reversed", "Your bearing points the opposite way: it is 180 degrees off.",
          "Red end in the orienting arrow, travel arrow away from you. Point roughly first: which quarter of the circle is it?",
          "White end boxed, or the plate turned round. The same compass number wrong for others too: a reversed needle.",
          0.04, is_persistent=True),
    Cause("declination_ignored", "declination left out", "You gave the bearing of the wrong north: the declination is left out.",
          "Look which north is asked, then use this place's sentence.",
          "The same offset at all their stations makes it a habit. A leftover setting on the compass can look alike.",
          0.05, is_persistent=True),
    Cause("declination_wrong_way", "declination the wrong way", "You turned the declination the wrong way, and are off by twice it.",
          "Say this place's sentence aloud before you add or take away.",
          "Replace the rhyme by one sentence for this site. A compass set on the wrong side looks alike.", 0.02, is_persistent=True),
    Cause("declination_twice", "declination applied twice", "The declination is in your bearing twice.",
          "If your compass is set for this site, it has done it already: no arithmetic.",
          "Set compasses: forbid arithmetic.", 0.012, is_persistent=True),
    Cause("convergence_ignored", "true and grid mixed", "You gave the bearing of true north for grid north, or the reverse.",
          "Look which north is asked: the map's grid lines or the true meridian.",
          "Usually too small to see with a compass.", 0.008, is_persistent=True),
    Cause("other_target", "another target", "Your bearing fits another target.",
          "Name the target back to somebody before you sight: what is it, and what stands beside it?",
          "If many do it, the description is at fault.", 0.03),
    Cause("other_station", "another mark", "Your bearing fits another standing mark.",
          "Check the letter on the mark before you sight, and stand over it.",
          "Two in a row that fit one neighbour: they are a post ahead or behind.", 0.015),
    Cause("mirrored", "mirrored", "Your number is the right one mirrored: east and west are exchanged.",
          "Box the needle by turning the housing, read only at the index line; numbers grow clockwise.",
          "Dial left at N and the number under the needle's tip read, or the angle measured anticlockwise.", 0.015,
          paper_advice="Numbers grow clockwise from north: say whether it is east or west before you write."),
    Cause("counted_back", "counted back from a label", "You counted the ticks the wrong way from a printed number.",
          "Find the two printed numbers round the index line: the ticks grow clockwise from the smaller.",
          "The error is twice the distance to the label.", 0.02),
    Cause("quarter_turn", "a quarter turn", "Your bearing is 90 degrees off: read at the side of the plate.",
          "Read at the index line under the travel arrow.", "A dot of paint at the index helps.", 0.012),
    Cause("digits_swapped", "digits swapped", "Two neighbouring digits are exchanged.",
          "Say it digit by digit, then write it.", "A slip, not a gap in skill.", 0.012),
    Cause("digit_dropped", "a digit missing", "A digit is missing.", "Always three digits: 026 is not 260.",
          "A slip of writing.", 0.008),
    Cause("ten_off", "wrong printed number", "You are one or two printed numbers off: 10 or 20 degrees.",
          "Read the label below the index, the label above it, then count the ticks.", "Gone when a partner reads the dial.", 0.025,
          paper_advice="Do the sum once more, one column at a time."),
    Cause("hundred_off", "hundreds digit wrong", "The first digit is wrong: you are 100 degrees off.",
          "Which quarter of the circle is it? Then write three digits.", "A slip of writing or of carrying.", 0.01),
    Cause("mils", "mils", "Your number is right on the mils scale, not in degrees.",
          "Degrees are the scale that ends at 360.", "Compass with two scales: cover the outer one.", 0.008),
    Cause("compass_offset", "the compass is off", "Your compass reads the same amount off everywhere.",
          "Not your fault: ask the instructor to look at the compass.",
          "A leftover setting, a bent needle, or metal carried. Withdraw above 3 degrees (FM 3-25.26).", 0.0,
          is_mistake=False, aside="Besides, your compass is off."),
    Cause("station_fault", "the station is off", "Nearly everybody reads this here: the station is at fault, not you.",
          "Nothing for you to mend.", "Local attraction, a moved mark, or a wrong coordinate: fore and back bearings tell.", 0.0,
          is_mistake=False, aside="Besides, the station itself is off."),
    Cause("unexplained", "unexplained", "We cannot tell what happened here.",
          "Go back to the mark, hold the compass level, box the needle, and read again.", "No cause is probable.", 0.02,
          paper_advice="Draw the two norths with the angle between them, then do the sum again."),
)}
CODES = tuple(REGISTER)
PERSISTENT = tuple(code for code, cause in REGISTER.items() if cause.is_persistent)
SURE = 0.6  # from here a cause is said as one sentence; below, the likeliest two are named as possibilities


def combined(codes):
    """Codes joined with `+` in alphabetical order; none of them is `ok`.

    >>> combined(["reversed", "declination_ignored"]), combined([])
    ('declination_ignored+reversed', 'ok')
    """
    return "+".join(sorted(codes)) or "ok"


def parts(code):
    """The causes of a code, combined or single."""
    return tuple(REGISTER[part] for part in code.split("+"))


def name(code):
    """A short name in words.

    >>> name("declination_ignored+reversed")
    'declination left out together with reversed'
    """
    return " together with ".join(cause.name for cause in parts(code))


def mistakes(code):
    """The mistakes of a person among the causes of a code.

    >>> [cause.code for cause in mistakes("reversed+station_fault")]
    ['reversed']
    """
    return tuple(cause for cause in parts(code) if cause.is_mistake)


def sentence(code):
    """What happened, for the participant. Beside a mistake, a fault of the ground or the compass is only mentioned."""
    own = mistakes(code)
    return " ".join((cause.sentence if cause in own or not own else cause.aside) for cause in sorted(parts(code), key=lambda cause: cause not in own))


def advice(code, reads_needle=True):
    """What to do about it, for the participant, with a compass in hand or on paper; about the mistakes where there are any."""
    return " ".join(cause.advice if reads_needle else cause.paper_advice or cause.advice for cause in mistakes(code) or parts(code))


def note(code):
    """What the instructor may look at."""
    return " ".join(cause.note for cause in parts(code))
