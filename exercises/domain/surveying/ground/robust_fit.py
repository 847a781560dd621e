"""Least squares with normal priors, in which a slip of one observation does not bend the rest.

What is observed is off by 0.95 N(0, 1) + 0.05 N(0, 5), in units of its own reading error.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
# share of sightings without a slip, and how much wider one with a slip scatters; common practice,
# no source
SOUND = 0.95
SLIP_SIGMAS = 5.0


@dataclass(frozen=True)
class LinearModel:
    """What is seen, as a linear function of unknowns with normal priors of mean zero.

    `design`: (sightings, unknowns) and `seen`: (sightings,), each row over its reading error;
    `variances`: (unknowns,), of the priors.
    """

    design: Floats
    seen: Floats
    variances: Floats

    def residuals(self, mean: Floats) -> Floats:
        """What values of the unknowns leave of what is seen, in reading errors: (sightings,)."""
        return self.seen - self.design @ mean

    def solve(self, weights: Floats) -> Floats:
        """Posterior mean of the unknowns, with the square roots of how much each sighting
        counts.
        """
        design = self.design * weights[:, None]
        precision: Floats = design.T @ design + np.diag(1.0 / self.variances)
        return np.asarray(np.linalg.solve(precision, design.T @ (self.seen * weights)))

    def widened(self, columns: Floats, variances: tuple[float, ...]) -> LinearModel:
        """The model with further unknowns: their columns, and the variances of their priors."""
        return LinearModel(
            np.hstack([self.design, columns]),
            self.seen,
            np.concatenate([self.variances, variances]),
        )

    def of_rows(self, rows: NDArray[np.bool_]) -> LinearModel:
        """The model of some of the sightings."""
        return replace(self, design=self.design[rows], seen=self.seen[rows])


def by_size(residuals: Floats) -> Floats:
    """Square roots of weights that make least squares a sum of absolute values beyond one sigma
    (Huber 1964, Annals of Mathematical Statistics 35, 73).
    """
    return np.sqrt(1.0 / np.maximum(np.abs(residuals), 1.0))


def by_slips(residuals: Floats) -> Floats:
    """Square roots of how much each sighting counts, from residuals in its own sigmas: about one
    for sound ones, a fifth for slips.
    """
    sound, slip = _densities(residuals)
    share = sound / np.maximum(sound + slip, 1e-300)
    return np.sqrt(share + (1.0 - share) / SLIP_SIGMAS**2)


# All sightings alike first: what a whole station has in common is no slip. Then by absolute
# values, as a median, then slips for what they are.
WEIGHINGS: tuple[Callable[[Floats], Floats], ...] = (np.ones_like, by_size, by_slips)


def _densities(residuals: Floats) -> tuple[Floats, Floats]:
    """Of a sound sighting and of one with a slip, but for a constant, each with its share."""
    sound = SOUND * np.exp(-0.5 * residuals**2)
    slip = (1.0 - SOUND) / SLIP_SIGMAS * np.exp(-0.5 * (residuals / SLIP_SIGMAS) ** 2)
    return sound, slip


def misfit(model: LinearModel, rounds: int) -> tuple[Floats, float]:
    """The fit of a model with slips taken for what they are: the mean of the unknowns, and twice
    the negative log of its density but for a constant.
    """
    mean: Floats = np.zeros(model.design.shape[1])
    for weigh in WEIGHINGS:
        for _ in range(rounds):
            mean = model.solve(weigh(model.residuals(mean)))
    sound, slip = _densities(model.residuals(mean))
    log_density = np.log(np.maximum(sound + slip, 1e-300)).sum()
    return mean, float(-2.0 * log_density + (mean**2 / model.variances).sum())
