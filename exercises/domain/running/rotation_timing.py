"""From who is where in which round to minutes and walks. All change at one signal."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from .rotation_grid import WAITS, Grid
from .rotation_values import Problem


@dataclass(frozen=True)
class Round:
    """A round: from when until when, minutes from the start, which group is at which station, and
    the groups that wait.
    """

    from_min: float
    until_min: float
    at: dict[str, str]
    waits: tuple[str, ...]


@dataclass(frozen=True)
class Walked:
    """A walk of a group from mark to mark, minutes from the start, metres; `before` is the number
    of the round before which it is walked, from 0; that of the way back to the base is the number
    of rounds.
    """

    group: str
    start: str
    end: str
    before: int
    from_min: float
    length_m: float


@dataclass(frozen=True)
class Begin:
    """How rounds begin: the marks where groups are, the minute, and of groups that are away the
    minute at which each is back.
    """

    marks: Mapping[str, str]
    from_min: float = 0.0
    back_min: Mapping[str, float] = field(default_factory=dict)


class Timed(NamedTuple):
    """Rounds, walks, and the minute at which all is over."""

    rounds: tuple[Round, ...]
    walks: tuple[Walked, ...]
    until_min: float


def timed(at: Grid, problem: Problem, begin: Begin) -> Timed:
    """The rounds of a grid of stations.

    A round is as long as the slowest station in use in it needs; a change as long as the longest
    walk in it, in whole minutes, rounded up. No round begins before all in it are back.
    """
    clock = begin.from_min
    marks = dict(begin.marks)
    rounds: list[Round] = []
    walks: list[Walked] = []
    for number, column in enumerate(zip(*at, strict=True)):
        here = {
            group.code: problem.stations[station].code
            for group, station in zip(problem.groups, column, strict=True)
            if station != WAITS
        }
        clock = max(clock, *(begin.back_min.get(group, clock) for group in (*here, "")))
        legs = [
            _walk(problem, group, marks[group], code, number, clock)
            for group, code in here.items()
            if marks.get(group, code) != code
        ]
        one = _round(problem, here, clock + _change_min(problem, legs))
        rounds.append(one)
        walks += legs
        clock = one.until_min
        marks.update(here)
    home = [
        _walk(problem, group, mark, problem.base, len(rounds), clock)
        for group, mark in marks.items()
        if problem.base and mark != problem.base
    ]
    return Timed(tuple(rounds), (*walks, *home), clock + _change_min(problem, home))


def _round(problem: Problem, here: dict[str, str], from_min: float) -> Round:
    """The round in which groups are at some stations."""
    used = set(here.values())
    needs = (one.minutes for one in problem.stations if one.code in used)
    waits = tuple(group.code for group in problem.groups if group.code not in here)
    return Round(from_min, from_min + max(needs, default=0.0), here, waits)


def _walk(
    problem: Problem, group: str, start: str, end: str, before: int, from_min: float
) -> Walked:
    """The walk of a group between two marks."""
    return Walked(group, start, end, before, from_min, problem.way(start, end).length_m)


def _change_min(problem: Problem, legs: Sequence[Walked]) -> int:
    """How long the longest of some walks takes, whole minutes, rounded up."""
    longest = max((problem.way(leg.start, leg.end).minutes for leg in legs), default=0.0)
    return math.ceil(longest - 1e-9)
