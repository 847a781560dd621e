"""Which line to read next, to learn whether a station bends the needle."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from .attraction import BENT, SOUND_DEG, Ground
from .explanations import Posterior
from .fits import Floats
from .sighting import READING_DEG, Instrument

LEAST_WEIGHT = 1e-3  # of an explanation at a scale, to be counted with
LEAST_BITS = 1e-5  # below which a line tells nothing
STEPS, REACH = 400, 5.0  # of the readings that may come; how many sigmas around what is expected


@dataclass(frozen=True)
class Candidate:
    """A line that could be read: from where, to what, with which compass (None: one that was not
    used yet), and the standard uncertainty of the bearing from coordinates, degrees.
    """

    station: str
    target: str
    instrument: Instrument | None
    computed_error_deg: float


def most_telling(ground: Ground, station: str, candidates: Iterable[Candidate]) -> Candidate | None:
    """The line whose reading is expected to tell most about whether a station bends the needle, the
    first of equals; None where none tells anything.
    """
    told = [(bits(ground, station, candidate), candidate) for candidate in candidates]
    best, candidate = max(told, key=lambda one: one[0], default=(0.0, None))
    return candidate if best >= LEAST_BITS else None


def bits(ground: Ground, station: str, candidate: Candidate) -> float:
    """How much one reading is expected to tell about whether a station bends the needle: the mutual
    information of both, 0 to 1 bit.

    Source: Lindley 1956, Annals of Mathematical Statistics 27, 986; the integral over readings by
    sums.
    """
    posterior = ground.posterior.kept(LEAST_WEIGHT)
    mean, sigma = _expected(ground, posterior, candidate)
    readings = np.linspace(
        (mean - REACH * sigma).min(), (mean + REACH * sigma).max(), STEPS, dtype=np.float64
    )
    scaled = (readings[:, None] - mean) / sigma
    densities = np.exp(-0.5 * scaled**2) / sigma * posterior.weights
    is_bent = posterior.explanations[:, list(ground.attraction).index(station)] == BENT
    joint = np.stack([densities[:, is_bent].sum(axis=1), densities[:, ~is_bent].sum(axis=1)])
    joint = joint / joint.sum() + 1e-300
    apart = joint.sum(axis=1, keepdims=True) * joint.sum(axis=0, keepdims=True)
    return float((joint * np.log2(joint / apart)).sum())


def _expected(ground: Ground, posterior: Posterior, candidate: Candidate) -> tuple[Floats, Floats]:
    """What a reading would be off by, mean and standard deviation by each component: (M,)."""
    station = list(ground.attraction).index(candidate.station)
    mean, variance = posterior.means[:, station], posterior.covariances[:, station, station]
    if candidate.instrument is None:
        variance = variance + SOUND_DEG**2
    else:
        compass = len(ground.attraction) + list(ground.compasses).index(candidate.instrument)
        mean = mean + posterior.means[:, compass]
        variance = (
            variance
            + posterior.covariances[:, compass, compass]
            + 2.0 * posterior.covariances[:, station, compass]
        )
    read = posterior.scales * READING_DEG
    return mean, np.sqrt(variance + read**2 + candidate.computed_error_deg**2)
