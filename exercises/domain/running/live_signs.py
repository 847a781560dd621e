"""First signs, while a class is out, in time to act: a station that bends needles, a compass that
is off or reversed, a target that several take for another.

They are read off the same diagnosis as the debrief, with its probabilities; a sign that was wrong
goes away as readings come in. Each says how many readings it rests on, so that nobody runs for two.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ..diagnosis.diagnosis import Diagnosis
from ..results.judged import Judged
from ..tasks.kinds import reads_needle

PROBABLE = 0.5  # from here a sign is shown
LEAST_READINGS = 3  # that a sign rests on; common practice, no source


class Kind(StrEnum):
    """What a sign is about."""

    STATION = "station"
    LINE = "line"
    COMPASS_REVERSED = "compass_reversed"
    COMPASS_OFF = "compass_off"
    OTHER_TARGET = "other_target"


@dataclass(frozen=True)
class Sign:
    """A sign: what it is about (a station's code, a task's label, a compass's number), how probable
    it is, by how many degrees readings are off, how many of how many readings there show it, and
    the target that is taken for the one asked.
    """

    kind: Kind
    subject: str
    probability: float
    degrees: float = 0.0
    showing: int = 0
    of: int = 0
    instead: str = ""


def signs(judged: Sequence[Judged], diagnosis: Diagnosis) -> list[Sign]:
    """The signs of a class so far, the most probable first."""
    found = [
        *_of_ground(judged, diagnosis),
        *_of_compasses(judged, diagnosis),
        *_of_targets(judged),
    ]
    shown = [sign for sign in found if sign.probability >= PROBABLE and sign.of >= LEAST_READINGS]
    return sorted(shown, key=lambda sign: (-sign.probability, sign.kind, sign.subject))


def _of_ground(judged: Sequence[Judged], diagnosis: Diagnosis) -> Iterable[Sign]:
    """Of stations, and of lines at stations that are sound."""
    needles = [judgement for judgement in judged if reads_needle(judgement.answer)]
    for code, bias in diagnosis.stations.items():
        there = [judgement for judgement in needles if judgement.answer.station == code]
        showing = sum("station_fault" in judgement.cause for judgement in there)
        yield Sign(Kind.STATION, code, bias.fault_probability, bias.degrees, showing, len(there))
    for task, bias in diagnosis.lines.items():
        there = [judgement for judgement in needles if judgement.task == task]
        station = there[0].answer.station if there else ""
        at_station = diagnosis.stations.get(station)
        if at_station and at_station.fault_probability >= PROBABLE:
            continue
        showing = sum("station_fault" in judgement.cause for judgement in there)
        yield Sign(Kind.LINE, task, bias.fault_probability, bias.degrees, showing, len(there))


def _of_compasses(judged: Sequence[Judged], diagnosis: Diagnosis) -> Iterable[Sign]:
    """Of numbered compasses that two or more people read."""
    for number, compass in diagnosis.compasses.items():
        held = [
            judgement
            for judgement in judged
            if judgement.reading.compass == number and reads_needle(judgement.answer)
        ]
        turned = sum("reversed" in judgement.cause for judgement in held)
        off = sum("compass_offset" in judgement.cause for judgement in held)
        yield Sign(
            Kind.COMPASS_REVERSED,
            number,
            compass.reversed_probability,
            180.0,
            turned,
            len(held),
        )
        yield Sign(
            Kind.COMPASS_OFF,
            number,
            compass.offset.fault_probability,
            compass.offset.degrees,
            off,
            len(held),
        )


def _of_targets(judged: Sequence[Judged]) -> Iterable[Sign]:
    """Of targets that others are taken for: how probable it is that at least LEAST_READINGS people
    at a task truly sighted the same other one.
    """
    by_task: dict[str, list[Judged]] = {}
    for judgement in judged:
        by_task.setdefault(judgement.task, []).append(judgement)
    for task, there in by_task.items():
        chances: dict[str, list[float]] = {}
        for judgement in there:
            if judgement.cause == "other_target" and judgement.verdict.detail:
                chances.setdefault(judgement.verdict.detail, []).append(
                    judgement.verdict.probability
                )
        for instead, probabilities in chances.items():
            yield Sign(
                Kind.OTHER_TARGET,
                task,
                at_least(LEAST_READINGS, probabilities),
                showing=len(probabilities),
                of=len(there),
                instead=instead,
            )


def at_least(number: int, probabilities: Iterable[float]) -> float:
    """How probable it is that at least so many of independent events happen (Poisson binomial).

    >>> round(at_least(1, [0.5, 0.5]), 6), at_least(3, [0.9, 0.9])
    (0.75, 0.0)
    """
    exactly = [1.0]
    for chance in probabilities:
        exactly = [
            (exactly[count] if count < len(exactly) else 0.0) * (1.0 - chance)
            + (exactly[count - 1] * chance if count else 0.0)
            for count in range(len(exactly) + 1)
        ]
    return sum(exactly[number:])
