"""The stable codes of what may have happened to a reading, and how each is said.

A cause is a small object. What it predicts depends on the kind of task and stands there, as faults
of stages; what it means for people stands here. Codes appear in exports and never change.
"""

from dataclasses import dataclass

from ..words import Words, say, together

UNSAID = say("")
IN_THE_FIELD, IN_A_SUM, ON_A_MAP = (
    "field",
    "sum",
    "map",
)  # how the answer is come by, which decides what helps


@dataclass(frozen=True)
class Cause:
    """A cause: its code, a short name, a sentence for the participant, what to do about it, and a
    note for the instructor.
    """

    code: str
    name: Words
    sentence: Words
    advice: Words
    note: Words
    # prior share of readings; S69, S73, S77 rank them, nobody has counted beginners: common
    # practice, no source
    rate: float
    is_persistent: bool = False
    is_mistake: bool = True
    aside: Words = UNSAID  # how it is mentioned beside a mistake of the person
    sum_advice: Words = UNSAID  # what to do where the answer is reckoned
    map_sentence: Words = UNSAID  # the same where it is measured on a map
    map_advice: Words = UNSAID
    hint: Words = UNSAID  # a question before a second try: it gives no number away
    sum_hint: Words = UNSAID
    map_hint: Words = UNSAID

    def said(self, what, setting):
        """Its sentence, advice or hint ("sentence", "advice", "hint") in a setting: in the field
        where nothing else is said for it.
        """
        return getattr(self, f"{setting}_{what}", UNSAID) or getattr(self, what)


