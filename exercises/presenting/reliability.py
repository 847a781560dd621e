"""How often the diagnosis was right, as a table and a drawing."""

from ..domain.results import reliability
from ..domain.words import say
from ..drawing.reliability import reliability as drawn
from ..languages import tell, tell_many, told
from .probabilities import percent

WORDS = {
    0.9: say("sure"),
    0.6: say("probable"),
    0.3: say("one of two or three"),
    0.0: say("cannot be told"),
}


def reliability_of(labels):
    """What labels say of the judgements they were given on; None without any."""
    bins = reliability.bins(
        reliability.Said(label.was_cause, label.was_probability, label.cause) for label in labels
    )
    if not bins:
        return None
    return {
        "rows": [_row(one) for one in reversed(bins)],
        "picture": drawn(bins),
        "sentence": _sentence(bins),
    }


def _row(one):
    """One sureness: its word, what was said, how many were right, and the interval."""
    return (
        told(WORDS[one.low]),
        percent(one.mean),
        tell("{right} of {number}", right=one.right, number=one.number),
        tell("{low} to {high}", low=percent(one.share_low), high=percent(one.share_high)),
    )


def _sentence(bins):
    """What to make of it."""
    number = sum(one.number for one in bins)
    counted = tell_many(
        "{number} judgement was confirmed or corrected.",
        "{number} judgements were confirmed or corrected.",
        number,
    )
    verdict = (
        tell("What was said agrees with what it was.")
        if all(one.agrees for one in bins)
        else tell(
            "Where a bar does not reach the line, it was said too surely, or not surely enough."
        )
    )
    return f"{counted} {verdict}"
