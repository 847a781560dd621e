"""What is known of a compass before a class: an earlier check of it, as far as that still holds.

It takes the place of what is believed of any compass. Its offset was told with a standard error;
with the probability `trust` that still holds, else the compass is like any other: somebody repaired
or exchanged it and noted nothing. So a log that is wrong is outvoted by readings.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from . import biases
from .arrays import Floats
from .biases import BIASES_DEG, COMPASS_NARROW_DEG, COMPASS_SHARE, COMPASS_WIDE_DEG, Bias

LEAST_ERROR_DEG = 0.5  # finer the grid of a degree does not tell
USUAL_LOG_PRIOR = biases.prior(COMPASS_NARROW_DEG, COMPASS_WIDE_DEG, COMPASS_SHARE)


@dataclass(frozen=True)
class CompassKnown:
    """An offset, reading minus what is right, and its standard error, degrees; the probability in
    0..1 that the compass is still as it was then; and that its needle is reversed, whichever holds.
    """

    offset_deg: float
    error_deg: float
    trust: float
    reversed_probability: float

    def log_prior(self) -> Floats:
        """Log prior of the offset on BIASES_DEG: (biases,)."""
        near = biases.normal(BIASES_DEG - self.offset_deg, max(self.error_deg, LEAST_ERROR_DEG))
        return np.log(self.trust * near + (1.0 - self.trust) * np.exp(USUAL_LOG_PRIOR))

    def bias(self) -> Bias:
        """What the offset is taken for before the first reading."""
        return biases.posterior(np.zeros(len(BIASES_DEG)), self.log_prior())


def to_plain(known: Mapping[str, CompassKnown]) -> dict[str, dict[str, float]]:
    """What is known of compasses, by number, as JSON can hold it."""
    return {number: asdict(one) for number, one in known.items()}


def from_plain(rows: Mapping[str, Mapping[str, Any]] | None) -> dict[str, CompassKnown]:
    """What `to_plain` was given; nothing of nothing."""
    return {number: CompassKnown(**row) for number, row in (rows or {}).items()}
