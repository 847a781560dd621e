"""First signs, while a class is out, in time to act: a station that bends needles, a compass that
is off or reversed, a target that several take for another, a step that several leave out.

They are read off the same diagnosis as the debrief, with its probabilities; a sign that was wrong
goes away as readings come in. Each says how many readings it rests on, so that nobody runs for two.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ..diagnosis.biases import Bias
from ..diagnosis.diagnosis import Diagnosis
from ..results.judged import Judged
from ..tasks.kinds import reads_needle

PROBABLE = 0.5  # from here a sign is shown
# readings that a sign rests on, and people whom it takes to speak to all; common practice, no
# source
LEAST_READINGS, LEAST_PEOPLE = 3, 3


class About(StrEnum):
    """What a sign is about."""

    STATION = "station"
    LINE = "line"
    COMPASS_REVERSED = "compass_reversed"
    COMPASS_OFF = "compass_off"
    OTHER_TARGET = "other_target"
    HABIT = "habit"


@dataclass(frozen=True)
class Sign:
    """A sign: what it is about (a station's code, a task's label, a compass's number, a cause), how
    probable it is, by how many degrees readings are off, clockwise positive, how many of how many
    readings there show it (of a habit: people), and the code of the target that is taken for the
    one asked. `rests_on` are the places, among the judged, of the readings that show it.
    """

    about: About
    subject: str
    probability: float
    degrees: float = 0.0
    showing: int = 0
    of: int = 0
    instead: str = ""
    rests_on: tuple[int, ...] = ()

    @property
    def key(self) -> str:
        """What it is known by from one reckoning to the next."""
        return f"{self.about}:{self.subject}:{self.instead}"


def is_key(text: str) -> bool:
    """Whether a text may be the key of a sign."""
    about, *rest = text.split(":")
    return about in list(About) and len(rest) == 2


def first_signs(judged: Sequence[Judged], diagnosis: Diagnosis) -> list[Sign]:
    """The signs of a class so far, the most probable first. `judged` are all its readings that
    count, in the order of time, of which `diagnosis` is.
    """
    found = [
        *_of_ground(judged, diagnosis),
        *_of_compasses(judged, diagnosis),
        *_of_targets(judged),
        *_of_habits(judged, diagnosis),
    ]
    shown = [sign for sign in found if sign.probability >= PROBABLE]
    return sorted(shown, key=lambda sign: (-sign.probability, sign.about, sign.subject))


def _of_ground(judged: Sequence[Judged], diagnosis: Diagnosis) -> Iterator[Sign]:
    """Of stations, and of lines at stations that are sound, as they are by now."""
    bent = {code for code, bias in diagnosis.stations.items() if _is_on(bias)}
    for code in bent:
        bias = diagnosis.stations[code]
        there = [
            place
            for place in _since(judged, bias)
            if judged[place].answer.station == code and reads_needle(judged[place].answer)
        ]
        yield from _counted(About.STATION, code, bias, judged, there)
    for task, bias in diagnosis.lines.items():
        there = [place for place in _since(judged, bias) if judged[place].task == task]
        if there and _is_on(bias) and judged[there[0]].answer.station not in bent:
            yield from _counted(About.LINE, task, bias, judged, there)


def _is_on(bias: Bias) -> bool:
    """Whether something is probably at fault, and still is."""
    return bias.until is None and bias.fault_probability >= PROBABLE


def _since(judged: Sequence[Judged], bias: Bias) -> range:
    """The places of the readings that a bias is of."""
    return range(bias.since or 0, len(judged))


def _counted(
    about: About, subject: str, bias: Bias, judged: Sequence[Judged], there: Sequence[int]
) -> Iterator[Sign]:
    """A sign of the ground, where it rests on readings enough."""
    showing = [place for place in there if "station_fault" in judged[place].cause]
    if len(there) >= LEAST_READINGS:
        yield Sign(
            about,
            subject,
            bias.fault_probability,
            bias.degrees,
            len(showing),
            len(there),
            rests_on=tuple(showing),
        )


def _of_compasses(judged: Sequence[Judged], diagnosis: Diagnosis) -> Iterator[Sign]:
    """Of numbered compasses that two or more people read."""
    for number, compass in diagnosis.compasses.items():
        held = [
            place
            for place, judgement in enumerate(judged)
            if judgement.reading.compass == number and reads_needle(judgement.answer)
        ]
        if len(held) < LEAST_READINGS:
            continue
        for about, cause, probability, degrees in (
            (About.COMPASS_REVERSED, "reversed", compass.reversed_probability, 180.0),
            (
                About.COMPASS_OFF,
                "compass_offset",
                compass.offset.fault_probability,
                compass.offset.degrees,
            ),
        ):
            showing = tuple(place for place in held if cause in judged[place].cause)
            yield Sign(
                about, number, probability, degrees, len(showing), len(held), rests_on=showing
            )


def _of_targets(judged: Sequence[Judged]) -> Iterator[Sign]:
    """Of targets that others are taken for: how probable it is that at least LEAST_PEOPLE at a task
    truly sighted the same other one.
    """
    by_task: dict[str, list[int]] = {}
    for place, judgement in enumerate(judged):
        by_task.setdefault(judgement.task, []).append(place)
    for task, there in by_task.items():
        instead: dict[str, list[int]] = {}
        for place in there:
            if judged[place].cause == "other_target" and judged[place].verdict.detail:
                instead.setdefault(judged[place].verdict.detail, []).append(place)
        for code, showing in instead.items():
            chances = [judged[place].verdict.probability for place in showing]
            yield Sign(
                About.OTHER_TARGET,
                task,
                at_least(LEAST_PEOPLE, chances),
                showing=len(showing),
                of=len(there),
                instead=code,
                rests_on=tuple(showing),
            )


def _of_habits(judged: Sequence[Judged], diagnosis: Diagnosis) -> Iterator[Sign]:
    """Of habits that so many have that it is quicker to tell everybody."""
    known = {judgement.person for judgement in judged if reads_needle(judgement.answer)}
    people = {name: person for name, person in diagnosis.people.items() if name in known}
    found = Counter(person.habit for person in people.values() if person.habit != "none")
    for habit, showing in found.items():
        chances = [
            person.habit_probability
            if person.habit == habit
            else dict(person.other_habits).get(habit, 0.0)
            for person in people.values()
        ]
        rests_on = tuple(
            place
            for place, judgement in enumerate(judged)
            if judgement.person in people
            and people[judgement.person].habit == habit
            and judgement.cause == habit
        )
        yield Sign(
            About.HABIT,
            habit,
            at_least(LEAST_PEOPLE, chances),
            showing=showing,
            of=len(people),
            rests_on=rests_on,
        )


def at_least(number: int, probabilities: Iterable[float]) -> float:
    """How probable it is that at least so many of independent events happen, 0..1: the tail of the
    Poisson binomial distribution, by convolution.

    >>> round(at_least(1, [0.5, 0.5]), 6), at_least(3, [0.9, 0.9])
    (0.75, 0)
    """
    exactly = [1.0]
    for chance in probabilities:
        exactly = [
            without * (1.0 - chance) + with_one * chance
            for without, with_one in zip([*exactly, 0.0], [0.0, *exactly], strict=True)
        ]
    return sum(exactly[number:])
