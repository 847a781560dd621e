"""One coordinate ascent over a class: people, ground and compasses in turn, each given the others.

README.md of this room has the equations; b, g, o and z there are `epochs`, `lines`, `compasses` and
`reversed_chance` here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import biases, priors
from .arrays import Floats, Indices
from .biases import BIASES_DEG, NO_BIAS, Bias
from .class_arrays import ClassArrays, ground_bias_deg, needle_shift_deg, users_of_compasses
from .likelihood_table import LikelihoodTable
from .people import CHUNK, LEAST_MASS, OFFSETS_DEG, UNSHOWN, PeopleGrid, PeoplePosterior
from .priors import HABITS, SIGMAS_DEG, Priors

# All numbers of this block are settings: common practice, no source.
REVERSED_SHARE = 0.015  # of numbered compasses: a needle that has changed its poles
# how reversed a compass's people must look on the average before the compass itself is asked
SUSPECT_REVERSED = 0.2
LEAST_PEOPLE = 3  # a fault of the ground shows in several people; what fewer show is a slip
ROUNDS = 3
LEAST_HABIT = 1e-3  # probability below which a person's habit is left out of account
LINE_SIGMAS = 2.5  # of its survey, within which a line is no fault
FIRST_SIGMA = SIGMAS_DEG.index(3.0)  # what everybody's scatter is taken for at first
IMPOSSIBLE = -40.0  # log probability of an offset beyond the grid
MOST_ODDS = 50.0  # natural log: beyond it a probability is 0 or 1


@dataclass(frozen=True)
class Fit:
    """What the readings say of everything but themselves.

    `joint` (people, habits, sigmas) and `offset` (people, habits, offsets), the latter given the
    habit; `epochs`, `lines` and `compasses` biases in the order of the class's arrays;
    `reversed_chance` (compasses,) the probability that a needle is reversed; `slips`, `habits` and
    `sigmas` the rates in use; `log_posterior` in natural logs, to compare fits of one class.
    """

    joint: Floats
    offset: Floats
    epochs: list[Bias]
    lines: list[Bias]
    compasses: list[Bias]
    reversed_chance: Floats
    slips: Floats
    habits: Floats
    sigmas: Floats
    log_posterior: float

    @property
    def habit(self) -> Floats:
        """(people, habits)."""
        return self.joint.sum(axis=2)


class Ascent:
    """Holds the present biases; `run` goes on from none, or they are given by an earlier fit."""

    def __init__(
        self,
        arrays: ClassArrays,
        table: LikelihoodTable,
        stated: Priors,
        begin: Fit | None = None,
    ) -> None:
        self.arrays, self.table, self.stated = arrays, table, stated
        self.people = PeopleGrid(arrays, table)
        self.log_habit = np.log(begin.habits if begin else stated.habits)
        self.log_sigma = np.log(begin.sigmas if begin else stated.sigmas)
        self.epochs = begin.epochs if begin else [NO_BIAS] * len(arrays.epochs)
        self.lines = begin.lines if begin else [NO_BIAS] * len(arrays.lines)
        self.compasses = begin.compasses if begin else [NO_BIAS] * len(arrays.compasses)
        self.reversed_chance = begin.reversed_chance if begin else np.zeros(len(arrays.compasses))
        self.slips = begin.slips if begin else np.asarray(stated.slips)
        self.joint = begin.joint if begin else np.empty(0)
        self.offset = begin.offset if begin else np.empty(0)
        self.log_by_offset = np.empty(0)
        self.is_loyal = _is_loyal(arrays)
        self.users = users_of_compasses(arrays)
        self.is_shown = _is_shown(arrays)

    def run(self, stations_first: bool) -> Fit:
        """Rounds of people, ground, compasses, from no bias."""
        people = ground = 0.0
        if stations_first:
            self._nobody_has_a_habit()
            ground = self._fit_ground()
        for turn in range(ROUNDS):
            people = self._fit_people()
            if turn in (0, ROUNDS - 1):
                self._turn_compasses()
            if turn < ROUNDS - 1:
                ground = self._fit_ground()
                self._fit_compasses()
        log_prior = float(self.stated.people * np.asarray(self.stated.habits) @ self.log_habit)
        return self._fit(people + ground + log_prior)

    def people_alone(self) -> Fit:
        """The people, with everything else as it was given."""
        return self._fit(self._fit_people(learn=False))

    def _fit(self, log_posterior: float) -> Fit:
        return Fit(
            self.joint,
            self.offset,
            list(self.epochs),
            list(self.lines),
            list(self.compasses),
            self.reversed_chance.copy(),
            self.slips,
            np.exp(self.log_habit),
            np.exp(self.log_sigma),
            log_posterior,
        )

    def _nobody_has_a_habit(self) -> None:
        """Begin with people of whom nothing is known but the stated rates."""
        count = len(self.arrays.people)
        self.joint = np.zeros((count, len(HABITS), len(SIGMAS_DEG)))
        self.joint[:, :, FIRST_SIGMA] = self.stated.habits
        self.offset = np.zeros((count, len(HABITS), len(OFFSETS_DEG)))
        self.offset[:, :, len(OFFSETS_DEG) // 2] = 1.0

    def shift_deg(self) -> Floats:
        """What bends each reading's needle beyond the person's own offset: (readings,)."""
        return needle_shift_deg(
            self.arrays, self.epochs, self.lines, self.compasses, self.reversed_chance
        )

    def _integrated(
        self, readings: Indices, shift_deg: Floats, log_habit: Floats
    ) -> PeoplePosterior:
        return self.people.integrate(readings, shift_deg, log_habit, self.log_sigma)

    def _fit_people(self, learn: bool = True) -> float:
        """Integrate every person over (offset, habit, sigma); learn the rates of habits and
        scatters. Returns the log marginal likelihood.
        """
        posterior = self._integrated(self.people.order, self.shift_deg(), self.log_habit)
        self.joint, self.offset = posterior.by_habit_and_sigma, posterior.offset_given_habit
        self.log_by_offset = posterior.log_by_offset
        if learn:
            stated = self.stated
            habits = priors.mixed(stated.habits, stated.people, self.joint.sum(axis=(0, 2)))
            sigmas = priors.mixed(stated.sigmas, stated.people, self.joint.sum(axis=(0, 1)))
            self.log_habit, self.log_sigma = np.log(habits), np.log(sigmas)
        return float(posterior.log_marginal.sum())

    def _turn_compasses(self) -> None:
        """Ask each shared compass whether its needle is reversed, where its people look so."""
        reversed_habit = self.joint[:, HABITS.index("reversed")].sum(axis=1)
        all_habits, shift_deg = self.joint.sum(axis=(0, 2)), self.shift_deg()
        for index, users in enumerate(self.users):
            is_suspect = reversed_habit[users].mean() >= SUSPECT_REVERSED
            if self.reversed_chance[index] >= 0.5 or is_suspect:
                others = np.maximum(all_habits - self.joint[users].sum(axis=(0, 2)), 0.0)
                self.reversed_chance[index] = self._reversed(index, others, shift_deg)
        if (self.reversed_chance >= 0.5).any():
            self._fit_people(learn=False)

    def _reversed(self, index: int, others: Floats, shift_deg: Floats) -> float:
        """How probable it is that a compass's needle is reversed: are its people likelier so than
        each with a habit of their own? The rate of that habit is the other people's, `others`
        (habits,), for these very people are in question.
        """
        log_habit = np.log(priors.mixed(self.stated.habits, self.stated.people, others))
        own = self.people.readings_of(self.users[index])
        turns = 180.0 * (self.arrays.has_needle & (self.arrays.compass == index))
        is_turned = self.reversed_chance[index] >= 0.5
        straight, turned = (
            self._integrated(own, shift, log_habit).log_marginal.sum()
            for shift in (shift_deg - turns * is_turned, shift_deg + turns * (not is_turned))
        )
        log_odds = np.log(REVERSED_SHARE / (1.0 - REVERSED_SHARE)) + turned - straight
        return 1.0 / (1.0 + np.exp(-np.clip(log_odds, -MOST_ODDS, MOST_ODDS)))

    def scan(self) -> Floats:
        """Log probability of each reading if its bias were larger by each of BIASES_DEG: (readings,
        biases).

        Habits are averaged; within each, the offset stands at its mean and sigma at its likeliest.
        """
        arrays, shift_deg = self.arrays, self.shift_deg()
        habit = self.joint.sum(axis=2)
        offset_deg = self.offset @ OFFSETS_DEG
        sigma = self.joint.sum(axis=1).argmax(axis=1)
        probability = np.full((len(arrays.row), len(BIASES_DEG)), 1e-30)
        for begin in range(0, len(arrays.row), CHUNK):
            person = arrays.person[begin : begin + CHUNK]
            which, code = np.nonzero(habit[person] > LEAST_HABIT)
            who, reading = person[which], begin + which
            log_part = self.table.along(
                arrays.row[reading],
                code * len(SIGMAS_DEG) + sigma[who],
                BIASES_DEG[0] + shift_deg[reading] + offset_deg[who, code],
                len(BIASES_DEG),
            )
            np.add.at(probability, reading, np.exp(log_part) * habit[who, code][:, None])
        return np.log(probability)

    def scan_of_ground(self) -> Floats:
        """As `scan`, of the whole bias of the ground, whatever it was taken for so far."""
        scans = self.scan()
        for line, by_deg in enumerate(ground_bias_deg(self.arrays, self.epochs, self.lines)):
            own = self.arrays.line == line
            scans[own] = biases.moved(scans[own], by_deg)
        return scans

    def _fit_ground(self) -> float:
        """Biases of stations and lines from the readings' scans. Returns their log prior."""
        arrays, scans = self.arrays, self.scan()
        by_line = np.zeros((len(arrays.lines), len(BIASES_DEG)))
        np.add.at(by_line, arrays.line[arrays.has_needle], scans[arrays.has_needle])
        log_prior = 0.0
        for epoch in range(len(arrays.epochs)):
            own = [
                index
                for index, line in enumerate(arrays.lines)
                if line.epoch == epoch and arrays.needle[line.task]
            ]
            log_prior += self._fit_epoch(epoch, own, by_line)
        return log_prior

    def _fit_epoch(self, epoch: int, lines: list[int], by_line: Floats) -> float:
        """One station's epoch with its lines. Each line's own bias is summed over to find the
        station's, then found given that one. Returns their log prior.
        """
        share = 1.0 if self.is_shown[epoch] else UNSHOWN
        log_epoch = biases.prior(
            biases.STATION_NARROW_DEG, biases.STATION_WIDE_DEG, biases.STATION_SHARE * share
        )
        total, scanned = np.zeros(len(BIASES_DEG)), {}
        for line in lines:
            so_far_deg = self.epochs[epoch].degrees + self.lines[line].degrees
            whole = biases.moved(by_line[line], so_far_deg)
            log_line = _log_line(self._sigma_deg(line), share)
            top = whole.max()
            total += np.log(np.exp(log_line).T @ np.exp(whole - top) + LEAST_MASS) + top
            scanned[line] = whole, log_line
        bias = self.epochs[epoch] = biases.posterior(total, log_epoch)
        log_prior = float(np.interp(bias.degrees, BIASES_DEG, log_epoch))
        for line, (whole, log_line) in scanned.items():
            given = log_line[:, round(bias.degrees - BIASES_DEG[0])]
            log_prior += self._fit_line(line, whole, given, bias.degrees)
        return log_prior

    def _fit_line(self, line: int, whole: Floats, given: Floats, station_deg: float) -> float:
        """One line's own bias, given its station's: `whole` (biases,) is the log likelihood of both
        together, `given` (biases,) their log prior. Returns the log prior of what is found.
        """
        bias = self.lines[line] = biases.posterior(
            biases.moved(whole, -station_deg),
            biases.moved(given, -station_deg),
            max(biases.FAULT_DEG, LINE_SIGMAS * self._sigma_deg(line)),
        )
        return float(np.interp(bias.degrees + station_deg, BIASES_DEG, given))

    def _sigma_deg(self, line: int) -> float:
        """How far a sound line may be off by its survey, one sigma."""
        return self.arrays.line_sigma_deg[self.arrays.lines[line].task]

    def _fit_compasses(self) -> None:
        """Offsets of shared compasses. A person's own offset is summed over for each that the
        compass might have, so that what several people have in common goes over to the compass. Who
        read with two compasses says nothing of either.
        """
        log_prior = biases.prior(
            biases.COMPASS_NARROW_DEG, biases.COMPASS_WIDE_DEG, biases.COMPASS_SHARE
        )
        for index, before in enumerate(self.compasses):
            users = self.users[index][self.is_loyal[self.users[index]]]
            total = np.zeros(len(BIASES_DEG))
            for user in users:
                # Own offset = what is seen beyond the present offset of the compass, less what the
                # compass had more.
                own_deg = OFFSETS_DEG[None, :] + before.degrees - BIASES_DEG[:, None]
                log_own = np.interp(
                    own_deg,
                    OFFSETS_DEG,
                    self.people.log_offset_prior[user],
                    left=IMPOSSIBLE,
                    right=IMPOSSIBLE,
                )
                total += biases.log_sum(self.log_by_offset[user] + log_own)
            self.compasses[index] = biases.posterior(total, log_prior)


