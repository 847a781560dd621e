"""Answers for people who go on with a number of their own: the field half of a bearing off the
map.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from .answer import Answer, Ends
from .forms.direction import Direction
from .kinds import kind_of
from .reading import Reading

Moment = TypeVar("Moment", int, datetime.datetime)  # or a place in the order of time


def linked(answers: Iterable[Answer]) -> tuple[Answer, ...]:
    """The answers of a course in order, each field half with the task before it that measures the
    same line.
    """
    measured: dict[Ends, str] = {}
    course = []
    for answer in answers:
        kind = kind_of(answer.kind)
        if line := kind.line_measured(answer):
            measured[line] = answer.task
        faced = kind.line_gone_on_with(answer)
        course.append(replace(answer, after=measured.get(faced, "")) if faced else answer)
    return tuple(course)


def heard_deg(answer: Answer, measured: Answer, seen: Any) -> float:
    """The bearing with which a person goes on to `answer`, degrees in its north, of what they gave
    to the task `measured`.
    """
    direction_deg = Direction.of(measured).direction(measured, seen)
    return answer.norths.turn(direction_deg, measured.north, answer.north)


def walked_with(moments: Sequence[Moment], moment: Moment) -> int:
    """Which of several measured numbers a person went on with: the index of the last one by some
    moment, else the first. `moments` in order.

    >>> walked_with([1, 5, 9], 6), walked_with([7], 6)
    (1, 0)
    """
    return max((index for index, other in enumerate(moments) if other <= moment), default=0)


def with_heard(answers: Iterable[Answer], readings: Sequence[Reading]) -> list[Reading]:
    """Readings in the order of time, those of a field half with the bearing that their person had
    measured by then.
    """
    by_task = {answer.task: answer for answer in answers}
    given: dict[tuple[str, str], list[tuple[int, Any]]] = {}
    for place, reading in enumerate(readings):
        given.setdefault((reading.person, reading.task), []).append((place, reading.seen))
    carried = []
    for place, reading in enumerate(readings):
        answer = by_task[reading.task]
        if before := given.get((reading.person, answer.after)):
            _, seen = before[walked_with([earlier for earlier, _ in before], place)]
            measured_deg = heard_deg(answer, by_task[answer.after], seen)
            carried.append(replace(reading, heard_deg=measured_deg))
        else:
            carried.append(reading)
    return carried


def own_answers(answers: Iterable[Answer], readings: Iterable[Reading]) -> list[Answer]:
    """The answer to each reading, as it is for the person who gave it."""
    by_task = {answer.task: answer for answer in answers}
    return [own_answer(by_task[reading.task], reading.heard_deg) for reading in readings]


def own_answer(answer: Answer, heard_deg: float | None) -> Answer:
    """An answer for a person who goes on with a bearing, degrees in its north; the same one where
    there is none.
    """
    return answer if heard_deg is None else kind_of(answer.kind).going_on(answer, heard_deg)
