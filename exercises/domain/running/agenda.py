"""What an instructor does now: the class that comes first, and its one next step."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar


class Step(StrEnum):
    """The one thing to do now with a class, in the order in which they come."""

    PREPARE = "prepare"  # its day is not yet
    OPEN = "open"
    WATCH = "watch"
    CLOSE = "close"  # its day is over
    RELEASE = "release"
    DEBRIEF = "debrief"


@dataclass(frozen=True)
class Held:
    """What the step of a class depends on. `has_more_to_tell` says whether a release would show
    participants more than they see by now.
    """

    date: datetime.date
    is_draft: bool
    is_open: bool
    has_more_to_tell: bool = False


def step_of(held: Held, today: datetime.date) -> Step:
    """The next step of a class on a day at its site.

    >>> class_day = datetime.date(2026, 10, 3)
    >>> str(step_of(Held(class_day, is_draft=True, is_open=False), datetime.date(2026, 10, 1)))
    'prepare'
    """
    if held.is_draft:
        return Step.PREPARE if held.date > today else Step.OPEN
    if held.is_open:
        return Step.WATCH if held.date >= today else Step.CLOSE
    return Step.RELEASE if held.has_more_to_tell else Step.DEBRIEF


C = TypeVar("C")


def first_of(classes: Sequence[tuple[C, Held]], today: datetime.date) -> C | None:
    """The class that stands on top: one that is open, of those the one of today or the latest;
    else the draft of today or the next one; else the one held last. None without any.
    """

    def rank(entry: tuple[C, Held]) -> tuple[int, int]:
        held = entry[1]
        away = (held.date - today).days
        if held.is_open:
            return 0, abs(away)
        if held.is_draft and away >= 0:
            return 1, away
        return 2, abs(away)

    return min(classes, key=rank)[0] if classes else None
