"""A fit of a class turned back on its readings: how probable each way to each of them is."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from . import biases, scatter
from .arrays import Flags, Floats, Indices, Singles, summed
from .ascent import LEAST_GUESS, Fit
from .class_arrays import ClassArrays, needle_shift_deg
from .likelihood import clear, fixed_var, wrapped
from .people import SIGMAS
from .residuals import CODES, INDEX, Residuals
from .way_weights import KEPT, WayWeights, following, soundness
from .written_numbers import of_writing

LEAST_WAY = 1e-4  # probability below which a way is not worth naming
AT_ONCE = 500  # readings at a time, to bound memory
# beyond so many of its widest sigmas a way is not reckoned
FAR_SIGMAS = 5.0
LEAST_FIVES = 0.02  # below, a person's numbers are taken as they are
OTHER_STATION, OTHER_TARGET = INDEX["other_station"], INDEX["other_target"]


@dataclass(frozen=True)
class Surroundings:
    """What is round each reading, each (readings,): what bends its needle and the variance of that,
    degrees; of this the part of its station and of its line; the probability that the ground is at
    fault; the compass's offset, degrees, and the probability that its needle is reversed.

    `elsewhere_deg` and `elsewhere_fault` (ways,) are the bias and the probability of a fault of
    another mark, for a way on which somebody stood there; else 0.
    """

    shift_deg: Floats
    shift_var: Floats
    station_deg: Floats
    line_deg: Floats
    ground_fault: Floats
    compass_offset_deg: Floats
    reversed_chance: Floats
    elsewhere_deg: Floats
    elsewhere_fault: Floats


def surroundings(arrays: ClassArrays, residuals: Residuals, fit: Fit) -> Surroundings:
    """What a fit says is round each reading."""
    station_error, station_deg, station_fault = (
        np.array([getattr(fit.epochs[line.epoch], name) for line in arrays.lines])[arrays.line]
        for name in ("error_deg", "degrees", "fault_probability")
    )
    line_deg, line_fault = (
        np.array([getattr(bias, name) for bias in fit.lines])[arrays.line]
        for name in ("degrees", "fault_probability")
    )
    offset_deg = np.array([bias.degrees for bias in fit.compasses] + [0.0])[arrays.compass]
    reversed_chance = np.array([*fit.reversed_chance, 0.0])[arrays.compass]
    first: dict[str, tuple[float, float]] = {}  # of a station that changed, as it was before
    for epoch, bias in zip(arrays.epochs, fit.epochs, strict=True):
        first.setdefault(epoch.station, (bias.degrees, bias.fault_probability))
    at_marks = np.array([*first.values(), (0.0, 0.0)]).T
    return Surroundings(
        needle_shift_deg(arrays, fit.epochs, fit.lines, fit.compasses, fit.reversed_chance),
        station_error**2,
        station_deg,
        line_deg,
        (1.0 - (1.0 - station_fault) * (1.0 - line_fault)) * arrays.has_needle,
        offset_deg,
        reversed_chance * arrays.has_needle,
        *at_marks[:, residuals.stood_at],
    )


@dataclass(frozen=True)
class Explained:
    """Some readings with the ways to them.

    `readings` (n,) indices; `of` (m,) the place among them of each likely way; `way` (m,) its
    index; `probability` (m,) and `off` (m,), how much of it comes with a compass that is off;
    `felt` (m,) is 0 where the answer, a target, would be the same without what bends the needle,
    else 1; `ground` (m,) the probability that the ground where one stood is at fault;
    `unexplained`, `copied` and `reversed_chance` (n,): probabilities of none of the ways, of an
    answer that was copied, and of a reversed needle of the compass.

    `slips` (codes,) is how often each slip is expected; `careless`, `followed` and `lapsed` (n,)
    how probable it is that a slip was made, that a habit was followed, and that one was not; `poor`
    (n,) that it was a poor sight.
    """

    readings: Indices
    of: Indices
    way: Indices
    probability: Floats
    off: Floats
    felt: Flags
    ground: Floats
    unexplained: Floats
    copied: Floats
    reversed_chance: Floats
    slips: Floats
    careless: Floats
    followed: Floats
    lapsed: Floats
    poor: Floats


def explain(
    arrays: ClassArrays,
    residuals: Residuals,
    fit: Fit,
    readings: Indices,
    around: Surroundings | None = None,
) -> Iterator[Explained]:
    """The chosen readings, by index, in parts of AT_ONCE; habit, sigma and offset are integrated.
    `around` is by `surroundings` unless somebody knows better.
    """
    explainer = _Explainer(arrays, residuals, fit, around or surroundings(arrays, residuals, fit))
    parts = [readings[begin : begin + AT_ONCE] for begin in range(0, len(readings), AT_ONCE)]
    if len(parts) < 2:
        yield from map(explainer.explained, parts)
        return
    with ThreadPoolExecutor(2) as pool:
        yield from pool.map(explainer.explained, parts)


@dataclass(frozen=True)
class _Pairs:
    """Pairs of a reading and what its person may be like, and the ways of each pair.

    `reading` (pairs,) is an index among the chosen readings, `index` among all; `guess` (pairs,)
    which guess; `pair` and `way` (ways,) say which pair each way belongs to and which way it is;
    `squared` (ways,) how far its residual is left beyond all that bends the needle, square
    degrees; `starts` (pairs,) where the ways of each pair begin.
    """

    reading: Indices
    index: Indices
    guess: Indices
    pair: Indices
    way: Indices
    squared: Singles
    starts: Indices


class _Explainer:
    """What explaining needs of a class, computed once for all its parts."""

    def __init__(
        self, arrays: ClassArrays, residuals: Residuals, fit: Fit, around: Surroundings
    ) -> None:
        self.arrays, self.residuals, self.fit, self.around = arrays, residuals, fit, around
        guesses, rates = fit.guesses, fit.rates
        self.chance = guesses.probability
        self.likely = np.flatnonzero(self.chance > LEAST_GUESS)
        self.guess_bounds = np.searchsorted(
            guesses.person[self.likely], np.arange(len(arrays.people) + 1)
        )
        self.mean_deg, self.var_deg2 = guesses.mean_deg, guesses.var_deg2
        self.sigmas, self.sigma_chance = _two_sigmas(guesses.by_sigma)
        self.weights = WayWeights(rates)
        self.way_weight = self.weights.of(residuals.habit, residuals.slip).astype(np.float32)
        self.way_weight *= residuals.share[:, None].astype(np.float32)
        self.signed_deg = np.where(residuals.sign != 0, residuals.sign, 1) * residuals.residual_deg
        self.signed_deg = self.signed_deg.astype(np.float32)
        self.is_sound = soundness()[residuals.habit, residuals.slip]
        self.is_followed = following()[residuals.habit, residuals.slip]
        self.bounds = np.searchsorted(residuals.row, np.arange(len(residuals.task) + 1))
        person = arrays.person
        self.careless = fit.traits.careless[person]
        self.copying = fit.traits.copied[person] * arrays.seen_before
        self.clear = clear(self.weights, self.careless, fit.traits.copied[person])
        self.followed = fit.traits.followed[person] / rates.followed
        self.lapsed = (1.0 - fit.traits.followed[person]) / (1.0 - rates.followed)
        self.junk = self.weights.junk * residuals.cell_deg[arrays.row] / 360.0
        if arrays.heard:
            self.junk = self.junk * arrays.heard.nothing
            self.copying = self.copying * arrays.heard.nothing
        self.fixed_var = fixed_var(arrays, residuals)
        # of the others the number says nothing
        self.writes = ~np.isnan(arrays.number_deg) & (arrays.fives[person] > LEAST_FIVES)
        self.shares = scatter.parts(rates.tail, rates.poor)

    def explained(self, chosen: Indices) -> Explained:
        """Some readings, by index."""
        pairs = self._pairs(chosen)
        reading, of_way = pairs.reading, pairs.reading[pairs.pair]
        count = len(chosen)
        by_width, copied, junk = self._probabilities(pairs)
        ordinary = by_width[0] + by_width[1]
        is_sound = self.is_sound[pairs.way, self._acts(pairs)[pairs.pair]]
        is_followed = self.is_followed[pairs.way, self._acts(pairs)[pairs.pair]]
        poor = summed(by_width[2], of_way, count)
        off = self._off(pairs)
        felt = self.residuals.felt[pairs.way]
        heavy = ordinary > LEAST_WAY
        has_habit = (self._acts(pairs) > 0)[pairs.pair]
        unexplained = summed(junk, reading, count) + poor
        slips = self._slips(pairs, ordinary, is_sound)
        slips[INDEX["unexplained"]] += unexplained.sum() - poor.sum()
        return Explained(
            readings=chosen,
            of=of_way[heavy],
            way=pairs.way[heavy],
            probability=ordinary[heavy],
            off=(ordinary * off[pairs.pair] * felt)[heavy],
            felt=felt[heavy],
            ground=self._ground(chosen, pairs)[heavy],
            unexplained=unexplained,
            copied=summed(copied, reading, count),
            reversed_chance=self.around.reversed_chance[chosen],
            slips=slips,
            careless=summed(ordinary * ~is_sound, of_way, count),
            followed=summed(ordinary * is_followed * has_habit, of_way, count),
            lapsed=summed(ordinary * is_sound * ~is_followed, of_way, count),
            poor=poor,
        )

    def _acts(self, pairs: _Pairs) -> Indices:
        """What acts of each pair's habit at its task: (pairs,)."""
        acts: Indices = self.residuals.sound.acts_as[
            self.arrays.row[pairs.index], self.fit.guesses.habit[pairs.guess]
        ]
        return acts

    def _pairs(self, chosen: Indices) -> _Pairs:
        arrays = self.arrays
        person = arrays.person[chosen]
        counts = self.guess_bounds[person + 1] - self.guess_bounds[person]
        reading = np.repeat(np.arange(len(chosen)), counts)
        within = np.arange(len(reading)) - (np.cumsum(counts) - counts)[reading]
        guess = self.likely[self.guess_bounds[person][reading] + within]
        index = chosen[reading]
        row = arrays.row[index]
        ways = self.bounds[row + 1] - self.bounds[row]
        pair = np.repeat(np.arange(len(reading)), ways)
        starts = np.cumsum(ways) - ways
        way = self.bounds[row][pair] + np.arange(len(pair)) - starts[pair]
        squared = self._squared(index, guess, pair, way)
        near = squared < (FAR_SIGMAS * self._widest_deg(index, guess))[pair] ** 2
        near[starts] = True  # so that no pair is without a way
        kept = np.flatnonzero(near)
        pair, way = pair[kept], way[kept]
        return _Pairs(
            reading,
            index,
            guess,
            pair,
            way,
            squared[kept],
            np.searchsorted(pair, np.arange(len(reading))),
        )

    def _widest_deg(self, index: Indices, guess: Indices) -> Floats:
        """The largest scatter that has to be thought of: (pairs,), degrees."""
        own = self.sigmas[guess].max(axis=1) ** 2 * scatter.TAIL_WIDER**2
        variance = own + self.fixed_var[index] + self.var_deg2[guess] + self.around.shift_var[index]
        widest: Floats = np.sqrt(np.maximum(variance, scatter.POOR_SIGMA_DEG**2 / 2.0))
        return widest

    def _squared(self, index: Indices, guess: Indices, pair: Indices, way: Indices) -> Singles:
        """How far each way's residual is left beyond all that bends the needle, squared: (ways,).
        Who stood elsewhere had the needle bent there, and another target is none that was moved.
        """
        around = self.around
        slip, of_way = self.residuals.slip[way], index[pair]
        bent = self.arrays.has_needle[index]
        own_deg = np.where(bent, around.shift_deg[index] + self.mean_deg[guess], 0.0)
        off_deg = self.signed_deg[way] - own_deg.astype(np.float32)[pair]
        elsewhere = np.flatnonzero((slip == OTHER_STATION) & bent[pair])
        here = of_way[elsewhere]
        off_deg[elsewhere] += around.station_deg[here] - around.elsewhere_deg[way[elsewhere]]
        beside = np.flatnonzero(((slip == OTHER_STATION) | (slip == OTHER_TARGET)) & bent[pair])
        off_deg[beside] += around.line_deg[of_way[beside]]
        squared: Singles = wrapped(off_deg) ** 2
        return squared

    def _probabilities(self, pairs: _Pairs) -> tuple[Singles, Floats, Floats]:
        """How probable each way is, by narrow, wide and poor scatter: (3, ways); that the answer
        was copied and that it comes of nothing: (pairs,) each.
        """
        index, guess, pair = pairs.index, pairs.guess, pairs.pair
        bent = self.arrays.has_needle[index]
        offset_var = self.var_deg2[guess] + self.around.shift_var[index]
        fixed = self.fixed_var[index] + np.where(bent, offset_var, 0.0)
        weight, is_sound = self._way_weights(pairs)
        junk, copied = self.junk[index], self.copying[index]
        total = np.zeros((3, len(pair)), np.float32)
        of_junk, of_copied = np.zeros((2, len(index)))
        for which in range(self.sigmas.shape[1]):
            own = np.where(bent, self.sigmas[guess, which], scatter.RECKONED_SIGMA_DEG)
            part = _by_width(pairs.squared, own, fixed, pair, self.shares)
            part *= weight
            part[2] *= is_sound
            mass = np.add.reduceat(part[0] + part[1] + part[2], pairs.starts) + junk + copied
            # What a person may be like has heard this reading already: within each of them the
            # ways share its probability.
            held = self.chance[guess] * self.sigma_chance[guess, which] / mass
            part *= held.astype(np.float32)[pair]
            total += part
            of_junk += held * junk
            of_copied += held * copied
        return total, of_copied, of_junk

    def _way_weights(self, pairs: _Pairs) -> tuple[Singles, Flags]:
        """How probable each way of the pairs is before the answer is seen: (ways,), and whether it
        is sound.
        """
        acts = self._acts(pairs)[pairs.pair]
        is_sound = self.is_sound[pairs.way, acts]
        is_followed = self.is_followed[pairs.way, acts]
        pair, index = pairs.pair, pairs.index
        kept = np.where(
            is_followed,
            self.followed[index].astype(np.float32)[pair],
            self.lapsed[index].astype(np.float32)[pair],
        )
        kept[acts == 0] = 1.0
        kept *= self.clear[index].astype(np.float32)[pair]
        weight = self.way_weight[pairs.way, acts]
        weight *= np.where(is_sound, kept, self.careless[index].astype(np.float32)[pair])
        writing = np.flatnonzero(self.writes[index][pair])
        of_way, way = index[pair[writing]], pairs.way[writing]
        fives = self.arrays.fives[self.arrays.person[of_way]]
        weight[writing] *= of_writing(self.residuals.number_deg[way], fives)
        self._hear(pairs, weight)
        return weight, is_sound

    def _hear(self, pairs: _Pairs, weight: Singles) -> None:
        """Weigh the ways by what was replied to questions, in place."""
        said = self.arrays.heard.by_way if self.arrays.heard else {}
        ends = np.append(pairs.starts[1:], len(pairs.way)) if said else pairs.starts
        for pair in np.flatnonzero(np.isin(pairs.index, list(said))).tolist():
            index, own = int(pairs.index[pair]), slice(pairs.starts[pair], ends[pair])
            first = self.bounds[self.arrays.row[index]]
            weight[own] *= said[index][pairs.way[own] - first]

    def _off(self, pairs: _Pairs) -> Floats:
        """How probable it is for each pair that the compass is off: (pairs,)."""
        offset_deg = self.fit.guesses.offset_deg[pairs.guess]
        offset_deg = offset_deg + self.around.compass_offset_deg[pairs.index][:, None]
        beyond = biases.beyond(biases.FAULT_DEG, offset_deg)
        off = np.einsum("pn,pn->p", self.fit.guesses.by_node[pairs.guess], beyond)
        return np.where(self.arrays.has_needle[pairs.index], off, 0.0)

    def _ground(self, chosen: Indices, pairs: _Pairs) -> Floats:
        """How probable it is for each way that the ground where one stood is at fault: (ways,)."""
        of_way = pairs.index[pairs.pair]
        here = self.around.ground_fault[of_way]
        stood_elsewhere = (
            self.residuals.slip[pairs.way] == OTHER_STATION
        ) & self.arrays.has_needle[of_way]
        return np.where(stood_elsewhere, self.around.elsewhere_fault[pairs.way], here)

    def _slips(self, pairs: _Pairs, probability: Floats, is_sound: Flags) -> Floats:
        """How often each slip is expected: (codes,). A persistent cause that is not the person's
        habit is a slip.
        """
        slips = np.zeros(len(CODES))
        slips[INDEX["ok"]] = probability[is_sound].sum()
        acts = self._acts(pairs)[pairs.pair]
        for codes in (self.residuals.habit[pairs.way], self.residuals.slip[pairs.way]):
            is_slip = ~is_sound & ~KEPT[codes, acts]
            slips += summed(probability * is_slip, codes, len(CODES))
        return slips


