"""How each cause is said: to the participant, to the instructor, and as a question before a second
try.
"""

from ..domain.mistakes import causes
from ..domain.words import say, together
from .cause_words import NOTHING, CauseWords

WORDS = {
    "ok": CauseWords(
        name=say("sound reading"),
        sentence=say("Your reading is sound."),
        advice=say("Nothing to mend: read to the nearest small line (tick), then to half of one."),
        note=say("Only scatter."),
        sum_advice=say("Nothing to mend."),
        hint=say(
            "Close. Read the number once more, at the line where you read (the index line), one "
            "small line at a time."
        ),
        sum_hint=say("Close. Do the sum once more: are the last digits right?"),
    ),
    "reversed": CauseWords(
        name=say("reversed"),
        sentence=say("Your bearing points the opposite way: it is about 180 degrees off."),
        advice=say(
            "Marked end of the needle in the dial's arrow, the plate's arrow away from you. Point "
            "first: which quarter is it?"
        ),
        note=say(
            "White end boxed, or the plate turned round. The same compass number wrong for "
            "others too: a reversed needle."
        ),
        hint=say(
            "Your bearing points almost the opposite way. Which end of the needle lies in the "
            "arrow of the dial (the orienting arrow)?"
        ),
        sum_advice=say(
            "Say the quarter of the circle first: the way back lies in the opposite one."
        ),
        sum_hint=say(
            "That is the way there, or close to it. In which quarter of the circle does the "
            "way back lie?"
        ),
        map_advice=say(
            "Lay the edge along the line, with the arrow of the plate (the travel arrow) from "
            "where the line begins to where it ends. The N of the dial goes to the top of the "
            "sheet."
        ),
        map_hint=say(
            "Your bearing points almost the opposite way. Which way along the line does the arrow "
            "of the plate (the travel arrow) point?"
        ),
    ),
    "declination_ignored": CauseWords(
        name=say("declination left out"),
        sentence=say("You left out the angle between the two norths (the declination)."),
        advice=say("Look which north is asked, then use this place's sentence."),
        note=say(
            "The same offset at all their stations makes it a habit. A leftover setting on "
            "the compass can look alike."
        ),
        hint=say(
            "You are near, but not in the north that is asked. Which north does the question "
            "name, and which one does your compass give?"
        ),
        sum_hint=say("Which north is given, and which one is asked? What lies between them?"),
        map_sentence=say("You gave the magnetic bearing: the needle came into it."),
        map_advice=say(
            "Leave the needle out on the map: the lines in the dial (the housing) lie along the "
            "sheet’s north lines."
        ),
        map_hint=say("Did the needle come into it? Which north do the lines of the sheet show?"),
    ),
    "declination_wrong_way": CauseWords(
        name=say("declination the wrong way"),
        sentence=say(
            "You turned the angle between the two norths (the declination) the wrong way, and are "
            "off by twice as much."
        ),
        advice=say("Say this place's sentence aloud before you add or take away."),
        note=say(
            "Replace the rhyme by one sentence for this site. A compass set on the wrong "
            "side looks alike."
        ),
        hint=say(
            "You thought of the declination. Which way does it go at this place: add, or take away?"
        ),
    ),
    "declination_twice": CauseWords(
        name=say("declination applied twice"),
        sentence=say(
            "The angle between the two norths (the declination) is in your bearing twice."
        ),
        advice=say("If your compass is set for this site, it has done it already: no arithmetic."),
        note=say("Set compasses: forbid arithmetic."),
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
            "Measured on the map in the sheet’s own north, the number needs no declination at all."
        ),
        map_hint=say(
            "Did you add or take away something? What the sheet’s own lines show needs no sum."
        ),
    ),
    "convergence_ignored": CauseWords(
        name=say("true and grid mixed"),
        sentence=say("You gave the bearing of true north for grid north, or the reverse."),
        advice=say("Look which north is asked: the map's grid lines or the true meridian."),
        note=say("Usually too small to see with a compass."),
        hint=say("Two norths are close together here. Which of them is asked?"),
    ),
    "other_target": CauseWords(
        name=say("another target"),
        sentence=say("Your bearing fits another target."),
        advice=say(
            "Name the target back to somebody before you sight: what is it, and what stands "
            "beside it?"
        ),
        note=say("If many do it, the description is at fault."),
        hint=say(
            "This seems to lead to something else. What exactly is asked, and what stands "
            "beside it?"
        ),
        map_advice=say(
            "One finger on the code where the line begins, one where it ends, then lay the edge."
        ),
        map_hint=say("This seems to run to another point. Which two codes does the edge touch?"),
    ),
    "other_station": CauseWords(
        name=say("another mark"),
        sentence=say("Your bearing fits another standing mark."),
        advice=say("Check the letter on the mark before you sight, and stand over it."),
        note=say("Two in a row that fit one neighbour: they are a post ahead or behind."),
        hint=say(
            "This would fit another place to stand. Which letter is on the mark at your feet?"
        ),
        map_advice=say(
            "One finger on the code where the line begins, one where it ends, then lay the edge."
        ),
        map_hint=say("This seems to begin at another point. Which two codes does the edge touch?"),
    ),
    "mirrored": CauseWords(
        name=say("mirrored"),
        sentence=say("Your number is the right one mirrored: east and west are exchanged."),
        advice=say(
            "Turn the dial until the marked end of the needle lies in its arrow. Read only at the "
            "index line; numbers grow clockwise."
        ),
        note=say(
            "Dial left at N and the number under the needle's tip read, or the angle "
            "measured anticlockwise."
        ),
        sum_advice=say(
            "Numbers grow clockwise from north: say whether it is east or west before you write."
        ),
        hint=say(
            "The number seems to be on the wrong side of north. Does the needle lie in the arrow "
            "of the dial, and do you read at the line where the arrow of the plate begins (the "
            "index line)?"
        ),
        sum_hint=say(
            "The number seems to be on the wrong side of north. Is the direction east or "
            "west of north?"
        ),
        map_advice=say(
            "Numbers grow clockwise from north: say whether it is east or west before you write."
        ),
        map_hint=say(
            "The number seems to be on the wrong side of north. Does the line run east or west?"
        ),
    ),
    "counted_back": CauseWords(
        name=say("counted back from a label"),
        sentence=say("You counted the small lines (ticks) the wrong way from a printed number."),
        advice=say(
            "Find the two printed numbers beside the index line. Count the small lines up from the "
            "smaller one."
        ),
        note=say("The error is twice the distance to the label."),
        hint=say(
            "Between which two printed numbers is the line where you read (the index line)? Which "
            "way do the small lines count?"
        ),
    ),
    "quarter_turn": CauseWords(
        name=say("a quarter turn"),
        sentence=say("Your bearing is 90 degrees off: you read at the side of the plate."),
        advice=say("Read at the line where the arrow of the plate begins (the index line)."),
        note=say("A dot of paint at the index helps."),
        hint=say(
            "You are a quarter of the circle off. Where on the plate did you read the number?"
        ),
        map_sentence=say(
            "Your bearing is 90 degrees off: the lines in the dial lay across the north lines, or "
            "you read at the side of the plate."
        ),
        map_advice=say(
            "Turn the dial (the housing) until the lines in it lie along the sheet’s north lines, "
            "not across them."
        ),
        map_hint=say(
            "You are a quarter of the circle off. Along which lines of the sheet do the lines in "
            "the dial lie?"
        ),
    ),
    "digits_swapped": CauseWords(
        name=say("digits swapped"),
        sentence=say("Two neighbouring digits are exchanged."),
        advice=say("Say it digit by digit, then write it."),
        note=say("A slip, not a gap in skill."),
        hint=say(
            "The digits look out of order. Say the number aloud, digit by digit, and compare."
        ),
    ),
    "digit_dropped": CauseWords(
        name=say("a digit missing"),
        sentence=say("A digit is missing."),
        advice=say("Always three digits: 026 is not 260."),
        note=say("A slip of writing."),
        hint=say("The number looks too short. How many digits has a bearing?"),
    ),
    "ten_off": CauseWords(
        name=say("wrong printed number"),
        sentence=say("You are one or two printed numbers off: 10 or 20 degrees."),
        advice=say(
            "Read the printed number before the line where you read (the index line), the one "
            "after it, then count the small lines."
        ),
        note=say("Gone when a partner reads the dial."),
        sum_advice=say("Do the sum once more, one column at a time."),
        hint=say(
            "You are close, but not at the right printed number. Which printed numbers lie left "
            "and right of the line where you read (the index line)?"
        ),
        sum_hint=say(
            "You are close. Did you carry the ten? Do the sum once more, one column at a time."
        ),
    ),
    "hundred_off": CauseWords(
        name=say("first digit wrong"),
        sentence=say("The first digit is wrong: you are 100 degrees off."),
        advice=say("Which quarter of the circle is it? Then write three digits."),
        note=say("A slip of writing or of carrying."),
        hint=say("Look at the first digit. In which quarter of the circle does this lie?"),
    ),
    "mils": CauseWords(
        name=say("the wrong scale: mils or degrees"),
        sentence=say("Your number is right on the mils scale, not in degrees."),
        advice=say("Degrees are the scale that ends at 360."),
        note=say("Compass with two scales: cover the outer one."),
        hint=say("Which scale did you read? One of them ends at 360."),
    ),
    "compass_offset": CauseWords(
        name=say("the compass is off"),
        sentence=say("Your compass reads the same amount off everywhere."),
        advice=say("Not your fault: ask the instructor to look at the compass."),
        note=say(
            "A leftover setting, a bent needle, or metal carried. Withdraw above 3 degrees "
            "(FM 3-25.26)."
        ),
        aside=say("Besides, your compass is off."),
        hint=say("Your compass may be off. Look at it with your instructor before you try again."),
    ),
    "station_fault": CauseWords(
        name=say("the station is off"),
        sentence=say("Nearly everybody reads this here: the station is at fault, not you."),
        advice=say("Nothing for you to mend."),
        note=say(
            "Local attraction, a moved mark, or a wrong coordinate: fore and back bearings tell."
        ),
        aside=say("Besides, the station itself is off."),
        hint=say(
            "Something at this place may pull the needle. Is there iron near? Tell your "
            "instructor, then try again."
        ),
    ),
    "unexplained": CauseWords(
        name=say("unexplained"),
        sentence=say("We cannot tell what happened here."),
        advice=say(
            "Go back to the mark and hold the compass level. Turn the dial until the marked end of "
            "the needle (its north end) lies in the arrow of the dial, and read again."
        ),
        note=say("No cause is probable."),
        sum_advice=say("Draw the two norths with the angle between them, then do the sum again."),
        hint=say(
            "Something does not fit. Stand on the mark and hold the compass level. Turn the dial "
            "until the marked end of the needle (its north end) lies in the arrow of the dial, and "
            "read once more."
        ),
        sum_hint=say(
            "Something does not fit. Draw the two norths with the angle between them: which "
            "way does the sum go?"
        ),
        map_advice=say(
            "Lay the edge along the line once more. Turn the dial until the lines in it lie along "
            "the sheet’s north lines, and read at the index line."
        ),
        map_hint=say(
            "Something does not fit. Where does the line begin, which way does it run, and how do "
            "the lines in the dial lie?"
        ),
    ),
    "over_360": CauseWords(
        name=say("sum past 360"),
        sentence=say("Your sum ran past 360 and stayed there."),
        advice=say("A sum past 360 begins again at 0: take away 360."),
        note=say(
            "Half a circle added to more than 180. Ask for the quarter first, then for the sum."
        ),
        hint=say("Can a bearing be more than 360? What is left when the circle is full?"),
    ),
    "paces": CauseWords(
        name=say("paces miscounted"),
        sentence=say("The distance fits paces counted by the other foot: twice as far, or half."),
        advice=say("Count each time the same foot comes down, and say the sum aloud every ten."),
        note=say(
            "Single paces taken for double ones, or the reverse. Walk the taped line once more."
        ),
        hint=say(
            "The direction may be right. Which foot do you count, and how many of its paces "
            "make the taped line?"
        ),
    ),
    "leg_left_out": CauseWords(
        name=say("a leg left out"),
        sentence=say("You end where the walk leads without one of its legs."),
        advice=say("Tick each leg before the next begins."),
        note=say("Two legs run together, or the card was read a line too far."),
        hint=say("How many legs did you walk? Tick each one as it ends."),
    ),
}


