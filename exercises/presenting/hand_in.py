"""Readings that the instructor takes over from a phone, in words."""

from ..languages import tell, tell_many


def readings_text(readings, names, here):
    """(name, task, answer, whether it is here already) of each reading; `names` by the person's
    key, `here` the ids of those that are.
    """
    return [
        (
            names.get(reading["person"], tell("somebody who is not in this class")),
            reading["task"],
            reading["text"],
            reading["id"] in here,
        )
        for reading in readings
    ]


def handed_in_text(outcomes):
    """How many readings were taken in, and how many were here already."""
    new, again = (
        sum(outcome.status == status for outcome in outcomes) for status in ("stored", "again")
    )
    sentences = [tell_many("One reading taken in.", "{number} readings taken in.", new)]
    if again:
        sentences.append(tell_many("One was here already.", "{number} were here already.", again))
    return " ".join(sentences)
