"""A key that was shot on the ground: answers moved to what the instructor's own compass read, with
the uncertainty of that instead of the survey's.

An observed key contains the site's local attraction, as the participants' compasses will, and ages
with the declination: it is for the day on which it was shot.
"""

import math
from dataclasses import dataclass, replace

from ..earth.angles import circular_mean, difference, wrap
from ..surveying.attraction import adjust
from .budget import Budget, Term
from .kinds import reads_needle

REPLACED = (
    "survey",
    "declination",
    "correction",
)  # what the coordinates and the model leave open, and a compass on the spot does not


@dataclass(frozen=True)
class Compared:
    """A task's answer beside what was observed, both magnetic of the answer's day: observed minus
    computed, its standard error from reading alone, and how many readings.
    """

    task: str
    computed_deg: float
    observed_deg: float
    off_deg: float
    error_deg: float
    readings: int


def compare(answers, sightings):
    """The answers whose line was sighted from its own station, as `Compared`, by task. The sun's
    shadow is no line, and readings that cancel each other say nothing.

    What a reading is off by is counted against its own day, so that a bearing of another year does
    not bring its declination along.
    """
    found = {}
    for answer in answers:
        here = _readings(sightings, answer.station, answer.target)
        if here and reads_needle(answer):
            off_deg = circular_mean([_off(sighting, answer) for sighting in here])
            if off_deg is not None:
                off_deg = difference(off_deg, 0.0)
                error_deg = math.sqrt(
                    math.fsum(sighting.reading_error_deg**2 for sighting in here)
                ) / len(here)
                computed_deg = answer.bearings_deg["magnetic"]
                found[answer.task] = Compared(
                    answer.task,
                    computed_deg,
                    wrap(computed_deg + off_deg),
                    off_deg,
                    error_deg,
                    len(here),
                )
    return found


def _readings(sightings, station, target):
    return [
        sighting
        for sighting in sightings
        if target and (sighting.station, sighting.target) == (station, target)
    ]


def _off(sighting, answer):
    return (
        difference(sighting.bearing_deg, answer.bearings_deg["magnetic"])
        if sighting.off_deg is None
        else sighting.off_deg
    )


def observed(answers, sightings):
    """The answers of a key as they were observed; those that nobody sighted stay as they were
    computed.

    The other targets of a station move as they were sighted themselves, else by the attraction that
    all sightings together say the station has.
    """
    compared = compare(answers, sightings)
    bent = (
        {
            station: one.degrees
            for station, one in adjust(sightings).attraction.items()
            if one.probability > 0.5
        }
        if compared
        else {}
    )
    return tuple(
        _moved(answer, compared[answer.task], sightings, bent.get(answer.station, 0.0))
        if answer.task in compared
        else answer
        for answer in answers
    )


def _moved(answer, found, sightings, bent_deg):
    """An answer where the needle was seen to point; a bearing that was given as the line's own is
    given as it was observed.
    """
    kept = tuple(term for term in answer.budget.terms if term.name not in REPLACED)
    moved = replace(
        answer,
        bearings_deg={
            north: wrap(bearing_deg + found.off_deg)
            for north, bearing_deg in answer.bearings_deg.items()
        },
        others=tuple(
            replace(
                other,
                bearing_deg=wrap(
                    other.bearing_deg + _other_off(answer, other, sightings, bent_deg)
                ),
            )
            for other in answer.others
        ),
        budget=Budget((*kept, Term("observed", found.error_deg))),
    )
    is_own = (
        answer.given_deg is not None
        and abs(difference(answer.given_deg, answer.expected_deg)) <= 0.5
    )
    return replace(moved, given_deg=wrap(round(moved.expected_deg))) if is_own else moved


def _other_off(answer, other, sightings, bent_deg):
    own = [
        sighting.off_deg
        for sighting in _readings(sightings, answer.station, other.code)
        if sighting.off_deg is not None
    ]
    mean_deg = circular_mean(own) if own else None
    return bent_deg if mean_deg is None else difference(mean_deg, 0.0)
