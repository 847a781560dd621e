"""People integrated over what is not known of them: own offset o, habit h and scatter sigma, on a
grid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import biases
from .arrays import Floats, Indices
from .class_arrays import ClassArrays
from .likelihood_table import LikelihoodTable
from .priors import HABITS, SIGMAS_DEG

# All numbers of this block are settings: common practice, no source.
OFFSETS_DEG = np.arange(-24.0, 25.0)  # a person's own compass or eye
OFFSET_NARROW_DEG, OFFSET_WIDE_DEG, OFFSET_SHARE = 1.2, 8.0, 0.1
# A fault of the compass shows in several readings; what fewer show is a slip far more often.
LEAST_READINGS = 3
UNSHOWN = 0.02  # to this part the prior of a fault is cut where too few would show it
CHUNK = 2000  # readings at a time, to bound memory
LEAST_MASS = 1e-300  # so that nothing is not divided by, nor its logarithm taken


@dataclass(frozen=True)
class PeoplePosterior:
    """What some people's readings say of them.

    `joint` (people, offsets, habits x sigmas) sums to one for each person; `log_marginal` (people,)
    is the log marginal likelihood of their readings, `log_by_offset` (people, offsets) the log
    likelihood by offset, before the offset's own prior.
    """

    joint: Floats
    log_marginal: Floats
    log_by_offset: Floats

    @property
    def by_habit_and_sigma(self) -> Floats:
        """(people, habits, sigmas), offsets summed over."""
        return self.joint.sum(axis=1).reshape(-1, len(HABITS), len(SIGMAS_DEG))

    @property
    def offset_given_habit(self) -> Floats:
        """(people, habits, offsets), scatter summed over; sums to one for each habit."""
        shape = (-1, len(OFFSETS_DEG), len(HABITS), len(SIGMAS_DEG))
        by_habit = self.joint.reshape(shape).sum(axis=3).transpose(0, 2, 1)
        return by_habit / np.maximum(by_habit.sum(axis=2, keepdims=True), LEAST_MASS)


class PeopleGrid:
    """The people of a class on the grid of what they may be like. `order` sorts the readings by
    person; `log_offset_prior` (people, offsets) is wide only from LEAST_READINGS on.
    """

    def __init__(self, arrays: ClassArrays, table: LikelihoodTable) -> None:
        self.arrays, self.table = arrays, table
        self.order = np.argsort(arrays.person, kind="stable")
        with_needle = arrays.person[arrays.has_needle]
        enough = np.bincount(with_needle, minlength=len(arrays.people)) >= LEAST_READINGS
        log_priors = [
            biases.prior(OFFSET_NARROW_DEG, OFFSET_WIDE_DEG, OFFSET_SHARE * part, OFFSETS_DEG)
            for part in (UNSHOWN, 1.0)
        ]
        self.log_offset_prior = np.array(log_priors)[enough.astype(int)]

    def readings_of(self, users: Indices) -> Indices:
        """The readings of some people, sorted by person."""
        people = np.arange(len(self.arrays.people) + 1)
        bounds = np.searchsorted(self.arrays.person[self.order], people)
        return np.concatenate([self.order[bounds[user] : bounds[user + 1]] for user in users])

    def integrate(
        self, readings: Indices, shift_deg: Floats, log_habit: Floats, log_sigma: Floats
    ) -> PeoplePosterior:
        """The people of some readings, which are sorted by person. `shift_deg` (all readings,) is
        what bends the needle beyond the person; `log_habit` (habits,) and `log_sigma` (sigmas,) are
        the rates in use.
        """
        who, person = np.unique(self.arrays.person[readings], return_inverse=True)
        total = self._log_likelihood(readings, person, len(who), shift_deg)
        total += (log_habit[:, None] + log_sigma[None, :]).reshape(-1)
        top = total.max(axis=(1, 2), keepdims=True)
        total -= top
        joint = np.exp(total, out=total)
        log_by_offset = np.log(joint.sum(axis=2) + LEAST_MASS) + top[:, :, 0]
        log_prior = self.log_offset_prior[who]
        log_marginal = biases.log_sum(log_by_offset + log_prior)
        joint *= np.exp(log_prior + top[:, :, 0] - log_marginal[:, None])[:, :, None]
        return PeoplePosterior(joint, log_marginal, log_by_offset)

    def _log_likelihood(
        self, readings: Indices, person: Indices, people: int, shift_deg: Floats
    ) -> Floats:
        """Log likelihoods added up by person: (people, offsets, habits x sigmas)."""
        total = np.zeros((people, len(OFFSETS_DEG), len(HABITS) * len(SIGMAS_DEG)))
        for begin in range(0, len(readings), CHUNK):
            chosen, own = readings[begin : begin + CHUNK], person[begin : begin + CHUNK]
            rows, begin_deg = self.arrays.row[chosen], OFFSETS_DEG[0] + shift_deg[chosen]
            part = self.table.windows(rows, begin_deg, len(OFFSETS_DEG))
            first = np.flatnonzero(np.r_[True, np.diff(own) > 0])
            total[own[first]] += np.add.reduceat(part, first, axis=0)
        return total
