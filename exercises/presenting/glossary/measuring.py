"""Words of surveying, and of how sure a figure is."""

from ...domain.words import say
from ...drawing.schematics import back_bearing, ellipse, misclosure
from .term import ADJUSTMENT, GUM, NAVY, PRACTICE, Term, by_code

MEASURING = by_code(
    Term(
        "standard_uncertainty",
        say("Standard uncertainty, or one sigma"),
        say("How far off a figure may well be, either way: about two times in three it is less."),
        GUM,
        None,
        ("interval", "error_ellipse", "scatter"),
    ),
    Term(
        "interval",
        say("At 95 %"),
        say("From where to where the truth lies about nineteen times in twenty."),
        GUM,
        None,
        ("standard_uncertainty",),
    ),
    Term(
        "error_ellipse",
        say("Error ellipse"),
        say(
            "An oval round a point, wider where its place is less sure: 95 of 100 surveys would "
            "put it inside."
        ),
        ADJUSTMENT,
        ellipse,
        ("standard_uncertainty",),
    ),
    Term(
        "scatter",
        say("Scatter"),
        say("How much careful readings of the same thing differ from one another."),
        PRACTICE,
        None,
        ("standard_uncertainty", "offset"),
    ),
    Term(
        "offset",
        say("Off everywhere"),
        say("By how many degrees all readings of one person or one compass are off alike."),
        PRACTICE,
        None,
        ("scatter", "local_attraction"),
    ),
    Term(
        "fore_and_back",
        say("Fore and back bearing"),
        say(
            "One line read from both its ends: where the two do not differ by 180, something bends "
            "a needle."
        ),
        NAVY,
        back_bearing,
        ("back_bearing", "local_attraction"),
    ),
    Term(
        "traverse",
        say("Traverse"),
        say(
            "Bearing and distance from corner to corner, from a known point back to it or to "
            "another one."
        ),
        NAVY,
        misclosure,
        ("misclosure", "leg"),
    ),
    Term(
        "misclosure",
        say("Closure, and misclosure"),
        say(
            "A traverse should close: end at a point that is known; by how far it misses that is "
            "its misclosure."
        ),
        NAVY,
        misclosure,
        ("traverse", "adjustment"),
    ),
    Term(
        "adjustment",
        say("Least squares"),
        say(
            "Of all answers the one that changes the measurements least, the sure ones less than "
            "the others."
        ),
        ADJUSTMENT,
        None,
        ("misclosure", "standard_uncertainty"),
    ),
)
