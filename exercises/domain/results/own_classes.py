"""How one person did in several classes: by kind of task, and which mistakes came back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ..mistakes import causes
from . import cohort
from .across_classes import Share, trend
from .judged import Judged

UNTOLD = "untold"


@dataclass(frozen=True)
class Skill:
    """A person's readings of one kind of task: in each class the share with full credit, None where
    there was no such task, and what can be told from the first to the last: "rising", "falling",
    "steady" (`across_classes.trend`), or UNTOLD of a single class.
    """

    kind: str
    shares: tuple[Share | None, ...]

    @property
    def change(self) -> str:
        """What can be told of it."""
        held = [share for share in self.shares if share]
        return trend(held[0], held[-1]) if len(held) > 1 else UNTOLD


def skills(classes: Sequence[Sequence[Judged]]) -> list[Skill]:
    """The skill of each kind of task, in the order in which the kinds came first. `classes` are one
    person's judged readings of each class, without those that ground or compass spoilt.
    """
    kinds = dict.fromkeys(judged.answer.kind for held in classes for judged in held)
    return [Skill(kind, tuple(_share(kind, held) for held in classes)) for kind in kinds]


def _share(kind: str, held: Sequence[Judged]) -> Share | None:
    """The share with full credit of a class's readings of one kind."""
    credits = [judged.credit for judged in held if judged.answer.kind == kind]
    full = sum(credit == 1.0 for credit in credits)
    number = len(credits)
    return Share(full, number, *cohort.share_interval(full, number)) if number else None


def mistakes(classes: Sequence[Sequence[Judged]]) -> dict[str, tuple[int, ...]]:
    """How often each mistake was the likeliest in each class, by its code, the one that was made in
    the latest class and most often first.
    """
    counts = [
        Counter(code for judged in held for code in causes.mistakes(judged.cause))
        for held in classes
    ]
    codes = dict.fromkeys(code for count in counts for code in count)
    rows = {code: tuple(count[code] for count in counts) for code in codes}
    return dict(sorted(rows.items(), key=lambda row: (row[1][::-1], row[0]), reverse=True))