def _two_sigmas(by_sigma: Floats) -> tuple[Floats, Floats]:
    """Two scatters for each guess in place of all: the means of the lower and of the upper half of
    their probability, degrees, and how probable each is. (guesses, 2)
    """
    mean = by_sigma @ np.log(SIGMAS)
    spread = np.sqrt(np.maximum(by_sigma @ np.log(SIGMAS) ** 2 - mean**2, 0.0))
    sigmas = np.exp(mean[:, None] + spread[:, None] * np.array([-1.0, 1.0]))
    return sigmas, np.full(sigmas.shape, 0.5)


def _by_width(
    squared: Singles,
    sigma_deg: Floats,
    fixed_var: Floats,
    pair: Indices,
    shares: tuple[float, float, float],
) -> Singles:
    """The densities of narrow, wide and poor scatter, times their shares: (3, ways); the scatters
    are those of the pairs.
    """
    found = np.empty((3, len(squared)), np.float32)
    for which, (share, variance) in enumerate(
        zip(shares, scatter.variances(sigma_deg, fixed_var), strict=True)
    ):
        scale = (-0.5 / variance).astype(np.float32)[pair]
        height = (share / np.sqrt(2.0 * np.pi * variance)).astype(np.float32)[pair]
        found[which] = height * np.exp(scale * squared)
    return found
