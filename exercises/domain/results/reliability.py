"""How often the diagnosis was right, by how sure it was: from labels, which say what truly
happened.

A reliability diagram (DeGroot & Fienberg 1983, The Statistician 32, 12-22, from memory): of what
was said with some probability, that share should be right.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass

from ..mistakes import causes
from . import cohort

# From where on it is said as sure, probable, one of several, or hardly at all.
EDGES = (0.0, 0.3, 0.6, 0.9, 1.0)


@dataclass(frozen=True)
class Said:
    """A judgement that was labelled: what was said with which probability, and what it was."""

    cause: str
    probability: float
    label: str


@dataclass(frozen=True)
class Bin:
    """Judgements of one sureness, from `low` to `high`: how sure they were on the average, how many
    there are, how many of them right, and the 95 % interval of the share (Wilson).
    """

    low: float
    high: float
    mean: float
    number: int
    right: int
    share_low: float
    share_high: float

    @property
    def agrees(self) -> bool:
        """Whether what was said lies in the interval of what came of it."""
        return self.share_low <= self.mean <= self.share_high


def is_right(said: Said) -> bool:
    """Whether the mistakes that were said are those it was; nobody sees faults of the ground and of
    a compass from a label, so these do not count.
    """
    return set(causes.mistakes(said.cause)) == set(causes.mistakes(said.label))


def bins(judgements: Iterable[Said]) -> list[Bin]:
    """The judgements by sureness, from the least sure; only what there is."""
    found = []
    every = list(judgements)
    for low, high in itertools.pairwise(EDGES):
        own = [
            said
            for said in every
            if low <= said.probability < high or said.probability == high == EDGES[-1]
        ]
        if own:
            right = sum(map(is_right, own))
            mean = sum(said.probability for said in own) / len(own)
            interval = cohort.share_interval(right, len(own))
            found.append(Bin(low, high, mean, len(own), right, *interval))
    return found
