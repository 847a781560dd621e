"""A key that was shot on the ground: answers moved to what the instructor's own compass read, with
the uncertainty of that instead of the survey's.

An observed key contains the site's local attraction, as the participants' compasses will, and ages
with the declination: it is for the day on which it was shot.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ..earth.angles import circular_mean, difference, wrap
from ..surveying.ground.attraction import SURE, Ground, adjust
from ..surveying.ground.estimate import Estimate
from ..surveying.ground.sighting import Instrument, Sighting
from .answer import Answer, Other
from .budget import Budget, Term
from .kinds import reads_needle

# what the coordinates and the model leave open, and a compass on the spot does not
REPLACED = ("survey", "declination", "correction")
NO_FAULT = Estimate(0.0, 0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Compared:
    """A task's answer beside what was observed, both magnetic of the answer's day: observed minus
    computed, its standard error from reading and from compasses, and how many readings.
    """

    task: str
    computed_deg: float
    observed_deg: float
    off_deg: float
    error_deg: float
    readings: int


def compare(answers: Iterable[Answer], sightings: Sequence[Sighting]) -> dict[str, Compared]:
    """The answers whose line was sighted from its own station, as `Compared`, by task. The sun's
    shadow is no line, and readings that cancel each other say nothing.

    What a reading is off by is counted against its own day, so that a bearing of another year does
    not bring its declination along; a compass that is surely off has its error taken out.
    """
    return _compared_all(answers, _Shot.of(sightings)) if sightings else {}


@dataclass(frozen=True)
class _Shot:
    """Sightings as sound compasses would have read them, and what all of them say."""

    sightings: tuple[Sighting, ...]
    ground: Ground

    @classmethod
    def of(cls, sightings: Sequence[Sighting]) -> _Shot:
        """Sightings with the error of compasses taken out that are surely off."""
        ground = adjust(sightings)
        return cls(
            tuple(
                replace(
                    sighting,
                    bearing_deg=wrap(
                        sighting.bearing_deg - _fault(ground, sighting.instrument).degrees
                    ),
                )
                for sighting in sightings
            ),
            ground,
        )

    def error_deg(self, sighting: Sighting) -> float:
        """The standard error of a sighting: of its reading, and of what was taken out."""
        return math.hypot(
            self.ground.reading_sigma_deg(sighting),
            _fault(self.ground, sighting.instrument).error_deg,
        )


def _fault(ground: Ground, instrument: Instrument) -> Estimate:
    """What a compass that is surely off is off by; nothing for one that may be sound, whose limits
    stand in every budget.
    """
    estimate = ground.compasses[instrument]
    return estimate if estimate.probability >= SURE else NO_FAULT


def _compared_all(answers: Iterable[Answer], shot: _Shot) -> dict[str, Compared]:
    """The answers whose line was sighted, by task."""
    pairs = [
        (answer, _readings(shot.sightings, answer.station, answer.target))
        for answer in answers
        if reads_needle(answer)
    ]
    compared = [_compared(answer, here, shot) for answer, here in pairs if here]
    return {beside.task: beside for beside in compared if beside is not None}


def _compared(answer: Answer, here: Sequence[Sighting], shot: _Shot) -> Compared | None:
    """An answer beside the sightings of its line; None where these cancel each other."""
    mean_deg = circular_mean([_off(sighting, answer) for sighting in here])
    if mean_deg is None:
        return None
    off_deg = difference(mean_deg, 0.0)
    variance = math.fsum(shot.error_deg(sighting) ** 2 for sighting in here)
    computed_deg = answer.bearings_deg["magnetic"]
    return Compared(
        answer.task,
        computed_deg,
        wrap(computed_deg + off_deg),
        off_deg,
        math.sqrt(variance) / len(here),
        len(here),
    )


def _readings(sightings: Sequence[Sighting], station: str, target: str) -> list[Sighting]:
    """The sightings of one line from one end."""
    return [
        sighting
        for sighting in sightings
        if target and (sighting.station, sighting.target) == (station, target)
    ]


def _off(sighting: Sighting, answer: Answer) -> float:
    """What a sighting is off by: of its own day, or of the answer where nothing is computed."""
    if sighting.off_deg is None:
        return difference(sighting.bearing_deg, answer.bearings_deg["magnetic"])
    return sighting.off_deg


def observed(answers: Iterable[Answer], sightings: Sequence[Sighting]) -> tuple[Answer, ...]:
    """The answers of a key as they were observed; those that nobody sighted stay as they were
    computed.

    The other targets of a station move as they were sighted themselves, else by the attraction that
    all sightings together say the station has.
    """
    answers = tuple(answers)
    if not sightings:
        return answers
    shot = _Shot.of(sightings)
    compared = _compared_all(answers, shot)
    bent = {
        station: estimate.degrees
        for station, estimate in shot.ground.attraction.items()
        if estimate.probability > 0.5
    }
    return tuple(
        _moved(answer, compared[answer.task], shot.sightings, bent.get(answer.station, 0.0))
        if answer.task in compared
        else answer
        for answer in answers
    )


def _moved(
    answer: Answer, compared: Compared, sightings: Sequence[Sighting], bent_deg: float
) -> Answer:
    """An answer where the needle was seen to point; a bearing that was given as the line's own is
    given as it was observed.
    """
    kept = tuple(term for term in answer.budget.terms if term.name not in REPLACED)
    moved = replace(
        answer,
        bearings_deg={
            north: wrap(bearing_deg + compared.off_deg)
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
        budget=Budget((*kept, Term("observed", compared.error_deg))),
    )
    is_own = (
        answer.given_deg is not None
        and abs(difference(answer.given_deg, answer.expected_deg)) <= 0.5
    )
    return replace(moved, given_deg=wrap(round(moved.expected_deg))) if is_own else moved


def _other_off(
    answer: Answer, other: Other, sightings: Sequence[Sighting], bent_deg: float
) -> float:
    """What another target of the station is off by: as sighted, else as the station bends."""
    off_deg = [
        sighting.off_deg
        for sighting in _readings(sightings, answer.station, other.code)
        if sighting.off_deg is not None
    ]
    mean_deg = circular_mean(off_deg) if off_deg else None
    return bent_deg if mean_deg is None else difference(mean_deg, 0.0)
