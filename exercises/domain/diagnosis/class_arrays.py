"""Who read what where, and from when on: a class as index arrays, parted where something about the
ground changed.
"""

from __future__ import annotations

import itertools
import math
from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from ..tasks.answer import Answer
from ..tasks.forms.direction import Direction
from ..tasks.kinds import reads_needle
from ..tasks.reading import Reading
from . import biases
from .arrays import Flags, Floats, Indices, places_of
from .biases import Bias
from .compass_known import CompassKnown
from .replies import Heard, heard
from .residuals import Residuals
from .written_numbers import writes_fives

LEAST_SIGMA_DEG = 0.3  # nothing is known or drawn better than this; common practice, no source
NO_COMPASS = -1
NONE = -1
JUST_HERE = 3  # people from whom an answer may be copied; common practice, no source


@dataclass(frozen=True)
class StationEpoch:
    """A station, or one during a part of the class; `since` and `until` as in `Bias`."""

    station: str
    since: int | None = None
    until: int | None = None


@dataclass(frozen=True)
class LineEpoch:
    """A task's sight line as long as nothing about it changes: the indices of its task and of its
    station's epoch; `since` and `until` as in `Bias`.
    """

    task: int
    epoch: int
    since: int | None = None
    until: int | None = None


@dataclass(frozen=True)
class SeenTo:
    """Somebody saw to a station, or to the sight line of one task there, when the class had made so
    many `readings`.
    """

    station: str
    readings: int
    task: str = ""


@dataclass(frozen=True)
class ClassArrays:
    """A class as index arrays. People and compasses are sorted, the rest in order of appearance.

    `person`, `row`, `task`, `compass` and `line` (readings,) point at `people`, at the different
    answers of `Residuals`, at the answers, at `compasses` (NO_COMPASS where it has no offset of its
    own) and at `lines`. `known` (compasses,) is what was known of each before. `needle` (tasks,)
    says whether one is read, `answer_sigma_deg` (tasks,) how uncertain an answer is by itself,
    `line_sigma_deg` (tasks,) how far a sound line may be off by its survey.

    `number_deg` (readings,) is the number read off a dial of degrees, nan where there is none;
    `fives` (people,) how probable it is that a person writes multiples of five. `seen_before`
    (readings,) is the share of those who were just here that gave the same answer, and `original`
    the latest of their readings, or NONE: what may have been copied. `heard` is what was replied to
    questions.
    """

    people: np.ndarray
    person: Indices
    row: Indices
    task: Indices
    compasses: tuple[str, ...]
    known: tuple[CompassKnown | None, ...]
    compass: Indices
    needle: Flags
    answer_sigma_deg: Floats
    line_sigma_deg: Floats
    epochs: tuple[StationEpoch, ...]
    lines: tuple[LineEpoch, ...]
    line: Indices
    number_deg: Floats
    fives: Floats
    seen_before: Floats
    original: Indices
    heard: Heard | None

    @property
    def epoch(self) -> Indices:
        """The station's epoch of each reading: (readings,)."""
        return np.array([line.epoch for line in self.lines], int)[self.line]

    @property
    def has_needle(self) -> Flags:
        """Whether each reading has a needle in it: (readings,)."""
        return self.needle[self.task]

    def lines_of_epochs(self) -> list[list[int]]:
        """The indices of the lines of each station's epoch, in order."""
        lines: list[list[int]] = [[] for _ in self.epochs]
        for index, line in enumerate(self.lines):
            lines[line.epoch].append(index)
        return lines


def arranged(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    residuals: Residuals,
    known: Mapping[str, CompassKnown] = MappingProxyType({}),
) -> ClassArrays:
    """A class before anything is known to have changed in it. `known` is what is known of compasses
    by their number.
    """
    people, person = np.unique([reading.person for reading in readings], return_inverse=True)
    needle = np.array([reads_needle(answer) for answer in answers])
    task = residuals.task[residuals.row_of]
    compasses, compass = _told_apart(readings, person, known)
    stations = list(dict.fromkeys(answer.station for answer in answers))
    index_of = {station: index for index, station in enumerate(stations)}
    number_deg = _numbers(answers, readings, task, needle)
    seen_before, original = _copied(readings, person, task)
    return ClassArrays(
        people=people,
        person=person,
        row=residuals.row_of,
        task=task,
        compasses=compasses,
        known=tuple(known.get(number) for number in compasses),
        compass=compass,
        needle=needle,
        answer_sigma_deg=np.array([_answer_sigma_deg(answer) for answer in answers]),
        line_sigma_deg=np.array(
            [max(answer.budget.degrees("survey"), LEAST_SIGMA_DEG) for answer in answers]
        ),
        epochs=tuple(StationEpoch(station) for station in stations),
        lines=tuple(
            LineEpoch(index, index_of[answer.station]) for index, answer in enumerate(answers)
        ),
        line=task,
        number_deg=number_deg,
        fives=_fives(number_deg, person, len(people)),
        seen_before=seen_before,
        original=original,
        heard=heard(answers, readings, residuals),
    )


