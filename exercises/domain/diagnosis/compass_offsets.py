"""Offsets of compasses that go from hand to hand, told apart from those of the people who hold
them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from . import biases
from .arrays import Floats
from .biases import BIASES_DEG, Bias
from .class_arrays import ClassArrays, users_of_compasses
from .compass_known import USUAL_LOG_PRIOR

ROUNDS = 2  # in which compasses that a person read with wait for one another
LEAST_MASS = 1e-300


def fitted(
    arrays: ClassArrays, scans: Floats, log_own: Floats, compasses: Sequence[Bias]
) -> tuple[list[Bias], float]:
    """The offsets, and their log prior. `scans` (readings, biases) are log likelihoods by all that
    is a person's and a compass's, `log_own` (people, biases) the log prior of people's own offsets,
    `compasses` what the offsets were taken for so far.

    Each person's own offset is summed over for each that a compass might have, given the others
    they read with: so what several people have in common goes over to the compass, and what follows
    a person from compass to compass stays theirs.
    """
    log_priors = [known.log_prior() if known else USUAL_LOG_PRIOR for known in arrays.known]
    found, people = list(compasses), _People(arrays, scans, log_own, len(compasses))
    for _ in range(ROUNDS):
        for index, users in enumerate(users_of_compasses(arrays)):
            total = np.zeros(len(BIASES_DEG))
            for user in users.tolist():
                total += people.by_offset(user, index, found)
            found[index] = biases.posterior(total, log_priors[index])
    prior_of_found = [
        np.interp(bias.degrees, BIASES_DEG, log_prior)
        for bias, log_prior in zip(found, log_priors, strict=True)
    ]
    return found, float(np.sum(prior_of_found))


class _People:
    """What people's readings say of what bends their needle, compass by compass."""

    def __init__(self, arrays: ClassArrays, scans: Floats, log_own: Floats, compasses: int) -> None:
        self.log_own = log_own
        key = arrays.person * (compasses + 1) + arrays.compass + 1
        keys, at = np.unique(key, return_inverse=True)
        sums = np.zeros((len(keys), len(BIASES_DEG)))
        np.add.at(sums, at, scans)
        self.by_compass: dict[int, dict[int, Floats]] = {}
        for code, total in zip(keys.tolist(), sums, strict=True):
            person, compass = divmod(code, compasses + 1)
            self.by_compass.setdefault(person, {})[compass - 1] = total

    def by_offset(self, person: int, index: int, compasses: Sequence[Bias]) -> Floats:
        """The log likelihood of one person's readings by the offset of a compass: (biases,)."""
        log_own = self.log_own[person].copy()
        for compass, scan in self.by_compass[person].items():
            if compass != index:
                known = compasses[compass].degrees if compass >= 0 else 0.0
                log_own += biases.moved(scan, -known)
        own = np.exp(log_own - log_own.max())
        scan = self.by_compass[person][index]
        reach = len(BIASES_DEG) // 2
        likelihood = np.exp(np.pad(scan - scan.max(), reach, mode="edge"))
        windows = np.lib.stride_tricks.sliding_window_view(likelihood, len(BIASES_DEG))
        found: Floats = np.log(windows @ own + LEAST_MASS)
        return found
