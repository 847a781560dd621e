"""Who read what where, and from when on: a class as index arrays, parted where something about the
ground changed.
"""

import itertools
from dataclasses import dataclass, replace

import numpy as np

from ..tasks.kinds import reads_needle
from . import biases


@dataclass(frozen=True)
class Place:
    """A station, or one during a part of the class; `since` and `until` as in `Bias`."""

    station: str
    since: int | None = None
    until: int | None = None


@dataclass(frozen=True)
class Line:
    """A task's sight line as long as nothing about it changes: the index of its task and of its
    place.
    """

    task: int
    place: int
    since: int | None = None
    until: int | None = None


@dataclass(frozen=True)
class Layout:
    """Who read what where, as index arrays over the readings; people and compasses sorted, the rest
    in order of appearance.
    """

    people: np.ndarray
    person: np.ndarray
    row: np.ndarray
    task: np.ndarray
    compasses: tuple
    compass: np.ndarray
    needle: np.ndarray  # (tasks,) whether a needle is read
    known_deg: np.ndarray
    narrow_deg: np.ndarray  # (tasks,) how far a sound line may be off by its survey
    places: tuple
    lines: tuple
    line: np.ndarray

    @property
    def place(self):
        """The place of each reading."""
        return np.array([line.place for line in self.lines], int)[self.line]

    @property
    def bent(self):
        """Whether each reading has a needle in it."""
        return self.needle[self.task]


def lay_out(answers, readings, evidence):
    """The layout of a class before anything is known to have changed in it."""
    people, person = np.unique([reading.person for reading in readings], return_inverse=True)
    task, needle = (
        evidence.task[evidence.row_of],
        np.array([reads_needle(answer) for answer in answers]),
    )
    numbers = [reading.compass for reading in readings]
    users = {}
    for number, who in zip(numbers, person.tolist(), strict=True):
        users.setdefault(number, set()).add(who)
    # A compass in one person's hand cannot be told from that person: only shared ones have an
    # offset of their own.
    compasses = tuple(sorted(number for number, who in users.items() if number and len(who) > 1))
    place_of = {number: index for index, number in enumerate(compasses)}
    stations = list(dict.fromkeys(answer.station for answer in answers))
    return Layout(
        people,
        person,
        evidence.row_of,
        task,
        compasses,
        np.array([place_of.get(number, -1) for number in numbers], int),
        needle,
        np.array(
            [
                answer.budget.degrees("standing", "declination")
                if reads
                else max(answer.budget.degrees("protractor", "scale"), 0.3)
                for answer, reads in zip(answers, needle, strict=True)
            ]
        ),
        np.array([max(answer.budget.degrees("survey"), 0.3) for answer in answers]),
        tuple(Place(station) for station in stations),
        tuple(Line(index, stations.index(answer.station)) for index, answer in enumerate(answers)),
        task,
    )


def users_of_compasses(layout):
    """The people who read with each shared compass, as arrays."""
    pairs = np.unique(np.stack([layout.compass, layout.person]), axis=1)
    bounds = np.searchsorted(pairs[0], np.arange(len(layout.compasses) + 1))
    return [pairs[1, begin:end] for begin, end in itertools.pairwise(bounds)]


def shift(layout, places, lines, compasses, turned):
    """What bends each reading's needle beyond the person's own offset, degrees; nothing where there
    is none.
    """
    ground = np.array(
        [
            places[line.place].degrees + bias.degrees
            for line, bias in zip(layout.lines, lines, strict=True)
        ]
    )[layout.line]
    own = np.array(
        [
            bias.degrees + 180.0 * (chance >= 0.5)
            for bias, chance in zip(compasses, turned, strict=True)
        ]
        + [0.0]
    )[layout.compass]
    return np.where(layout.bent, ground + own, 0.0)


def with_changes(layout, scans):
    """The layout with stations, and else lines, parted in two where a fault began or ended; the
    same one where none did.

    `scans` (readings, biases) are log likelihoods as functions of the ground's whole bias at each
    reading.
    """
    places, lines, line_of = list(layout.places), list(layout.lines), layout.line.copy()
    place_of = layout.place
    for place in range(len(layout.places)):
        own = np.flatnonzero((place_of == place) & layout.bent)
        if cut := biases.change(scans[own], layout.line[own]):
            _part(places, lines, line_of, own, own[cut[0]], cut[1], place)
            continue
        for line in [index for index, one in enumerate(layout.lines) if one.place == place]:
            on_line = own[layout.line[own] == line]
            if cut := biases.change(scans[on_line], layout.line[on_line]):
                _part_line(lines, line_of, on_line, on_line[cut[0]], cut[1], line, place)
    return (
        layout
        if len(lines) == len(layout.lines)
        else replace(layout, places=tuple(places), lines=tuple(lines), line=line_of)
    )


def _part(places, lines, line_of, own, moment, comes_after, place):
    """Give the readings of a station on the faulty side a place of their own, and its lines
    likewise.
    """
    places.append(
        Place(places[place].station, int(moment), None)
        if comes_after
        else Place(places[place].station, None, int(moment))
    )
    for line in sorted(set(line_of[own].tolist())):
        _part_line(
            lines,
            line_of,
            own[line_of[own] == line],
            moment,
            comes_after,
            line,
            len(places) - 1,
            marked=False,
        )


def _part_line(lines, line_of, own, moment, comes_after, line, place, marked=True):
    side = own[own >= moment] if comes_after else own[own < moment]
    if len(side):
        since, until = (int(moment), None) if comes_after else (None, int(moment))
        lines.append(Line(lines[line].task, place, *((since, until) if marked else (None, None))))
        line_of[side] = len(lines) - 1
