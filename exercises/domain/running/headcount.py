"""Counting heads: who is here by the last word on each name, whoever said it.

Two people count at once, each on a phone that may have no signal for a while, so that marks come
late and out of order: what decides is when a name was ticked, not when that was heard of. Common
practice, no source.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Mark:
    """One name ticked, or its tick taken away, by somebody. `arrival` is the order in which marks
    were heard of.
    """

    person: str
    is_here: bool
    by: str
    marked_at: datetime.datetime
    arrival: int


@dataclass(frozen=True)
class Counted:
    """A person in a count: the last word on them, and the last one of each other counter who said
    something else. None and nothing where nobody has said anything.
    """

    person: str
    last: Mark | None
    others: tuple[Mark, ...] = ()

    @property
    def is_here(self) -> bool:
        """Whether they are here by the last word."""
        return self.last is not None and self.last.is_here


def counted(people: Sequence[str], marks: Iterable[Mark]) -> list[Counted]:
    """The people of a count in their order, each with the last word on them. Of two marks at the
    same moment the one heard of later is the last.
    """
    words: dict[str, dict[str, Mark]] = {}
    for mark in sorted(marks, key=lambda mark: (mark.marked_at, mark.arrival)):
        by = words.setdefault(mark.person, {})
        by.pop(mark.by, None)  # anew, so that the last one said is the last of the dictionary
        by[mark.by] = mark
    return [_counted(person, list(words.get(person, {}).values())) for person in people]


def _counted(person: str, words: Sequence[Mark]) -> Counted:
    """A person with the last words of all who said something, the last of all last."""
    if not words:
        return Counted(person, None)
    *before, last = words
    return Counted(person, last, tuple(mark for mark in before if mark.is_here != last.is_here))


def missing(count: Iterable[Counted]) -> list[str]:
    """Those who are not here by the last word, or of whom nobody has said anything."""
    return [entry.person for entry in count if not entry.is_here]
