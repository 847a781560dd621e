"""Words of a class: what is asked, what an answer earns, what went wrong."""

from ...domain.words import say
from ...drawing.schematics import band
from .term import HERE, PRACTICE, Term, by_code

MARKING = by_code(
    Term(
        "task_kind",
        say("Kind of task"),
        say(
            "What is asked: read a bearing or follow one, measure on the map, do a sum, find a "
            "place, or walk."
        ),
        HERE,
        None,
        ("bearing", "resection", "intersection", "back_bearing"),
    ),
    Term(
        "tolerance_band",
        say("Tolerance, or band"),
        say(
            "How far off an answer may be and still earn full credit; in the wider band, part "
            "credit."
        ),
        PRACTICE,
        band,
        ("credit", "standard_uncertainty"),
    ),
    Term(
        "credit",
        say("Credit"),
        say("What an answer earns: full, part or none."),
        HERE,
        None,
        ("tolerance_band",),
    ),
    Term(
        "key",
        say("Key"),
        say("The right answers of a class, reckoned for its day and frozen when it opens."),
        PRACTICE,
        None,
        ("observed_key", "declination"),
    ),
    Term(
        "observed_key",
        say("Observed key"),
        say(
            "Right answers that were read on the ground with a compass, not reckoned from a survey."
        ),
        PRACTICE,
        None,
        ("key", "local_attraction"),
    ),
    Term(
        "cause",
        say("Cause"),
        say("The mistake that most probably led to an answer, or that there was none."),
        HERE,
        None,
        ("habit",),
    ),
    Term(
        "habit",
        say("Habit"),
        say("A mistake that the same person makes again and again, task after task."),
        HERE,
        None,
        ("cause", "offset"),
    ),
)