def _numbers(
    answers: Sequence[Answer], readings: Sequence[Reading], task: Indices, needle: Flags
) -> Floats:
    """`number_deg`."""
    forms = [Direction.of(answer) for answer in answers]
    numbers = [
        forms[index].dial_number(reading.seen)
        if needle[index] and reading.instrument.unit.has_fives
        else None
        for reading, index in zip(readings, task.tolist(), strict=True)
    ]
    return np.array([np.nan if number is None else number for number in numbers])


def _fives(number_deg: Floats, person: Indices, people: int) -> Floats:
    """`fives`."""
    by_person: list[list[float]] = [[] for _ in range(people)]
    for number, who in zip(number_deg.tolist(), person.tolist(), strict=True):
        if not math.isnan(number):
            by_person[who].append(number)
    return np.array([writes_fives(own) for own in by_person])


def _copied(readings: Sequence[Reading], person: Indices, task: Indices) -> tuple[Floats, Indices]:
    """`seen_before` and `original`."""
    just_here: dict[int, deque[int]] = {}
    share, original = np.zeros(len(readings)), np.full(len(readings), NONE)
    for index, (reading, who, where) in enumerate(
        zip(readings, person.tolist(), task.tolist(), strict=True)
    ):
        before = just_here.setdefault(where, deque(maxlen=JUST_HERE))
        same = [
            other
            for other in before
            if readings[other].seen == reading.seen and person[other] != who
        ]
        if same:
            share[index], original[index] = len(same) / JUST_HERE, same[-1]
        before.append(index)
    return share, original


def _told_apart(
    readings: Sequence[Reading], person: Indices, known: Mapping[str, CompassKnown]
) -> tuple[tuple[str, ...], Indices]:
    """The numbers that have an offset of their own, sorted, and the index of each reading's.

    A compass that stays in one person's hand cannot be told from that person: only those have one
    that two or more people read, or somebody who read others too, or of which something is known.
    """
    users: dict[str, set[int]] = {}
    held: dict[int, set[str]] = {}
    for reading, who in zip(readings, person.tolist(), strict=True):
        users.setdefault(reading.compass, set()).add(who)
        held.setdefault(who, set()).add(reading.compass)
    apart = tuple(
        sorted(
            number
            for number, who in users.items()
            if number
            and (number in known or len(who) > 1 or any(len(held[one]) > 1 for one in who))
        )
    )
    return apart, indices_of(readings, apart)


def indices_of(readings: Sequence[Reading], compasses: Sequence[str]) -> Indices:
    """Which of some compasses each reading was made with, NO_COMPASS for another: (readings,)."""
    index_of = {number: index for index, number in enumerate(compasses)}
    return np.array([index_of.get(reading.compass, NO_COMPASS) for reading in readings], int)


def _answer_sigma_deg(answer: Answer) -> float:
    """The standard uncertainty of an answer besides its survey and the compass, degrees."""
    if reads_needle(answer):
        return answer.budget.degrees("standing", "declination")
    return max(answer.budget.degrees("protractor", "scale"), LEAST_SIGMA_DEG)


def users_of_compasses(arrays: ClassArrays) -> list[Indices]:
    """The people who read with each shared compass."""
    pairs = np.unique(np.stack([arrays.compass, arrays.person]), axis=1)
    bounds = np.searchsorted(pairs[0], np.arange(len(arrays.compasses) + 1))
    return [pairs[1, begin:end] for begin, end in itertools.pairwise(bounds)]


def ground_bias_deg(arrays: ClassArrays, epochs: Sequence[Bias], lines: Sequence[Bias]) -> Floats:
    """The bias of each line with that of its station, b + g: (lines,), degrees."""
    return np.array(
        [
            epochs[line.epoch].degrees + bias.degrees
            for line, bias in zip(arrays.lines, lines, strict=True)
        ]
    )