def _is_loyal(arrays: ClassArrays) -> np.ndarray:
    """Whether each person read with one compass alone: (people,)."""
    first = np.full(len(arrays.people), -1)
    first[arrays.person[::-1]] = arrays.compass[::-1]
    changed = arrays.compass != first[arrays.person]
    return np.bincount(arrays.person, changed, len(arrays.people)) == 0


def _is_shown(arrays: ClassArrays) -> list[bool]:
    """Whether enough people read a needle in each station's epoch for a fault to show."""
    return [
        len(set(arrays.person[(arrays.epoch == epoch) & arrays.has_needle].tolist()))
        >= LEAST_PEOPLE
        for epoch in range(len(arrays.epochs))
    ]


def _log_line(narrow_deg: float, share: float) -> Floats:
    """Log prior of a line's whole bias (rows) given that of its station (columns)."""
    apart = BIASES_DEG[:, None] - BIASES_DEG[None, :]
    calm, fault = (
        np.exp(-0.5 * (apart / spread) ** 2) for spread in (narrow_deg, biases.LINE_WIDE_DEG)
    )
    share = biases.LINE_SHARE * share
    return np.log(
        (1.0 - share) * calm / calm.sum(axis=0) + share * fault / fault.sum(axis=0) + LEAST_MASS
    )
