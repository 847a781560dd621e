"""A fit of a class turned back on its readings: how probable each way to each of them is."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from . import biases
from .arrays import Flags, Floats, Indices, summed
from .ascent import LEAST_HABIT, Fit
from .class_arrays import ClassArrays, needle_shift_deg
from .class_model import background, way_weights
from .likelihood_table import RECKONED_SIGMA_DEG, TAIL_SHARE, TAIL_WIDER
from .people import OFFSETS_DEG
from .priors import HABITS, SIGMAS_DEG
from .residuals import CODES, INDEX, Residuals

LEAST_WAY = 1e-4  # probability below which a way is not worth naming
AT_ONCE = 500  # readings at a time, to bound memory
HABIT_CODES = np.array([INDEX[code] for code in HABITS])


@dataclass(frozen=True)
class Surroundings:
    """What is round each reading, each (readings,): what bends its needle and the variance of that,
    degrees; the probability that the ground is at fault; the compass's offset, degrees, and the
    probability that its needle is reversed.
    """

    shift_deg: Floats
    shift_var: Floats
    ground_fault: Floats
    compass_offset_deg: Floats
    reversed_chance: Floats

    def of(self, readings: Indices) -> Surroundings:
        """Those of some readings."""
        return Surroundings(*(getattr(self, name)[readings] for name in self.__dataclass_fields__))


def surroundings(arrays: ClassArrays, fit: Fit) -> Surroundings:
    """What a fit says is round each reading."""
    error_deg = np.array([fit.epochs[line.epoch].error_deg for line in arrays.lines])[arrays.line]
    fault = np.array(
        [
            1.0 - (1.0 - fit.epochs[line.epoch].fault_probability) * (1.0 - bias.fault_probability)
            for line, bias in zip(arrays.lines, fit.lines, strict=True)
        ]
    )[arrays.line]
    offset_deg = np.array([bias.degrees for bias in fit.compasses] + [0.0])[arrays.compass]
    reversed_chance = np.array([*fit.reversed_chance, 0.0])[arrays.compass]
    return Surroundings(
        needle_shift_deg(arrays, fit.epochs, fit.lines, fit.compasses, fit.reversed_chance),
        error_deg**2,
        fault * arrays.has_needle,
        offset_deg,
        reversed_chance * arrays.has_needle,
    )


@dataclass(frozen=True)
class Explained:
    """Some readings with the ways to them.

    `readings` (n,) indices; `of` (m,) the place among them of each likely way; `way` (m,) its
    index; `probability` (m,) and `off` (m,), how much of it comes with a compass that is off;
    `felt` (m,) is 0 where the answer, a target, would be the same without what bends the needle,
    else 1; `unexplained`, `ground` and `reversed_chance` (n,): probabilities of none of the ways,
    of a fault of the ground, and of a reversed needle of the compass; `slips` (codes,) how often
    each slip is expected.
    """

    readings: Indices
    of: Indices
    way: Indices
    probability: Floats
    off: Floats
    felt: Flags
    unexplained: Floats
    ground: Floats
    reversed_chance: Floats
    slips: Floats


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
    explainer = _Explainer(arrays, residuals, fit, around or surroundings(arrays, fit))
    parts = [readings[begin : begin + AT_ONCE] for begin in range(0, len(readings), AT_ONCE)]
    with ThreadPoolExecutor(2) as pool:
        yield from pool.map(explainer.explained, parts)


@dataclass(frozen=True)
class _Pairs:
    """Pairs of a reading and a habit that its person may have, and the ways of each pair.

    `reading`, `habit` and `person` (pairs,) are indices, the first among the chosen readings;
    `pair` and `way` (ways,) say which pair each way belongs to and which way it is; `starts`
    (pairs,) where the ways of each pair begin.
    """

    reading: Indices
    habit: Indices
    person: Indices
    pair: Indices
    way: Indices
    starts: Indices


class _Explainer:
    """What explaining needs of a class, computed once for all its parts."""

    def __init__(
        self, arrays: ClassArrays, residuals: Residuals, fit: Fit, around: Surroundings
    ) -> None:
        self.arrays, self.residuals, self.fit, self.around = arrays, residuals, fit, around
        self.habit = fit.habit
        self.weights = way_weights(residuals, fit.slips)
        self.background = background(residuals, fit.slips)
        self.bounds = np.searchsorted(residuals.row, np.arange(len(residuals.task) + 1))
        self.offset_deg = fit.offset @ OFFSETS_DEG  # (people, habits)
        self.offset_var = fit.offset @ OFFSETS_DEG**2 - self.offset_deg**2

    def explained(self, chosen: Indices) -> Explained:
        """Some readings, by index."""
        around, pairs = self.around.of(chosen), self._pairs(chosen)
        probability, unexplained = self._probabilities(chosen, around, pairs)
        off = self._off(chosen, around, pairs)
        felt = self.residuals.felt[pairs.way]
        heavy = probability > LEAST_WAY
        return Explained(
            readings=chosen,
            of=pairs.reading[pairs.pair][heavy],
            way=pairs.way[heavy],
            probability=probability[heavy],
            off=(probability * off[pairs.pair] * felt)[heavy],
            felt=felt[heavy],
            unexplained=unexplained,
            ground=around.ground_fault,
            reversed_chance=around.reversed_chance,
            slips=self._slips(pairs, probability, unexplained),
        )

    def _pairs(self, chosen: Indices) -> _Pairs:
        person, row = self.arrays.person[chosen], self.arrays.row[chosen]
        ways_of = self.bounds[row + 1] - self.bounds[row]
        reading, habit = np.nonzero(self.habit[person] > LEAST_HABIT)
        ways = ways_of[reading]
        pair = np.repeat(np.arange(len(reading)), ways)
        starts = np.r_[0, np.cumsum(ways)[:-1]]
        way = self.bounds[row[reading]][pair] + np.arange(len(pair)) - starts[pair]
        return _Pairs(reading, habit, person[reading], pair, way, starts)

    def _squared_residuals(self, around: Surroundings, pairs: _Pairs, bent: Flags) -> Floats:
        """Squares of what is left of each way's residual beyond all that bends the needle: (ways,),
        square degrees.
        """
        sign, residual = self.residuals.sign[pairs.way], self.residuals.residual_deg[pairs.way]
        own_deg = np.where(bent, self.offset_deg[pairs.person, pairs.habit], 0.0)
        bent_by = (around.shift_deg[pairs.reading] + own_deg)[pairs.pair]
        position = np.where(sign != 0, sign * residual - bent_by, residual)
        return (np.remainder(position + 180.0, 360.0) - 180.0) ** 2

    def _probabilities(
        self, chosen: Indices, around: Surroundings, pairs: _Pairs
    ) -> tuple[Floats, Floats]:
        """How probable each way is: (ways,), and that none of them is: (readings,)."""
        arrays, residuals, reading, pair = self.arrays, self.residuals, pairs.reading, pairs.pair
        row, task = arrays.row[chosen][reading], arrays.task[chosen][reading]
        bent = arrays.needle[task]
        squared = self._squared_residuals(around, pairs, bent)
        offset_var = self.offset_var[pairs.person, pairs.habit] + around.shift_var[reading]
        fixed = (
            arrays.answer_sigma_deg[task] ** 2
            + residuals.rounding_var[row]
            + np.where(bent, offset_var, 0.0)
        )[pair]
        weight = self.weights[pairs.way, pairs.habit[pair]]
        mass = np.empty((len(SIGMAS_DEG), len(reading)))
        each = np.empty((len(SIGMAS_DEG), len(pair)), np.float32)
        for index, sigma in enumerate(SIGMAS_DEG):
            own = np.where(bent, sigma**2, RECKONED_SIGMA_DEG**2)[pair]
            each[index] = weight * _heavy_tailed(squared, own, fixed)
            mass[index] = np.add.reduceat(each[index], pairs.starts) + self.background[row]
        # The posteriors of habit and sigma have heard this reading already: within each of them the
        # ways share its probability.
        held = self.fit.joint[pairs.person, pairs.habit].T / mass
        probability = np.einsum("sw,sw->w", each, held[:, pair])
        unexplained = summed(held.sum(axis=0) * self.background[row], reading, len(chosen))
        return probability, unexplained

    def _off(self, chosen: Indices, around: Surroundings, pairs: _Pairs) -> Floats:
        """How probable it is for each pair that the compass is off: (pairs,)."""
        offset_deg = OFFSETS_DEG[None, :] + around.compass_offset_deg[pairs.reading][:, None]
        beyond = biases.beyond(biases.FAULT_DEG, offset_deg)
        off = (self.fit.offset[pairs.person, pairs.habit] * beyond).sum(axis=1)
        return np.where(self.arrays.needle[self.arrays.task[chosen][pairs.reading]], off, 0.0)

    def _slips(self, pairs: _Pairs, probability: Floats, unexplained: Floats) -> Floats:
        """How often each slip is expected: (codes,). A persistent cause that is not the person's
        habit is a slip.
        """
        habit, slip = self.residuals.habit[pairs.way], self.residuals.slip[pairs.way]
        slips = summed(probability, slip, len(CODES))
        once = (habit != INDEX["ok"]) & (habit != HABIT_CODES[pairs.habit[pairs.pair]])
        slips += summed(probability * once, habit, len(CODES))
        slips[INDEX["ok"]] -= (probability * once * (slip == INDEX["ok"])).sum()
        slips[INDEX["unexplained"]] += unexplained.sum()
        return slips


def _heavy_tailed(squared: Floats, own_var: Floats, fixed_var: Floats) -> Floats:
    """The density f of the scatter: mostly narrow, sometimes wide."""
    narrow = (1.0 - TAIL_SHARE) * _density(squared, own_var + fixed_var)
    wide = TAIL_SHARE * _density(squared, own_var * TAIL_WIDER**2 + fixed_var)
    return narrow + wide


def _density(squared: Floats, variance: Floats) -> Floats:
    return np.exp(-0.5 * squared / variance) / np.sqrt(2.0 * np.pi * variance)
