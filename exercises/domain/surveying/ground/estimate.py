"""A quantity that is known as a mixture of normals: where it is, and how surely."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .explanations import Posterior
from .fits import Floats

# the published limit for a compass (FM 3-25.26 ch. 9), used for the ground too
FAULT_DEG = 3.0
TAIL = 0.025
HALVINGS = 40


@dataclass(frozen=True)
class Estimate:
    """A quantity in degrees with its standard error, the interval that holds it at 95 %, and how
    probable it is that it lies beyond FAULT_DEG either way.
    """

    degrees: float
    error_deg: float
    low_deg: float
    high_deg: float
    probability: float


def estimate(mixture: Mixture, belief: Mixture) -> Estimate:
    """Where a quantity lies by a mixture, and how probable a fault is by a belief."""
    return Estimate(
        mixture.mean,
        mixture.sigma,
        mixture.quantile(TAIL),
        mixture.quantile(1.0 - TAIL),
        belief.below(-FAULT_DEG) + 1.0 - belief.below(FAULT_DEG),
    )


@dataclass(frozen=True)
class Mixture:
    """Normals with weights that sum to one."""

    weights: Floats
    means: Floats
    sigmas: Floats

    @classmethod
    def of(cls, posterior: Posterior, unknown: int) -> Mixture:
        """What a posterior says of one of its unknowns, degrees."""
        variances = posterior.covariances[:, unknown, unknown]
        return cls(posterior.weights, posterior.means[:, unknown], np.sqrt(variances))

    @property
    def mean(self) -> float:
        """Of all together."""
        return float(self.weights @ self.means)

    @property
    def sigma(self) -> float:
        """The standard deviation of all together."""
        return math.sqrt(float(self.weights @ (self.sigmas**2 + (self.means - self.mean) ** 2)))

    def below(self, degrees: float) -> float:
        """The probability of less than some degrees."""
        scaled = ((self.means - degrees) / (self.sigmas * math.sqrt(2.0))).tolist()
        return 0.5 * math.fsum(
            weight * math.erfc(off)
            for weight, off in zip(self.weights.tolist(), scaled, strict=True)
        )

    def quantile(self, share: float) -> float:
        """The degrees below which a share lies, by halving."""
        low = float((self.means - 6.0 * self.sigmas).min())
        high = float((self.means + 6.0 * self.sigmas).max())
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if self.below(middle) < share else (low, middle)
        return 0.5 * (low + high)
