"""Words of the compass and its parts."""

from functools import partial

from ...domain.words import say
from ...drawing.compass_parts import boxed, compass_parts, needle_ends
from ...drawing.schematics import attraction, ticks
from .term import ARMY, NAVY, PRACTICE, Term, by_code


def _part(code, name, sentence, *related):
    return Term(code, name, sentence, PRACTICE, partial(compass_parts, code), related, is_part=True)


PARTS = by_code(
    _part(
        "travel_arrow",
        say("Direction-of-travel arrow"),
        say("The arrow at the front of the plate: you point it at the thing that you aim at."),
        "index_line",
    ),
    _part(
        "index_line",
        say("Index line"),
        say(
            "The short line where the arrow of the plate begins: the number there is your bearing."
        ),
        "travel_arrow",
        "graduation",
    ),
    _part(
        "dial",
        say("Dial, or housing"),
        say("The ring with the numbers from 0 to 360; it turns on the plate."),
        "graduation",
        "orienting_arrow",
    ),
    Term(
        "needle",
        say("Needle, and its north end"),
        say(
            "The needle turns by itself; its marked end points north, and the mark may be red, "
            "white or an N."
        ),
        PRACTICE,
        needle_ends,
        ("boxed", "magnetic_north"),
    ),
    _part(
        "orienting_arrow",
        say("Orienting arrow"),
        say(
            "The arrow of the dial, drawn in its floor: the marked end of the needle goes into it."
        ),
        "boxed",
    ),
    _part(
        "orienting_lines",
        say("Orienting lines"),
        say("The thin lines in the dial: on a map they lie along the lines that run north."),
        "grid_north",
    ),
    _part(
        "baseplate",
        say("Baseplate"),
        say("The clear, flat plate under it all; on a map its long edge lies along your line."),
        "travel_arrow",
    ),
)
USING = by_code(
    Term(
        "boxed",
        say("Box the needle"),
        say("Turn the dial until the marked end of the needle lies in the arrow of the dial."),
        PRACTICE,
        boxed,
        ("needle", "orienting_arrow"),
    ),
    Term(
        "graduation",
        say("Graduation, and ticks"),
        say("The small lines of the dial are ticks; from one to the next it is 1, 2 or 5 degrees."),
        PRACTICE,
        ticks,
        ("dial", "mil"),
    ),
    Term(
        "mil",
        say("Mil"),
        say(
            "Another unit of angle, found on some dials: 6400 mils make the full circle, where "
            "degrees make 360."
        ),
        ARMY,
        None,
        ("graduation",),
    ),
    Term(
        "set_compass",
        say("Compass with the declination set"),
        say(
            "A compass whose orienting arrow was turned by the declination: it shows true "
            "bearings, and no sum is needed."
        ),
        PRACTICE,
        None,
        ("declination", "true_north"),
    ),
    Term(
        "local_attraction",
        say("Local attraction"),
        say(
            "Iron, a current or rock pulls the needle aside: every bearing read at that place is "
            "off by the same angle."
        ),
        NAVY,
        attraction,
        ("fore_and_back", "offset"),
    ),
)