def name_of(code):
    """A short name in words.

    >>> name_of("declination_ignored+reversed")
    'declination left out together with reversed'
    """
    name, *others = (WORDS[part].name for part in causes.parts(code))
    return say("{one} together with {other}", one=name, other=others[0]) if others else name


def sentence_on(code, setting=causes.IN_THE_FIELD, otherwise=NOTHING):
    """What happened, for the participant, in the words of this setting. Beside a mistake, a fault
    of the ground or the compass is only mentioned. `otherwise`: `mil_causes`.
    """
    mistakes = causes.mistakes(code)
    return together(
        [
            WORDS[part].said("sentence", setting, otherwise.get(part, NOTHING))
            if part in mistakes or not mistakes
            else WORDS[part].aside
            for part in sorted(causes.parts(code), key=lambda part: part not in mistakes)
        ]
    )


def advice_on(code, setting=causes.IN_THE_FIELD, otherwise=NOTHING):
    """What to do about it, for the participant, where the answer is come by in this setting; about
    the mistakes where there are any.
    """
    parts = causes.mistakes(code) or causes.parts(code)
    said = [WORDS[part].said("advice", setting, otherwise.get(part, NOTHING)) for part in parts]
    return together(said)


def hint_on(code, probability, setting=causes.IN_THE_FIELD, otherwise=NOTHING):
    """A question that helps to a second try and gives no bearing away; a general one where the
    cause is not sure.
    """
    is_sure = probability >= causes.SURE
    part = (causes.mistakes(code) or causes.parts(code))[0] if is_sure else "unexplained"
    return WORDS[part].said("hint", setting, otherwise.get(part, NOTHING))
