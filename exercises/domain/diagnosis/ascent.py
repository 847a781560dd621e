"""One coordinate ascent over a class: people, ground and compasses in turn, each given the others.

README.md of this room has the equations; b, g, o and z there are `epochs`, `lines`, `compasses` and
`reversed_chance` here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from . import biases, compass_offsets, priors
from .arrays import Floats, Indices, places_of
from .biases import BIASES_DEG, NO_BIAS, Bias
from .class_arrays import ClassArrays, ground_bias_deg, needle_shift_deg, users_of_compasses
from .likelihood import ReadingLikelihood, Traits
from .people import SIGMAS, UNSHOWN, Guesses, PeopleGrid, large_density
from .priors import HABITS, Counts, Priors, Rates
from .residuals import Residuals
from .slip_table import SlipTable

# All numbers of this block are settings: common practice, no source.
# how reversed a compass's people must look on the average before the compass itself is asked
SUSPECT_REVERSED = 0.2
LEAST_PEOPLE = 3  # a fault of the ground shows in several people; what fewer show is a slip
ROUNDS = 3
LEAST_GUESS = 1e-3  # probability below which what a person may be like is left out of account
LINE_SIGMAS = 2.5  # of its survey, within which a line is no fault
FIRST_SIGMA_DEG = 3.0  # what everybody's scatter is taken for at first
MOST_ODDS = 50.0  # natural log: beyond it a probability is 0 or 1
LEAST_MASS = 1e-300  # so that nothing is not divided by, nor its logarithm taken
TURNED_READINGS = 0.4  # of a compass's readings that lie opposite
CELL_DEG = 1.0 / np.sqrt(12.0)  # what a grid of a degree blurs
AT_ONCE = 4000  # pairs of a reading and a guess at a time, to bound memory


@dataclass(frozen=True)
class Fit:
    """What the readings say of everything but themselves.

    `guesses` is what people may be like; `epochs`, `lines` and `compasses` biases in the order of
    the class's arrays; `reversed_chance` (compasses,) the probability that a needle is reversed;
    `rates` and `traits` those in use; `log_posterior` in natural logs, to compare fits of one
    class.
    """

    guesses: Guesses
    epochs: list[Bias]
    lines: list[Bias]
    compasses: list[Bias]
    reversed_chance: Floats
    rates: Rates
    traits: Traits
    log_posterior: float


def nothing_found(arrays: ClassArrays, rates: Rates) -> Fit:
    """A fit to begin with: sound ground and compasses, and nobody with a habit but as often as the
    rates say. Compasses of which a log says more begin sound as well: from what a wrong log said,
    an ascent went on to a habit that undoes it, and blamed a person.
    """
    people = len(arrays.people)
    joint = np.zeros((people * len(HABITS), 1, len(SIGMAS)))
    joint[:, 0, np.abs(SIGMAS - FIRST_SIGMA_DEG).argmin()] = np.tile(rates.habits, people)
    guesses = Guesses(
        np.repeat(np.arange(people), len(HABITS)),
        np.tile(np.arange(len(HABITS)), people),
        np.zeros((people * len(HABITS), 1)),
        joint,
        np.zeros(people),
    )
    return Fit(
        guesses,
        [NO_BIAS] * len(arrays.epochs),
        [NO_BIAS] * len(arrays.lines),
        [NO_BIAS] * len(arrays.compasses),
        np.zeros(len(arrays.compasses)),
        rates,
        Traits.usual(people, rates),
        0.0,
    )


class Ascent:
    """Holds the present biases; goes on from those of `begin`."""

    def __init__(
        self,
        arrays: ClassArrays,
        residuals: Residuals,
        table: SlipTable,
        stated: Priors,
        begin: Fit,
    ) -> None:
        self.arrays, self.stated = arrays, stated
        self.guesses, self.rates, self.traits = begin.guesses, begin.rates, begin.traits
        self.likelihood = ReadingLikelihood(arrays, residuals, table, begin.rates, begin.traits)
        self.epochs, self.lines = list(begin.epochs), list(begin.lines)
        self.compasses, self.reversed_chance = list(begin.compasses), begin.reversed_chance.copy()
        self.users = users_of_compasses(arrays)
        self.is_shown = _is_shown(arrays)
        self.everybody = np.arange(len(arrays.people))

    def run(self, *, ground_first: bool, rounds: int = ROUNDS) -> Fit:
        """Rounds of people, ground, compasses."""
        people = ground = compasses = 0.0
        if ground_first:
            ground = self._fit_ground()
        for turn in range(rounds):
            people = self._fit_people()
            if turn in (0, rounds - 1):
                self._turn_compasses()
            if turn < rounds - 1:
                ground = self._fit_ground()
                compasses = self._fit_compasses()
        log_prior = float(
            self.stated.people * np.asarray(self.stated.habits) @ np.log(self.rates.habits)
        )
        return self._fit(people + ground + compasses + log_prior)

    def people_alone(self) -> Fit:
        """The people, with everything else as it was given."""
        return self._fit(self._fit_people(learn=False))

    def _fit(self, log_posterior: float) -> Fit:
        return Fit(
            self.guesses,
            list(self.epochs),
            list(self.lines),
            list(self.compasses),
            self.reversed_chance.copy(),
            self.rates,
            self.traits,
            log_posterior,
        )

    def shift_deg(self) -> Floats:
        """What bends each reading's needle beyond the person's own offset: (readings,)."""
        return needle_shift_deg(
            self.arrays, self.epochs, self.lines, self.compasses, self.reversed_chance
        )

    def _fit_people(self, learn: bool = True) -> float:
        """Integrate every person over habit, offset and scatter; learn the rates of these. Returns
        the log marginal likelihood.
        """
        grid = PeopleGrid(self.likelihood, self.rates)
        self.guesses = grid.integrate(self.everybody, self.shift_deg())
        if learn:
            now = priors.learnt(self.stated, self.counts_of(self.arrays, self._fit(0.0)))
            self.rates = replace(
                self.rates,
                habits=now.habits,
                sigmas=now.sigmas,
                own_deg=now.own_deg,
                own_large=now.own_large,
                ground=now.ground,
            )
        return float(self.guesses.log_marginal.sum())

    @staticmethod
    def counts_of(arrays: ClassArrays, fit: Fit) -> Counts:
        """What the people of a fit add to the rates: habits, scatter and own offsets; no slips."""
        guesses, people, rates = fit.guesses, len(arrays.people), fit.rates
        by_node = guesses.joint.sum(axis=2)
        small = (
            (1.0 - rates.own_large)
            * np.exp(-0.5 * (guesses.offset_deg / rates.own_deg) ** 2)
            / (np.sqrt(2.0 * np.pi) * rates.own_deg)
        )
        is_small = by_node * small / (small + rates.own_large * large_density(guesses.offset_deg))
        shown = [
            bias.fault_probability
            for bias, is_shown in zip(fit.epochs, _is_shown(arrays), strict=True)
            if is_shown
        ]
        return Counts(
            ground=(sum(shown), len(shown) - sum(shown)),
            habits=tuple(guesses.habits(people).sum(axis=0).tolist()),
            sigmas=tuple(guesses.sigmas(people).sum(axis=0).tolist()),
            slips=(0.0,) * len(rates.slips),
            own=(
                float((is_small * guesses.offset_deg**2).sum()),
                float(is_small.sum()),
                float((by_node - is_small).sum()),
            ),
        )

    def _turn_compasses(self) -> None:
        """Ask each shared compass whether its needle is reversed, where its people look so."""
        by_habit = self.guesses.habits(len(self.arrays.people))
        looks = by_habit[:, [index for index, code in enumerate(HABITS) if "reversed" in code]]
        all_habits, shift_deg = by_habit.sum(axis=0), self.shift_deg()
        opposite = self._opposite(shift_deg)
        for index, users in enumerate(self.users):
            is_suspect = looks[users].sum() >= SUSPECT_REVERSED * len(users)
            is_suspect |= opposite[index] >= TURNED_READINGS
            if self.reversed_chance[index] >= 0.5 or is_suspect:
                others = np.maximum(all_habits - by_habit[users].sum(axis=0), 0.0)
                self.reversed_chance[index] = self._reversed(index, others, shift_deg)
        if (self.reversed_chance >= 0.5).any():
            self._fit_people(learn=False)

    def _opposite(self, shift_deg: Floats) -> Floats:
        """The share of each compass's readings, which may be of many hands, that lie opposite to
        where they should: (compasses,).
        """
        own = np.flatnonzero((self.arrays.compass >= 0) & self.arrays.has_needle)
        straight, turned = (
            self.likelihood.probability(
                own,
                np.zeros_like(own),
                (shift_deg[own] + by)[:, None],
                np.array([FIRST_SIGMA_DEG]),
            )[:, 0, 0]
            for by in (0.0, 180.0)
        )
        compass, count = self.arrays.compass[own], len(self.compasses)
        readings = np.bincount(compass, minlength=count)
        found: Floats = np.bincount(compass, turned > straight, count) / np.maximum(readings, 1)
        return found

    def _reversed(self, index: int, others: Floats, shift_deg: Floats) -> float:
        """How probable it is that a compass's needle is reversed: are its people likelier so than
        each with a habit of their own? The rate of that habit is the other people's, `others`
        (habits,), for these very people are in question.
        """
        habits = priors.mixed(self.stated.habits, self.stated.people, others)
        grid = PeopleGrid(self.likelihood, replace(self.rates, habits=tuple(habits.tolist())))
        turns = 180.0 * (self.arrays.has_needle & (self.arrays.compass == index))
        is_turned = self.reversed_chance[index] >= 0.5
        straight, turned = (
            grid.integrate(self.users[index], shift).log_marginal.sum()
            for shift in (shift_deg - turns * is_turned, shift_deg + turns * (not is_turned))
        )
        known = self.arrays.known[index]
        share = known.reversed_probability if known else biases.REVERSED_SHARE
        log_odds = np.log(share / (1.0 - share)) + turned - straight
        return float(1.0 / (1.0 + np.exp(-np.clip(log_odds, -MOST_ODDS, MOST_ODDS))))

    def _scan(self, readings: Indices, base_deg: Floats, own_deg: Floats) -> Floats:
        """Log probability of some readings if their needle were bent by `base_deg` (readings,),
        `own_deg` (guesses,) and each of BIASES_DEG: (readings, biases). What a person may be like
        is averaged; scatter stands at its mean within each.
        """
        guesses = self.guesses
        chance = guesses.probability
        likely = np.flatnonzero(chance > LEAST_GUESS)
        bounds = np.searchsorted(guesses.person[likely], np.arange(len(self.arrays.people) + 1))
        sigma_deg = np.exp(guesses.by_sigma @ np.log(SIGMAS))
        log_probability = np.empty((len(readings), len(BIASES_DEG)))
        for begin in range(0, len(readings), AT_ONCE):
            own = readings[begin : begin + AT_ONCE]
            person = self.arrays.person[own]
            counts = bounds[person + 1] - bounds[person]
            which = np.repeat(np.arange(len(own)), counts)
            starts = np.cumsum(counts) - counts
            guess = likely[bounds[person][which] + np.arange(len(which)) - starts[which]]
            x_deg = (base_deg[own][which] + own_deg[guess])[:, None] + BIASES_DEG
            part = self.likelihood.probability(
                own[which], guesses.habit[guess], x_deg, sigma_deg[guess][:, None]
            )[:, :, 0]
            total = np.add.reduceat(part * chance[guess][:, None], starts, axis=0)
            log_probability[begin : begin + AT_ONCE] = np.log(total)
        return log_probability

    def scan(self) -> Floats:
        """Log probability of each reading if its ground were bent by each of BIASES_DEG more:
        (readings, biases); nothing where there is no needle.
        """
        scans = np.zeros((len(self.arrays.row), len(BIASES_DEG)))
        readings = np.flatnonzero(self.arrays.has_needle)
        scans[readings] = self._scan(readings, self.shift_deg(), self.guesses.mean_deg)
        return scans

    def scan_of_ground(self) -> Floats:
        """As `scan`, of the whole bias of the ground, whatever it was taken for so far."""
        scans = self.scan()
        by_deg_of = ground_bias_deg(self.arrays, self.epochs, self.lines)
        places = places_of(self.arrays.line, len(by_deg_of))
        for own, by_deg in zip(places, by_deg_of, strict=True):
            scans[own] = biases.moved(scans[own], by_deg)
        return scans

    def _fit_ground(self) -> float:
        """Biases of stations and lines from the readings' scans. Returns their log prior."""
        arrays, scans = self.arrays, self.scan()
        by_line = np.zeros((len(arrays.lines), len(BIASES_DEG)))
        np.add.at(by_line, arrays.line, scans)
        log_prior = 0.0
        for epoch, lines in enumerate(arrays.lines_of_epochs()):
            own = [index for index in lines if arrays.needle[arrays.lines[index].task]]
            log_prior += self._fit_epoch(epoch, own, by_line)
        return log_prior

    def _fit_epoch(self, epoch: int, lines: list[int], by_line: Floats) -> float:
        """One station's epoch with its lines. Each line's own bias is summed over to find the
        station's, then found given that one. Returns their log prior.
        """
        share = 1.0 if self.is_shown[epoch] else UNSHOWN
        log_epoch = biases.prior(
            biases.STATION_NARROW_DEG, biases.STATION_WIDE_DEG, self.rates.ground * share
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

    def _fit_compasses(self) -> float:
        """Offsets of compasses, given the ground. Returns their log prior."""
        if not self.compasses:
            return 0.0
        grid = PeopleGrid(self.likelihood, self.rates)
        everywhere = np.broadcast_to(BIASES_DEG, (len(self.everybody), len(BIASES_DEG)))
        log_own = grid.log_offset(self.everybody, everywhere, CELL_DEG)
        scans = self.scan_by_person_and_compass()
        self.compasses, log_prior = compass_offsets.fitted(
            self.arrays, scans, log_own, self.compasses
        )
        return log_prior

    def scan_by_person_and_compass(self) -> Floats:
        """As `scan`, by all that is a person's and a compass's, whatever they were taken for."""
        scans = np.zeros((len(self.arrays.row), len(BIASES_DEG)))
        readings = np.flatnonzero(self.arrays.has_needle)
        ground = ground_bias_deg(self.arrays, self.epochs, self.lines)[self.arrays.line]
        turned = np.array([*(180.0 * (self.reversed_chance >= 0.5)), 0.0])[self.arrays.compass]
        nothing = np.zeros(len(self.guesses.person))
        scans[readings] = self._scan(readings, ground + turned, nothing)
        return scans


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
