"""How probable each reading is, given its person's habit and scatter and all that bends the needle.

    P(r) = clear (followed A_h + (1 - followed) A_0) + careless B_h + junk + copied

A is the density of sound readings round what the habit makes of the answer (`scatter`), B that of
slips (`slip_table`), junk an answer that comes of nothing, copied one that stands in the answers of
those who were here just before; clear is what is left for sound readings. README.md of this room
has the model.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import scatter
from .arrays import Flags, Floats, Indices, Singles
from .class_arrays import ClassArrays
from .priors import Rates
from .residuals import Residuals
from .slip_table import SlipTable
from .way_weights import WayWeights
from .written_numbers import of_writing

LEAST_PROBABILITY = np.float32(1e-12)


@dataclass(frozen=True)
class Traits:
    """What is thought of each person beyond habit and scatter, (people,): `careless`, by how much
    oftener than their class they slip; `followed`, how often they follow a habit they have;
    `copied`, the share of their answers taken over from others.
    """

    careless: Floats
    followed: Floats
    copied: Floats

    @staticmethod
    def usual(people: int, rates: Rates) -> Traits:
        """Those of people of whom nothing is known."""
        return Traits(
            np.ones(people), np.full(people, rates.followed), np.full(people, rates.copied)
        )


class ReadingLikelihood:
    """The likelihood of a class's readings under some rates and traits."""

    def __init__(
        self,
        arrays: ClassArrays,
        residuals: Residuals,
        table: SlipTable,
        rates: Rates,
        traits: Traits,
    ) -> None:
        self.arrays, self.sound, self.table = arrays, residuals.sound, table
        self.weights, self.shares = WayWeights(rates), scatter.parts(rates.tail, rates.poor)
        self.fixed_var = fixed_var(arrays, residuals)
        person = arrays.person
        self.careless = traits.careless[person]
        self.followed = traits.followed[person]
        self.copied = traits.copied[person] * arrays.seen_before
        self.junk = self.weights.junk * residuals.cell_deg[arrays.row] / 360.0
        self.clear = clear(self.weights, self.careless, traits.copied[person])
        self.writing = of_writing(arrays.number_deg, arrays.fives[person])
        self.slip = self.careless * self.writing
        self.replies = None
        if arrays.heard:
            self.slip *= arrays.heard.slip
            self.junk *= arrays.heard.nothing
            self.copied *= arrays.heard.nothing
            self.replies = arrays.heard.sound.astype(np.float32)
        self.half_deg = self.sound.half_width_deg[arrays.row]
        self.is_cell = self.half_deg > scatter.WIDE_CELL_DEG

    def acts_as(self, readings: Indices) -> Indices:
        """What is left of each habit at the tasks of some readings: (readings, habits)."""
        left: Indices = self.sound.acts_as[self.arrays.row[readings]]
        return left

    def probability(
        self, reading: Indices, habit: Indices, x_deg: Floats, sigma_deg: Floats
    ) -> Singles:
        """The probabilities of some readings, each by a habit: `x_deg` (n, k) is what bends the
        needle, `sigma_deg` (sigmas,) or (n, sigmas) the person's scatter. (n, k, sigmas)
        """
        row = self.arrays.row[reading]
        acts = self.sound.acts_as[row, habit]
        has_needle = self.arrays.has_needle[reading]
        x_deg = np.where(has_needle[:, None], x_deg, 0.0).astype(np.float32)
        own_var = np.where(
            has_needle[:, None], np.square(sigma_deg), scatter.RECKONED_SIGMA_DEG**2
        ).astype(np.float32)
        part = self._sound(reading, acts, x_deg, own_var) * self._reply(reading, acts)
        differs = np.flatnonzero(acts)
        if len(differs):
            plain = self._sound(
                reading[differs], np.zeros_like(differs), x_deg[differs], own_var[differs]
            )
            plain *= self._reply(reading[differs], np.zeros_like(differs))
            followed = _single(self.followed[reading[differs]])
            part[differs] = followed * part[differs] + (1 - followed) * plain
        slips = self.table.along(row, acts, x_deg)[:, :, None]
        part *= _single(self.clear[reading] * self.writing[reading])
        part += slips * _single(self.slip[reading])
        part += _single(self.junk[reading] + self.copied[reading]) + LEAST_PROBABILITY
        return part

    def _reply(self, reading: Indices, acts: Indices) -> Singles | float:
        """How probable what was replied is, where nothing happened but what acts of a habit."""
        return 1.0 if self.replies is None else _single(self.replies[reading, acts])

    def _sound(self, reading: Indices, acts: Indices, x_deg: Floats, own_var: Singles) -> Singles:
        """The probabilities of sound readings by what acts of a habit: (n, k, sigmas)."""
        row = self.arrays.row[reading]
        sign, residual = self.sound.sign[row, acts], self.sound.residual_deg[row, acts]
        position = np.where(sign != 0, sign, 1) * residual
        off = wrapped(position.astype(np.float32)[:, None] - x_deg)[:, :, None]
        own, fixed = own_var[:, None, :], _single(self.fixed_var[reading])
        density = _single(self.sound.density[row, acts])
        is_cell = self.is_cell[reading]
        if not is_cell.any():
            return density * scatter.mixture(off, None, own, fixed, self.shares)
        found = np.empty((len(reading), x_deg.shape[1], own.shape[2]), np.float32)
        for chosen, half in (
            (np.flatnonzero(~is_cell), None),
            (np.flatnonzero(is_cell), self.half_deg[reading]),
        ):
            widths = None if half is None else _single(half[chosen])
            found[chosen] = density[chosen] * scatter.mixture(
                off[chosen], widths, own[chosen], fixed[chosen], self.shares
            )
        return found


def clear(weights: WayWeights, careless: Floats, copied: Floats) -> Floats:
    """How often nothing happens but the habit, for people as careless: as `careless`."""
    left: Floats = 1.0 - careless * weights.slip_share - weights.junk - copied
    return np.maximum(left, LEAST_CLEAR)


LEAST_CLEAR = 0.05


def fixed_var(arrays: ClassArrays, residuals: Residuals) -> Floats:
    """The variance of each reading that is not its person's: (readings,), square degrees."""
    return arrays.answer_sigma_deg[arrays.task] ** 2 + residuals.rounding_var[arrays.row]


def wrapped(degrees: Floats) -> Floats:
    """Angles in [-180, 180]."""
    turns: Floats = np.rint(degrees * (1.0 / 360.0))
    return degrees - 360.0 * turns


def _single(values: Floats | Flags | Singles) -> Singles:
    """One value a reading, to go with (n, k, sigmas)."""
    return np.asarray(values, np.float32)[:, None, None]
