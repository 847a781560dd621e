"""Who was there: from when somebody joined, was ticked at a count, or sent a reading.

Somebody on a roster who did none of these did not come. Common practice, no source.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from . import headcount

HERE, MISSING, LEFT, UNSAID = "here", "missing", "left", ""


@dataclass(frozen=True)
class Attended:
    """A person's attendance: when they were first seen (None of who did not come), when they went
    home early (None of who did not), and the word on them at each count, in the counts' order.
    """

    person: str
    came_at: datetime.datetime | None
    left_at: datetime.datetime | None
    counts: tuple[str, ...]

    @property
    def was_there(self) -> bool:
        """Whether they came."""
        return self.came_at is not None


@dataclass(frozen=True)
class Count:
    """A count of heads: when it was begun, and its marks."""

    begun_at: datetime.datetime
    marks: Sequence[headcount.Mark]


def attended(
    person: str,
    joined_at: datetime.datetime | None,
    left_at: datetime.datetime | None,
    readings: Iterable[datetime.datetime],
    counts: Sequence[Count],
) -> Attended:
    """A person's attendance. `readings` are the moments of what they sent; a tick that was taken
    away again says that they were not there then.
    """
    last = [headcount.counted([person], count.marks)[0].last for count in counts]
    ticked = [mark.marked_at for mark in last if mark and mark.is_here]
    seen = [*filter(None, [joined_at]), *readings, *ticked]
    return Attended(
        person,
        min(seen, default=None),
        left_at,
        tuple(_word(mark, count, left_at) for mark, count in zip(last, counts, strict=True)),
    )


def _word(mark: headcount.Mark | None, count: Count, left_at: datetime.datetime | None) -> str:
    """The word on somebody at a count: who had gone home before it is not missing."""
    if mark and mark.is_here:
        return HERE
    if left_at and left_at <= count.begun_at:
        return LEFT
    return MISSING if mark or count.marks else UNSAID
