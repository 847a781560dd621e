"""People integrated over what is not known of them: habit h, own offset o and scatter sigma.

Offsets may lie anywhere. Where a person's could be is looked for on a coarse grid, for each habit;
round each such place stand a few nodes, as dense as their readings can tell (`NODES`). A *guess* is
a habit with one such place; a person has one guess or a few.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from .arrays import Flags, Floats, Indices, summed
from .likelihood import ReadingLikelihood
from .priors import HABITS, SIGMAS_DEG, Rates

SIGMAS = np.array(SIGMAS_DEG)
COARSE_DEG = np.arange(-90.0, 91.0, 3.0)
APART = 3  # steps of the coarse grid between two places of one habit
# natural logs below a person's best at which another habit, or another place, is left out
FAR_HABIT, FAR_PLACE = 14.0, 9.0
# About the middle of a guess, in units of NODE_DEG over the root of the readings.
NODES = np.array([-5.0, -3.4, -2.4, -1.7, -1.2, -0.8, -0.4, 0.0, 0.4, 0.8, 1.2, 1.7, 2.4, 3.4, 5.0])
NODE_WIDTHS = np.gradient(NODES)
NODE_DEG, LEAST_SCALE, MOST_SCALE = 3.0, 0.4, 2.5
# large offsets: a bent needle, a plate not along the line, or a setting left on the compass
LARGE = ((0.6, 9.0), (0.4, 25.0))
LEAST_READINGS = 3  # a fault of the compass shows in several readings; what fewer show is a slip
UNSHOWN = 0.02  # to this part the prior of a fault is cut where too few would show it
AT_ONCE = 1500  # readings at a time, to bound memory


@dataclass(frozen=True)
class Guesses:
    """What people may be like. Arrays over guesses, sorted by person: `person` and `habit` are
    indices; `joint` (guesses, nodes, sigmas) sums to one for each person, `offset_deg` (guesses,
    nodes). `log_marginal` (people,) is that of their readings.
    """

    person: Indices
    habit: Indices
    offset_deg: Floats
    joint: Floats
    log_marginal: Floats

    @property
    def probability(self) -> Floats:
        """(guesses,)."""
        return self.joint.sum(axis=(1, 2))

    @property
    def by_node(self) -> Floats:
        """(guesses, nodes), given the guess."""
        by_node = self.joint.sum(axis=2)
        return by_node / np.maximum(by_node.sum(axis=1, keepdims=True), 1e-300)

    @property
    def by_sigma(self) -> Floats:
        """(guesses, sigmas), given the guess."""
        by_sigma = self.joint.sum(axis=1)
        return by_sigma / np.maximum(by_sigma.sum(axis=1, keepdims=True), 1e-300)

    @property
    def mean_deg(self) -> Floats:
        """The mean own offset of each guess: (guesses,), degrees."""
        return np.einsum("gn,gn->g", self.by_node, self.offset_deg)

    @property
    def var_deg2(self) -> Floats:
        """Its variance: (guesses,), square degrees."""
        squares = np.einsum("gn,gn->g", self.by_node, self.offset_deg**2)
        return np.maximum(squares - self.mean_deg**2, 0.0)

    def habits(self, people: int) -> Floats:
        """(people, habits)."""
        at = self.person * len(HABITS) + self.habit
        return summed(self.probability, at, people * len(HABITS)).reshape(people, len(HABITS))

    def sigmas(self, people: int) -> Floats:
        """(people, sigmas)."""
        by_sigma = np.zeros((people, len(SIGMAS)))
        np.add.at(by_sigma, self.person, self.joint.sum(axis=1))
        return by_sigma

    @staticmethod
    def joined(parts: list[Guesses]) -> Guesses:
        """Those of several groups of people, whose order is that of the groups."""
        return Guesses(
            *(
                np.concatenate([getattr(part, name) for part in parts])
                for name in Guesses.__dataclass_fields__
            )
        )


class PeopleGrid:
    """The people of a class. `order` sorts the readings by person, `bounds` (people + 1,) parts
    them there.
    """

    def __init__(self, likelihood: ReadingLikelihood, rates: Rates) -> None:
        self.likelihood, self.rates = likelihood, rates
        arrays = likelihood.arrays
        people = len(arrays.people)
        self.order = np.argsort(arrays.person, kind="stable")
        self.bounds = np.searchsorted(arrays.person[self.order], np.arange(people + 1))
        self.needles = np.bincount(arrays.person[arrays.has_needle], minlength=people)
        self.log_habit, self.log_sigma = np.log(rates.habits), np.log(rates.sigmas)
        self.coarse_sigma_deg = np.array([max(2.0, float(SIGMAS @ rates.sigmas))])

    def log_offset(self, person: Indices, offset_deg: Floats, blur_deg: float = 0.0) -> Floats:
        """The log prior density of some people's own offsets, per degree: as `offset_deg`, whose
        first axis is that of `person`; as it is on a grid that blurs.
        """
        large = self.rates.own_large * np.where(
            self.needles[person] >= LEAST_READINGS, 1.0, UNSHOWN
        )
        large = large.reshape((-1,) + (1,) * (offset_deg.ndim - 1))
        small = (1.0 - large) * _normal(offset_deg, np.hypot(self.rates.own_deg, blur_deg))
        return np.log(small + large * large_density(offset_deg) + 1e-300)

    def integrate(self, people: Indices, shift_deg: Floats) -> Guesses:
        """Some people, sorted, by their readings; `shift_deg` (all readings,) is what bends the
        needle beyond the person. `Guesses.person` counts from 0 in `people`.
        """
        groups = self._groups(people)
        if len(groups) == 1:
            return self._integrated(people, shift_deg)
        with ThreadPoolExecutor(2) as pool:
            parts = list(pool.map(lambda group: self._integrated(group, shift_deg), groups))
        begins = np.cumsum([0, *(len(group) for group in groups)])
        moved = [
            Guesses(part.person + begin, *list(vars(part).values())[1:])
            for part, begin in zip(parts, begins, strict=False)
        ]
        return Guesses.joined(moved)

    def _groups(self, people: Indices) -> list[Indices]:
        """People in groups of about AT_ONCE readings."""
        counts = np.cumsum(self.bounds[people + 1] - self.bounds[people])
        cuts = np.flatnonzero(np.diff((counts - 1) // AT_ONCE)) + 1
        return np.split(people, cuts)

    def _integrated(self, people: Indices, shift_deg: Floats) -> Guesses:
        person, habit, middle_deg, rival_deg = self._places(people, shift_deg)
        scale = np.clip(
            NODE_DEG / np.sqrt(np.maximum(self.needles[people], 1)), LEAST_SCALE, MOST_SCALE
        )
        offset_deg = middle_deg[:, None] + NODES * scale[person][:, None]
        is_own = ~(np.abs(offset_deg - rival_deg[:, None]) < np.abs(NODES * scale[person][:, None]))
        log_node = np.log(np.where(is_own, NODE_WIDTHS * scale[person][:, None], 1e-300))
        total = self._log_likelihood(people, person, habit, offset_deg, shift_deg)
        total += (log_node + self.log_offset(people[person], offset_deg))[:, :, None]
        total += self.log_habit[habit][:, None, None] + self.log_sigma
        top = np.full(len(people), -np.inf)
        np.maximum.at(top, person, total.max(axis=(1, 2)))
        joint = np.exp(total - top[person][:, None, None])
        mass = summed(joint.sum(axis=(1, 2)), person, len(people))
        return Guesses(
            person, habit, offset_deg, joint / mass[person][:, None, None], top + np.log(mass)
        )

    def _log_likelihood(
        self,
        people: Indices,
        person: Indices,
        habit: Indices,
        offset_deg: Floats,
        shift_deg: Floats,
    ) -> Floats:
        """Log likelihoods added up by guess: (guesses, nodes, sigmas)."""
        counts = (self.bounds[people + 1] - self.bounds[people])[person]
        guess = np.repeat(np.arange(len(person)), counts)
        starts = np.cumsum(counts) - counts
        within = np.arange(len(guess)) - starts[guess]
        reading = self.order[self.bounds[people][person][guess] + within]
        x_deg = shift_deg[reading][:, None] + offset_deg[guess]
        probability = self.likelihood.probability(reading, habit[guess], x_deg, SIGMAS)
        total: Floats = np.add.reduceat(np.log(probability), starts, axis=0, dtype=float)
        return total

    def _places(
        self, people: Indices, shift_deg: Floats
    ) -> tuple[Indices, Indices, Floats, Floats]:
        """Where offsets may be: person, habit, the middle of each place and of the other place of
        the same habit, or nan; (guesses,), sorted by person.
        """
        log_posterior = self._coarse(people, shift_deg)
        steps = np.arange(len(COARSE_DEG))
        first = log_posterior.argmax(axis=2)
        apart = np.abs(steps - first[:, :, None]) >= APART
        second = np.where(apart & _peaks(log_posterior), log_posterior, -np.inf).argmax(axis=2)
        heights = np.stack(
            [
                np.take_along_axis(log_posterior, at[:, :, None], 2)[:, :, 0]
                for at in (first, second)
            ],
            axis=2,
        )
        is_peak = np.take_along_axis(apart & _peaks(log_posterior), second[:, :, None], 2)[:, :, 0]
        best = heights.max(axis=(1, 2), keepdims=True)
        keep = heights > best - FAR_HABIT
        keep[:, :, 1] &= is_peak & (heights[:, :, 1] > best[:, :, 0] - FAR_PLACE)
        middles = np.stack([_refined(log_posterior, at) for at in (first, second)], axis=2)
        rivals = np.where(keep[:, :, ::-1], middles[:, :, ::-1], np.nan)
        person, habit, place = np.nonzero(keep)
        return person, habit, middles[person, habit, place], rivals[person, habit, place]

    def _coarse(self, people: Indices, shift_deg: Floats) -> Floats:
        """The log posterior of habit and offset with one scatter for all: (people, habits,
        offsets).
        """
        readings = np.concatenate(
            [self.order[self.bounds[who] : self.bounds[who + 1]] for who in people]
        )
        counts = self.bounds[people + 1] - self.bounds[people]
        starts = np.cumsum(counts) - counts
        acts_as = self.likelihood.acts_as(readings)
        reading, acts = np.nonzero(_present(acts_as))
        probability = self.likelihood.probability(
            readings[reading],
            acts,
            shift_deg[readings][reading][:, None] + COARSE_DEG,
            self.coarse_sigma_deg,
        )
        at = np.zeros(acts_as.shape, int)
        at[reading, acts] = np.arange(len(reading))
        log_likelihood = np.log(probability[:, :, 0])[np.take_along_axis(at, acts_as, 1)]
        total: Floats = np.add.reduceat(log_likelihood, starts, axis=0, dtype=float)
        step_deg = COARSE_DEG[1] - COARSE_DEG[0]
        grid = np.broadcast_to(COARSE_DEG, (len(people), len(COARSE_DEG)))
        log_prior = self.log_offset(people, grid, step_deg / np.sqrt(12.0))
        return total + log_prior[:, None, :] + self.log_habit[None, :, None]


def _present(acts_as: Indices) -> Flags:
    """Which habits are left of some: (readings, habits)."""
    is_left = np.zeros(acts_as.shape, bool)
    np.put_along_axis(is_left, acts_as, True, 1)
    return is_left


def large_density(offset_deg: Floats) -> Floats:
    """The density of large offsets, per degree."""
    total = np.zeros_like(offset_deg)
    for share, spread_deg in LARGE:
        total += share * _normal(offset_deg, spread_deg)
    return total


def _normal(off_deg: Floats, spread_deg: float | Floats) -> Floats:
    return np.exp(-0.5 * (off_deg / spread_deg) ** 2) / (np.sqrt(2.0 * np.pi) * spread_deg)


def _peaks(log_posterior: Floats) -> np.ndarray:
    """Where neither neighbour is higher, along the last axis."""
    padded = np.pad(log_posterior, ((0, 0), (0, 0), (1, 1)), constant_values=-np.inf)
    is_peak: np.ndarray = (log_posterior >= padded[:, :, :-2]) & (log_posterior >= padded[:, :, 2:])
    return is_peak


def _refined(log_posterior: Floats, at: Indices) -> Floats:
    """The top of the parabola through a grid's highest point and its neighbours: (people, habits),
    degrees.
    """
    inner = np.clip(at, 1, len(COARSE_DEG) - 2)
    below, here, above = (
        np.take_along_axis(log_posterior, inner[:, :, None] + by, 2)[:, :, 0] for by in (-1, 0, 1)
    )
    bend = below - 2.0 * here + above
    step = np.where(bend < -1e-9, 0.5 * (below - above) / np.where(bend < -1e-9, bend, 1.0), 0.0)
    return COARSE_DEG[inner] + np.clip(step, -1.0, 1.0) * (COARSE_DEG[1] - COARSE_DEG[0])
