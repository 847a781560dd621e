"""What is said otherwise of a cause to somebody whose compass is marked in mils: figures of the
circle as shares of it, and those of the dial in mils. By the cause's code and the part of its words
(`causes.CauseWords`); everything else is said as it is of degrees.
"""

from ..domain.words import say

IN_MILS = {
    "reversed": {
        "sentence": say("Your bearing points the opposite way: it is about half a circle off."),
    },
    "quarter_turn": {
        "sentence": say(
            "Your bearing is a quarter of the circle off: you read at the side of the plate."
        ),
        "map_sentence": say(
            "Your bearing is a quarter of the circle off: the housing lay across the north lines, "
            "or you read at the side of the plate."
        ),
    },
    "digit_dropped": {"advice": say("Always four digits: 0132 is not 1320.")},
    "ten_off": {
        "sentence": say("You are one or two printed numbers off: 100 or 200 mils."),
        "sum_hint": say(
            "You are close. Did you carry the hundred? Do the sum once more, one column at a time."
        ),
    },
    "hundred_off": {
        "sentence": say("The first digit is wrong: you are 1000 mils off."),
        "advice": say("Which quarter of the circle is it? Then write four digits."),
    },
    "mils": {
        "sentence": say("Your number is right on the scale of degrees, not in mils."),
        "advice": say("Mils are the scale with four digits: a quarter of the circle is over 1000."),
        "hint": say("Which scale did you read? The one in degrees ends at 360."),
        "heading": say("Read in degrees"),
    },
}
