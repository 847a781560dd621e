"""The usual list of what is done before a class goes out; a class makes it its own."""

from ..domain.words import say
from ..languages import told

# common practice, no source
USUAL = (
    say("Weather looked at, and what to do if it turns"),
    say("Local rules and whoever is responsible for the ground asked"),
    say("Bounds, safety bearing and time to be back told"),
    say("Cautions read aloud"),
    say("First aid, whistle, charged phone packed"),
    say("Who is responsible, and who stands where, agreed"),
    say("Emergency sheet printed, one with each helper"),
    say("Compasses checked against each other, declination set or not set on all"),
    say("Cards at the stations"),
    say("Somebody at home knows where we are and when we are back"),
)


def usual_lines():
    """The usual list, in the reader's language."""
    return [told(line) for line in USUAL]


def unticked(lines):
    """Lines as a page shows them before a class has a list of its own."""
    return [
        {"number": number, "words": words, "done_at": None, "done_by": ""}
        for number, words in enumerate(lines, start=1)
    ]