REGISTER = {
    cause.code: cause
    for cause in (
        Cause(
            "ok",
            say("sound reading"),
            say("Your reading is sound."),
            say("Nothing to mend: read to the tick, then to half a tick."),
            say("Only scatter."),
            0.70,
            is_mistake=False,
            sum_advice=say("Nothing to mend."),
            hint=say("Close. Read the number once more, at the index line, tick by tick."),
            sum_hint=say("Close. Do the sum once more: are the last digits right?"),
        ),
        Cause(
            "reversed",
            say("reversed"),
            say("Your bearing points the opposite way: it is about 180 degrees off."),
            say(
                "Red end in the orienting arrow, travel arrow away from you. Point roughly "
                "first: which quarter of the circle is it?"
            ),
            say(
                "White end boxed, or the plate turned round. The same compass number wrong for "
                "others too: a reversed needle."
            ),
            0.04,
            is_persistent=True,
            hint=say(
                "Your bearing points almost opposite to where it should. Which end of the needle "
                "is in the orienting arrow?"
            ),
            sum_advice=say(
                "Say the quarter of the circle first: the way back lies in the opposite one."
            ),
            sum_hint=say(
                "That is the way there, or close to it. In which quarter of the circle does the "
                "way back lie?"
            ),
            map_advice=say(
                "Lay the edge with the travel arrow from where the line begins to where it ends, "
                "and N of the housing towards the top of the sheet."
            ),
            map_hint=say(
                "Your bearing points almost opposite to where it should. Which way along the "
                "line does the travel arrow point?"
            ),
        ),
        Cause(
            "declination_ignored",
            say("declination left out"),
            say("You gave the bearing of the wrong north: the declination is left out."),
            say("Look which north is asked, then use this place's sentence."),
            say(
                "The same offset at all their stations makes it a habit. A leftover setting on "
                "the compass can look alike."
            ),
            0.05,
            is_persistent=True,
            hint=say(
                "You are near, but not in the north that is asked. Which north does the question "
                "name, and which one does your compass give?"
            ),
            sum_hint=say("Which north is given, and which one is asked? What lies between them?"),
            map_sentence=say("You gave the magnetic bearing: the needle came into it."),
            map_advice=say(
                "Leave the needle out on the map: the lines in the housing lie along the sheet’s "
                "north lines."
            ),
            map_hint=say(
                "Did the needle come into it? Which north do the lines of the sheet show?"
            ),
        ),
        Cause(
            "declination_wrong_way",
            say("declination the wrong way"),
            say("You turned the declination the wrong way, and are off by twice it."),
            say("Say this place's sentence aloud before you add or take away."),
            say(
                "Replace the rhyme by one sentence for this site. A compass set on the wrong "
                "side looks alike."
            ),
            0.02,
            is_persistent=True,
            hint=say(
                "You thought of the declination. Which way does it go at this place: add, or "
                "take away?"
            ),
        ),
        Cause(
            "declination_twice",
            say("declination applied twice"),
            say("The declination is in your bearing twice."),
            say("If your compass is set for this site, it has done it already: no arithmetic."),
            say("Set compasses: forbid arithmetic."),
            0.012,
            is_persistent=True,
            hint=say(
                "You thought of the declination, perhaps once too often. Has your compass done "
                "it already?"
            ),
            sum_hint=say(
                "You thought of the declination, perhaps once too often. How many times does it "
                "belong in the sum?"
            ),
            map_sentence=say("There is a declination in your bearing, and none belongs there."),
            map_advice=say(
                "Measured on the map in the sheet’s own north, the number needs no declination "
                "at all."
            ),
            map_hint=say(
                "Did you add or take away something? What the sheet’s own lines show needs no sum."
            ),
        ),
        Cause(
            "convergence_ignored",
            say("true and grid mixed"),
            say("You gave the bearing of true north for grid north, or the reverse."),
            say("Look which north is asked: the map's grid lines or the true meridian."),
            say("Usually too small to see with a compass."),
            0.008,
            is_persistent=True,
            hint=say("Two norths are close together here. Which of them is asked?"),
        ),
        Cause(
            "other_target",
            say("another target"),
            say("Your bearing fits another target."),
            say(
                "Name the target back to somebody before you sight: what is it, and what stands "
                "beside it?"
            ),
            say("If many do it, the description is at fault."),
            0.03,
            hint=say(
                "This seems to lead to something else. What exactly is asked, and what stands "
                "beside it?"
            ),
            map_advice=say(
                "One finger on the code where the line begins, one where it ends, then lay the "
                "edge."
            ),
            map_hint=say(
                "This seems to run to another point. Which two codes does the edge touch?"
            ),
        ),
        Cause(
            "other_station",
            say("another mark"),
            say("Your bearing fits another standing mark."),
            say("Check the letter on the mark before you sight, and stand over it."),
            say("Two in a row that fit one neighbour: they are a post ahead or behind."),
            0.015,
            hint=say(
                "This would fit another place to stand. Which letter is on the mark at your feet?"
            ),
            map_advice=say(
                "One finger on the code where the line begins, one where it ends, then lay the "
                "edge."
            ),
            map_hint=say(
                "This seems to begin at another point. Which two codes does the edge touch?"
            ),
        ),
        Cause(
            "mirrored",
            say("mirrored"),
            say("Your number is the right one mirrored: east and west are exchanged."),
            say(
                "Box the needle by turning the housing, read only at the index line; numbers "
                "grow clockwise."
            ),
            say(
                "Dial left at N and the number under the needle's tip read, or the angle "
                "measured anticlockwise."
            ),
            0.015,
            sum_advice=say(
                "Numbers grow clockwise from north: say whether it is east or west before you "
                "write."
            ),
            hint=say(
                "The number seems to be on the wrong side of north. Is the needle in the "
                "orienting arrow, and do you read at the index line?"
            ),
            sum_hint=say(
                "The number seems to be on the wrong side of north. Is the direction east or "
                "west of north?"
            ),
            map_advice=say(
                "Numbers grow clockwise from north: say whether it is east or west before you "
                "write."
            ),
            map_hint=say(
                "The number seems to be on the wrong side of north. Does the line run east or west?"
            ),
        ),
        Cause(
            "counted_back",
            say("counted back from a label"),
            say("You counted the ticks the wrong way from a printed number."),
            say(
                "Find the two printed numbers round the index line: the ticks grow clockwise "
                "from the smaller."
            ),
            say("The error is twice the distance to the label."),
            0.02,
            hint=say(
                "Look between which two printed numbers the index line lies. Which way do the "
                "ticks count?"
            ),
        ),
        Cause(
            "quarter_turn",
            say("a quarter turn"),
            say("Your bearing is 90 degrees off: read at the side of the plate."),
            say("Read at the index line under the travel arrow."),
            say("A dot of paint at the index helps."),
            0.012,
            hint=say(
                "You are a quarter of the circle off. Where on the plate did you read the number?"
            ),
            map_sentence=say(
                "Your bearing is 90 degrees off: the housing lay across the north lines, or you "
                "read at the side of the plate."
            ),
            map_advice=say(
                "Turn the housing until its lines lie along the sheet’s north lines, not across "
                "them."
            ),
            map_hint=say(
                "You are a quarter of the circle off. Along which lines of the sheet do the "
                "lines in the housing lie?"
            ),
        ),
        Cause(
            "digits_swapped",
            say("digits swapped"),
            say("Two neighbouring digits are exchanged."),
            say("Say it digit by digit, then write it."),
            say("A slip, not a gap in skill."),
            0.012,
            hint=say(
                "The digits look out of order. Say the number aloud, digit by digit, and compare."
            ),
        ),
        Cause(
            "digit_dropped",
            say("a digit missing"),
            say("A digit is missing."),
            say("Always three digits: 026 is not 260."),
            say("A slip of writing."),
            0.008,
            hint=say("The number looks too short. How many digits has a bearing?"),
        ),
        Cause(
            "ten_off",
            say("wrong printed number"),
            say("You are one or two printed numbers off: 10 or 20 degrees."),
            say("Read the label below the index, the label above it, then count the ticks."),
            say("Gone when a partner reads the dial."),
            0.025,
            sum_advice=say("Do the sum once more, one column at a time."),
            hint=say(
                "You are close, but not at the right printed number. Which printed numbers lie "
                "left and right of the index line?"
            ),
            sum_hint=say(
                "You are close. Did you carry the ten? Do the sum once more, one column at a time."
            ),
        ),
        Cause(
            "hundred_off",
            say("hundreds digit wrong"),
            say("The first digit is wrong: you are 100 degrees off."),
            say("Which quarter of the circle is it? Then write three digits."),
            say("A slip of writing or of carrying."),
            0.01,
            hint=say("Look at the first digit. In which quarter of the circle does this lie?"),
        ),
        Cause(
            "mils",
            say("mils"),
            say("Your number is right on the mils scale, not in degrees."),
            say("Degrees are the scale that ends at 360."),
            say("Compass with two scales: cover the outer one."),
            0.008,
            hint=say("Which scale did you read? One of them ends at 360."),
        ),
        Cause(
            "compass_offset",
            say("the compass is off"),
            say("Your compass reads the same amount off everywhere."),
            say("Not your fault: ask the instructor to look at the compass."),
            say(
                "A leftover setting, a bent needle, or metal carried. Withdraw above 3 degrees "
                "(FM 3-25.26)."
            ),
            0.0,
            is_mistake=False,
            aside=say("Besides, your compass is off."),
            hint=say(
                "Your compass may be off. Look at it with your instructor before you try again."
            ),
        ),
        Cause(
            "station_fault",
            say("the station is off"),
            say("Nearly everybody reads this here: the station is at fault, not you."),
            say("Nothing for you to mend."),
            say(
                "Local attraction, a moved mark, or a wrong coordinate: fore and back bearings "
                "tell."
            ),
            0.0,
            is_mistake=False,
            aside=say("Besides, the station itself is off."),
            hint=say(
                "Something at this place may pull the needle. Is there iron near? Tell your "
                "instructor, then try again."
            ),
        ),
        Cause(
            "unexplained",
            say("unexplained"),
            say("We cannot tell what happened here."),
            say("Go back to the mark, hold the compass level, box the needle, and read again."),
            say("No cause is probable."),
            0.02,
            sum_advice=say(
                "Draw the two norths with the angle between them, then do the sum again."
            ),
            hint=say(
                "Something does not fit. Stand on the mark, hold the compass level, box the "
                "needle, and read once more."
            ),
            sum_hint=say(
                "Something does not fit. Draw the two norths with the angle between them: which "
                "way does the sum go?"
            ),
            map_advice=say(
                "Lay the edge along the line once more, turn the housing until its lines lie "
                "along the sheet’s north lines, and read at the index line."
            ),
            map_hint=say(
                "Something does not fit. Where does the line begin, which way does it run, and "
                "how does the housing lie?"
            ),
        ),
        # New codes stand at the end: counts that were kept are in this order, and shorter ones are
        # filled up (priors.from_plain).
        Cause(
            "over_360",
            say("sum past 360"),
            say("Your sum ran past 360 and stayed there."),
            say("A sum past 360 begins again at 0: take away 360."),
            say(
                "Half a circle added to more than 180. Ask for the quarter first, then for the sum."
            ),
            0.004,
            hint=say("Can a bearing be more than 360? What is left when the circle is full?"),
        ),
        Cause(
            "paces",
            say("paces miscounted"),
            say("The distance fits paces counted by the other foot: twice as far, or half."),
            say("Count each time the same foot comes down, and say the sum aloud every ten."),
            say(
                "Single paces taken for double ones, or the reverse. Walk the taped line once more."
            ),
            0.006,
            hint=say(
                "The direction may be right. Which foot do you count, and how many of its paces "
                "make the taped line?"
            ),
        ),
        Cause(
            "leg_left_out",
            say("a leg left out"),
            say("You end where the walk leads without one of its legs."),
            say("Tick each leg before the next begins."),
            say("Two legs run together, or the card was read a line too far."),
            0.004,
            hint=say("How many legs did you walk? Tick each one as it ends."),
        ),
    )
}
CODES = tuple(REGISTER)
PERSISTENT = tuple(code for code, cause in REGISTER.items() if cause.is_persistent)
# from here a cause is said as one sentence; below, the likeliest two are named as possibilities
SURE = 0.6


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
    names = [cause.name for cause in parts(code)]
    return (
        names[0]
        if len(names) == 1
        else say("{one} together with {other}", one=names[0], other=names[1])
    )


def mistakes(code):
    """The mistakes of a person among the causes of a code.

    >>> [cause.code for cause in mistakes("reversed+station_fault")]
    ['reversed']
    """
    return tuple(cause for cause in parts(code) if cause.is_mistake)


def sentence(code, setting=IN_THE_FIELD):
    """What happened, for the participant, in the words of this setting. Beside a mistake, a fault
    of the ground or the compass is only mentioned.
    """
    own = mistakes(code)
    return together(
        [
            cause.said("sentence", setting) if cause in own or not own else cause.aside
            for cause in sorted(parts(code), key=lambda cause: cause not in own)
        ]
    )


def advice(code, setting=IN_THE_FIELD):
    """What to do about it, for the participant, where the answer is come by in this setting; about
    the mistakes where there are any.
    """
    return together([cause.said("advice", setting) for cause in mistakes(code) or parts(code)])


def hint(code, probability, setting=IN_THE_FIELD):
    """A question that helps to a second try and gives no bearing away; a general one where the
    cause is not sure.
    """
    cause = (mistakes(code) or parts(code))[0] if probability >= SURE else REGISTER["unexplained"]
    return cause.said("hint", setting)


def note(code):
    """What the instructor may look at."""
    return together([cause.note for cause in parts(code)])
