"""A key that turned out wrong, put right: a station's or a line's bearings moved by a bias, and
what that changes for whom.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from .answer import Answer
from .kinds import kind_of

Credits = Mapping[tuple[str, str], float | None]  # by person and task


@dataclass(frozen=True)
class Change:
    """A person's credit for one task under an old and a new key; None where the task does not
    count.
    """

    person: str
    task: str
    before: float | None
    after: float | None


def station_moved(
    answers: Iterable[Answer], station: str, degrees: float, error_deg: float
) -> tuple[Answer, ...]:
    """The answers with everything read at a station moved by some degrees, known to a standard
    error.
    """
    return tuple(
        kind_of(answer.kind).shifted(answer, degrees, error_deg, with_others=True)
        if answer.station == station
        else answer
        for answer in answers
    )


def line_moved(
    answers: Iterable[Answer], task: str, degrees: float, error_deg: float
) -> tuple[Answer, ...]:
    """The answers with the target of one task moved by some degrees as seen from its station."""
    return tuple(
        kind_of(answer.kind).shifted(answer, degrees, error_deg, with_others=False)
        if answer.task == task
        else answer
        for answer in answers
    )


def changes(before: Credits, after: Credits) -> list[Change]:
    """What differs between two maps of (person, task) to credit, as `Change`s in the order of the
    first, then of what is new.
    """
    pairs = [*before, *(pair for pair in after if pair not in before)]
    return [
        Change(*pair, before.get(pair), after.get(pair))
        for pair in pairs
        if before.get(pair) != after.get(pair)
    ]
