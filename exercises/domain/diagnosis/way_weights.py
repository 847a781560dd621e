"""How probable each way to an answer is before it is seen, for a person of each habit."""

from __future__ import annotations

import functools
from collections.abc import Callable

import numpy as np

from ..mistakes import causes
from .arrays import Flags, Floats
from .priors import HABITS, Rates
from .residuals import CODES, INDEX

UNEXPLAINED = INDEX["unexplained"]


class WayWeights:
    """The weights of ways under some rates; ways are known by their habit and slip, indices into
    `CODES`.

    `of(habit, slip)` (ways, habits), by what acts of a person's habit; a way is *sound* where
    nothing happened but the habit or that it was not followed, and its weight is then only how
    often that is so. `slip_share` is how often a careless moment happens in all, `junk` how often
    an answer comes of nothing.
    """

    def __init__(self, rates: Rates) -> None:
        once = np.array(rates.slips)[:, None] * ~KEPT + KEPT
        self.table = once[:, None] * np.where(np.eye(len(CODES))[:, :, None] > 0, 1.0, once)
        followed, lapsed = _following_shares()
        self.table *= rates.followed * followed + (1.0 - rates.followed) * lapsed
        self.junk = rates.slips[UNEXPLAINED]
        self.slip_share = 1.0 - rates.slips[INDEX["ok"]] - self.junk

    def of(self, habit: np.ndarray, slip: np.ndarray) -> Floats:
        """The weights of some ways: (ways, habits)."""
        weights: Floats = self.table[habit, slip]
        return weights


OWN = [frozenset(causes.parts(habit)) - {"ok"} for habit in HABITS]
# whether a code is nothing, or a part of a habit: (codes, habits)
KEPT = np.array([[code == "ok" or code in own for own in OWN] for code in CODES])


def _by_codes(claim: Callable[[frozenset[str], frozenset[str]], float]) -> Floats:
    """A claim about the codes of a way and of a habit, of all: (codes, codes, habits), by the way's
    habit and slip.
    """
    return np.array(
        [
            [[claim(frozenset({habit, slip}) - {"ok"}, own) for own in OWN] for slip in CODES]
            for habit in CODES
        ]
    )


@functools.cache
def _following_shares() -> tuple[Floats, Floats]:
    """The shares of the ways that follow a habit, and of those that do not in full, among their
    like; as `_by_codes`.
    """
    return (
        _by_codes(lambda codes, own: float(own <= codes)),
        _by_codes(
            lambda codes, own: 1.0 / (2 ** len(own) - 1) if own and not own <= codes else not own
        ),
    )


@functools.cache
def soundness() -> Flags:
    """Which ways are sound for which habit, as `_by_codes`."""
    return _by_codes(lambda codes, own: codes <= own).astype(bool)


@functools.cache
def following() -> Flags:
    """Which ways are those of somebody who followed the habit, and nothing else, as `_by_codes`."""
    return _by_codes(lambda codes, own: codes == own).astype(bool)
