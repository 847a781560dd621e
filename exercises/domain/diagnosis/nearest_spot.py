"""How probable it is of each spot to be the nearest to where somebody ends, where spots may be
markers that are themselves surveyed no better than they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ..earth.ellipse import circle
from ..tasks.forms.place import Spot
from .arrays import Floats, Indices, summed

NEIGHBOURS = 5  # spots that contend for a place; a sixth changed no share by 0.1 %
SURE_SIGMAS = 4.0  # of the surveys of two markers, from which the nearer one is beyond doubt
LEAST_SIGMA_M = 1e-3  # of a spot without a survey
NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(5)  # Abramowitz & Stegun, 25.4.46


def shares(spots: Sequence[Spot], places: Floats, weights: Floats) -> Floats:
    """The chance of each spot to be the nearest: (spots,). `places`: (places, 2), where people end,
    metres east and north; `weights`: (places,), how probable each is.

    A marker's survey makes its distance uncertain, to first order by its ellipse along the line to
    the place. Of markers whose distances are normal and independent, each is the nearest with the
    probability that the others are farther than it is.
    """
    away = places[:, None, :] - np.array([(spot.east_m, spot.north_m) for spot in spots])
    off = np.hypot(away[..., 0], away[..., 1])
    if len(spots) < 2 or not any(spot.survey for spot in spots):
        return summed(weights, off.argmin(axis=1), len(spots))
    near: Indices = np.argsort(off, axis=1)[:, :NEIGHBOURS]
    off = np.take_along_axis(off, near, axis=1)
    sigma = np.take_along_axis(_sigmas(spots, away), near, axis=1)
    gap_sigmas = (off[:, 1] - off[:, 0]) / np.sqrt(2.0) / sigma.max(axis=1)
    each = np.zeros_like(off)
    each[:, 0] = 1.0
    doubtful = gap_sigmas < SURE_SIGMAS
    each[doubtful] = _chances(off[doubtful], sigma[doubtful])
    return summed((each * weights[:, None]).ravel(), near.ravel(), len(spots))


def _sigmas(spots: Sequence[Spot], away: Floats) -> Floats:
    """The standard uncertainty of each spot along the line to each place, metres: (places, spots).
    `away`: (places, spots, 2), from spot to place.
    """
    ellipses = [spot.survey or circle(LEAST_SIGMA_M) for spot in spots]
    east, north, both = np.array([ellipse.covariance() for ellipse in ellipses]).T
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
