"""How probable it is of each spot to be the nearest to where somebody ends, where spots may be
markers that are themselves surveyed no better than they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..earth.ellipse import circle
from ..tasks.forms.place import Spot
from .arrays import Floats, Indices, summed

NEIGHBOURS = 5  # spots that contend for a place; a sixth changed no share by 0.1 %
SURE_SIGMAS = 4.0  # of the surveys of two markers, from which the nearer one is beyond doubt
LEAST_SIGMA_M = 1e-3  # of a spot without a survey
HAIR_M = 1e-6  # of rounding, forgiven where spots are left out
NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(5)  # Abramowitz & Stegun, 25.4.46


@dataclass(frozen=True)
class Spots:
    """Spots as arrays. `where`: (spots, 2), metres east and north; `covariance`: (spots, 3), square
    metres east, north and of both, or None where none of them is a surveyed marker.
    """

    where: Floats
    covariance: Floats | None

    @classmethod
    def of(cls, spots: Sequence[Spot]) -> Spots:
        """Those of some spots."""
        where = np.array([(spot.east_m, spot.north_m) for spot in spots])
        if not any(spot.survey for spot in spots):
            return cls(where, None)
        ellipses = [spot.survey or circle(LEAST_SIGMA_M) for spot in spots]
        return cls(where, np.array([ellipse.covariance() for ellipse in ellipses]))

    def shares(self, places: Floats, weights: Floats) -> Floats:
        """The chance of each spot to be the nearest: (spots,). `places`: (places, 2), where people
        end, metres east and north; `weights`: (places,), how probable each is.

        A marker's survey makes its distance uncertain, to first order by its ellipse along the line
        to the place. Of markers whose distances are normal and independent, each is the nearest
        with the probability that the others are farther than it is.
        """
        number, tried = len(self.where), self._within_reach(places)
        away = places[:, None, :] - self.where[tried]
        off = np.hypot(away[..., 0], away[..., 1])
        if number < 2 or self.covariance is None:
            return summed(weights, tried[off.argmin(axis=1)], number)
        near: Indices = np.argsort(off, axis=1)[:, :NEIGHBOURS]
        off = np.take_along_axis(off, near, axis=1)
        away = np.take_along_axis(away, near[..., None], axis=1)
        sigma = _sigmas(self.covariance[tried[near]], away)
        gap_sigmas = (off[:, 1] - off[:, 0]) / np.sqrt(2.0) / sigma.max(axis=1)
        each = np.zeros_like(off)
        each[:, 0] = 1.0
        doubtful = gap_sigmas < SURE_SIGMAS
        each[doubtful] = _chances(off[doubtful], sigma[doubtful])
        return summed((each * weights[:, None]).ravel(), tried[near].ravel(), number)

    def _within_reach(self, places: Floats) -> Indices:
        """The spots that may be among the NEIGHBOURS nearest to any of some places, in order: what
        lies farther from their middle than the last of its own nearest by twice the spread of the
        places is none of them.
        """
        number = len(self.where)
        if number <= NEIGHBOURS:
            return np.arange(number)
        middle = places.mean(axis=0)
        spread_m = np.hypot(*(places - middle).T).max()
        off = np.hypot(*(self.where - middle).T)
        last_m = np.partition(off, NEIGHBOURS - 1)[NEIGHBOURS - 1]
        return np.flatnonzero(off <= last_m + 2.0 * spread_m + HAIR_M)


def _sigmas(covariance: Floats, away: Floats) -> Floats:
    """The standard uncertainty of some spots along the line to each place, metres: (places,
    spots). `covariance`: (places, spots, 3); `away`: (places, spots, 2), from spot to place.
    """
    east, north, both = np.moveaxis(covariance, -1, 0)
    x, y = away[..., 0], away[..., 1]
    along = x * x * east + y * y * north + 2.0 * x * y * both
    square = along / np.maximum(x * x + y * y, LEAST_SIGMA_M**2)
    return np.sqrt(np.maximum(square, LEAST_SIGMA_M**2))


def _chances(off: Floats, sigma: Floats) -> Floats:
    """The chance of each of some distances to be the least: (places, neighbours), like `off` and
    `sigma`, metres.
    """
    drawn = off[:, :, None] + sigma[:, :, None] * NODES  # (places, neighbours, nodes)
    farther = _normal((off[:, None, None, :] - drawn[..., None]) / sigma[:, None, None, :])
    itself = np.arange(off.shape[1])
    farther[:, itself, :, itself] = 1.0
    each = (farther.prod(axis=-1) * WEIGHTS).sum(axis=-1)
    return np.asarray(each / each.sum(axis=1, keepdims=True))


def _normal(deviate: Floats) -> Floats:
    """The normal distribution to 0.0002: E. Page (1977), Applied Statistics 26, 75-76, from memory;
    checked against the error function in tests/domain/test_nearest_spot.py.
    """
    return np.asarray(
        0.5 + 0.5 * np.tanh(math.sqrt(2.0 / math.pi) * deviate * (1.0 + 0.044715 * deviate**2))
    )