def needle_shift_deg(
    arrays: ClassArrays,
    epochs: Sequence[Bias],
    lines: Sequence[Bias],
    compasses: Sequence[Bias],
    reversed_chance: Floats,
) -> Floats:
    """What bends each reading's needle beyond the person's own offset, b + g + o + 180 z:
    (readings,), degrees; nothing where there is no needle. `reversed_chance` (compasses,).
    """
    ground = ground_bias_deg(arrays, epochs, lines)[arrays.line]
    offsets = [
        bias.degrees + 180.0 * (chance >= 0.5)
        for bias, chance in zip(compasses, reversed_chance, strict=True)
    ]
    of_compass = np.array([*offsets, 0.0])[arrays.compass]  # NO_COMPASS is the last
    return np.where(arrays.has_needle, ground + of_compass, 0.0)


def with_changes(
    arrays: ClassArrays,
    answers: Sequence[Answer],
    scans: Floats,
    seen_to: Sequence[SeenTo] = (),
) -> ClassArrays:
    """The class with stations, and else lines, parted in two where a fault began or ended; the same
    one where none did.

    `scans` (readings, biases) are log likelihoods as functions of the ground's whole bias at each
    reading; `seen_to` says where and when somebody saw to something.
    """
    parted, lines_of = _Parting(arrays), arrays.lines_of_epochs()
    with_needle = np.flatnonzero(arrays.has_needle)
    places = places_of(arrays.epoch[with_needle], len(arrays.epochs))
    for epoch, station in enumerate(arrays.epochs):
        own = with_needle[places[epoch]]
        at = _places([one for one in seen_to if one.station == station.station], "", own)
        if cut := biases.change(scans[own], arrays.line[own], at):
            parted.station(epoch, own, own[cut[0]], comes_after=cut[1])
            continue
        for line in lines_of[epoch]:
            on_line = own[arrays.line[own] == line]
            at = _places(seen_to, answers[arrays.lines[line].task].task, on_line)
            if cut := biases.change(scans[on_line], arrays.line[on_line], at):
                parted.line(line, epoch, on_line, on_line[cut[0]], comes_after=cut[1])
    return parted.arrays()


def _places(seen_to: Sequence[SeenTo], task: str, own: Indices) -> list[int]:
    """After how many of some readings somebody saw to a task's line, or to the whole station."""
    return [int(np.searchsorted(own, one.readings)) for one in seen_to if one.task == task]


class _Parting:
    """A class whose stations and lines are being parted."""

    def __init__(self, arrays: ClassArrays) -> None:
        self.before = arrays
        self.epochs, self.lines = list(arrays.epochs), list(arrays.lines)
        self.line_of = arrays.line.copy()

    def arrays(self) -> ClassArrays:
        """The class as it is now parted."""
        if len(self.lines) == len(self.before.lines):
            return self.before
        return replace(
            self.before, epochs=tuple(self.epochs), lines=tuple(self.lines), line=self.line_of
        )

    def station(self, epoch: int, own: Indices, moment: int, *, comes_after: bool) -> None:
        """Give the readings of a station on the faulty side an epoch of their own, and its lines
        likewise.
        """
        self.epochs.append(StationEpoch(self.epochs[epoch].station, *_span(moment, comes_after)))
        for line in sorted(set(self.line_of[own].tolist())):
            readings = own[self.line_of[own] == line]
            new = LineEpoch(self.lines[line].task, len(self.epochs) - 1)
            self._move(readings, moment, new, comes_after=comes_after)

    def line(
        self, line: int, epoch: int, readings: Indices, moment: int, *, comes_after: bool
    ) -> None:
        """Give the readings of a line on the faulty side a line of their own."""
        new = LineEpoch(self.lines[line].task, epoch, *_span(moment, comes_after))
        self._move(readings, moment, new, comes_after=comes_after)

    def _move(self, readings: Indices, moment: int, new: LineEpoch, *, comes_after: bool) -> None:
        """Put the readings on the faulty side on a new line, if there are any."""
        side = readings[readings >= moment] if comes_after else readings[readings < moment]
        if len(side):
            self.lines.append(new)
            self.line_of[side] = len(self.lines) - 1


def _span(moment: int, comes_after: bool) -> tuple[int | None, int | None]:
    """Since when and until when a fault is there that begins or ends at a moment."""
    return (int(moment), None) if comes_after else (None, int(moment))
