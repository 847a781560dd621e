"""A key that was shot on the ground: answers moved to what the instructor's own compass read, with the uncertainty of that instead of the survey's.

An observed key contains the site's local attraction, as the participants' compasses will, and ages with the declination: it is for the day on which it was shot.
"""
import math
from collections import defaultdict
from dataclasses import dataclass, replace

from .angles import circular_mean, difference
from .budget import Budget, Term
from .kinds import kind_of

REPLACED = ("survey", "declination", "correction")  # what the coordinates and the model leave open, and a compass on the spot does not


@dataclass(frozen=True)
class Compared:
    """A task's answer beside what was observed, both magnetic: observed minus computed, its standard error from reading alone, and how many readings."""

    task: str
    computed_deg: float
    observed_deg: float
    off_deg: float
    error_deg: float
    readings: int


def compare(answers, sightings):
    """The answers whose line was sighted from its own station, as `Compared`, by task. Sightings are `attraction.Sighting`s; the sun's do not count."""
    read = defaultdict(list)
    for sighting in sightings:
        if sighting.target:
            read[sighting.station, sighting.target].append(sighting)
    found = {}
    for answer in answers:
        here = read.get((answer.station, answer.target))
        if here and kind_of(answer.kind).reads_needle:
            observed_deg = circular_mean([sighting.bearing_deg for sighting in here])
            error_deg = math.sqrt(math.fsum(sighting.reading_error_deg ** 2 for sighting in here)) / len(here)
            computed_deg = answer.bearings_deg["magnetic"]
            found[answer.task] = Compared(answer.task, computed_deg, observed_deg, difference(observed_deg, computed_deg), error_deg, len(here))
    return found


def observed(answers, sightings):
    """The answers of a key as they were observed; those that nobody sighted stay as they were computed."""
    compared = compare(answers, sightings)
    return tuple(_moved(answer, compared[answer.task]) if answer.task in compared else answer for answer in answers)


def _moved(answer, found):
    moved = kind_of(answer.kind).shifted(answer, found.off_deg, found.error_deg, with_others=False)
    kept = tuple(term for term in answer.budget.terms if term.name not in REPLACED)
    return replace(moved, budget=Budget((*kept, Term("observed", found.error_deg))))
