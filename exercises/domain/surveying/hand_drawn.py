"""What a hand makes of position lines on a sheet: the middle of the places where they cut each
other, and how far such middles scatter.

Hands do not weigh lines as least squares does (`position_lines.cross`): a pair that cuts at a flat
angle pulls the middle as much as one that cuts at a right angle. Lines that meet badly are no
straight matter either, so the scatter is reckoned from drawings, not from slopes.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from ..earth import ellipse
from ..earth.ellipse import SCALE_95, Ellipse
from ..earth.geodesy import EastNorth
from ..words import say
from .position_lines import NEAREST_M, NoCrossing, PositionLine

Floats = NDArray[np.float64]
Booleans = NDArray[np.bool_]
Indices = NDArray[np.intp]

FLATTEST_DEG = 5.0  # nobody believes the cut of lines that hardly cut; common practice, no source
# Drawings of each sign. Against 3,000 random drawings of 600 geometries 512 hold 94.8 % where they
# say 95, 128 hold 93.9 %.
DRAWINGS = 512
HELD = 0.95
ROUNDS = 4  # after which the shape of an ellipse hardly moves
MOST_KEPT = 4096  # of middles, asked for again by the key, the check and the diagnosis
LEAST_SQUARE_M2 = 1e-12  # of an axis: lines without uncertainty leave a point


@dataclass(frozen=True)
class Middle:
    """Where a hand finds the place: metres east and north, and the ellipse of such drawings about
    it, of which 2.448 times the axes hold 95 in 100."""

    east_m: float
    north_m: float
    ellipse: Ellipse


@functools.lru_cache(maxsize=MOST_KEPT)
def middle(lines: tuple[PositionLine, ...]) -> Middle:
    """The middle of the places where lines cut each other, as `Middle`; of three that do not meet,
    the middle of the corners of the triangle of error. Cuts of less than FLATTEST_DEG are left out,
    in each drawing as it comes out. Raises NoCrossing where no cut is left.

    The ellipse holds 95 % of 2 * DRAWINGS drawings, in which the bearings are off by their
    uncertainties (`PositionLine.sigma_deg`, with that of the known point, and `common_deg` alike in
    all). The same drawings each time, so that a key comes out the same: Halton's sequence (1960,
    Numerische Mathematik 2, 84-90) and its mirror image, through the normal distribution. The shape
    is that of the inner 95 %, for drawings of flat cuts have no variance. Checked against random
    drawings that share no code with it in tests/domain/test_hand_drawn.py.

    >>> found = middle((PositionLine("A", 0, 0, 45, 1), PositionLine("B", 100, 0, 315, 1)))
    >>> round(found.east_m), round(found.north_m)
    (50, 50)
    """
    sheet, (east_m, north_m) = _Sheet.of(lines), place_of(lines)
    place = np.array([east_m, north_m])
    drawn = sheet.middles(sheet.turns_deg(lines, place))
    off = drawn[~np.isnan(drawn[:, 0])] - place
    return Middle(east_m, north_m, _holding(off))


def place_of(lines: Sequence[PositionLine]) -> EastNorth:
    """The middle of the places where lines cut each other, metres east and north, without its
    ellipse. Raises NoCrossing.
    """
    ((east_m, north_m),) = _Sheet.of(lines).middles(np.zeros((1, len(lines))))
    if math.isnan(east_m):
        raise NoCrossing(
            say("The bearings run alongside each other: their lines do not meet in one place.")
        )
    return float(east_m), float(north_m)


def longest_side_m(lines: Sequence[PositionLine]) -> float:
    """How far apart the cuts of lines lie at most, metres: the longest side of the triangle of
    error. Cuts that nobody believes are no corners; of two lines, which always meet, it is 0.
    """
    return float(_Sheet.of(lines).widest_m(np.zeros((1, len(lines))))[0])


@functools.lru_cache(maxsize=MOST_KEPT)
def usual_side_m(lines: tuple[PositionLine, ...]) -> float:
    """The longest side of the triangle of error of every second drawing of sound bearings, metres:
    the median of the drawings of `middle`. Raises NoCrossing.
    """
    sheet = _Sheet.of(lines)
    turns_deg = sheet.turns_deg(lines, np.array(place_of(lines)))
    return float(np.median(sheet.widest_m(turns_deg)))


@dataclass(frozen=True)
class _Sheet:
    """Lines as arrays. `known`: (lines, 2), metres east and north of the known points;
    `bearing_deg`: (lines,); `one`, `other`: (pairs,), which lines cut each other.
    """

    known: Floats
    bearing_deg: Floats
    one: Indices
    other: Indices

    @classmethod
    def of(cls, lines: Sequence[PositionLine]) -> _Sheet:
        """Those of some lines."""
        one, other = _pairs(len(lines))
        known = np.array([(line.east_m, line.north_m) for line in lines])
        return cls(known, np.array([line.bearing_deg for line in lines]), one, other)

    def cuts(self, turns_deg: Floats) -> tuple[Floats, Booleans]:
        """Where lines cut that are turned, `turns_deg`: (drawings, lines). Metres east and north:
        (drawings, pairs, 2), and which of them count: (drawings, pairs).
        """
        bearing = np.radians(self.bearing_deg + turns_deg)
        s, c = np.sin(bearing), np.cos(bearing)
        sine = s[:, self.one] * c[:, self.other] - c[:, self.one] * s[:, self.other]
        counts = np.abs(sine) >= math.sin(math.radians(FLATTEST_DEG))
        east, north = (self.known[self.other] - self.known[self.one]).T
        reach = east * c[:, self.other] - north * s[:, self.other]
        along = np.divide(reach, sine, out=np.zeros_like(sine), where=counts)[..., None]
        towards = np.stack([s[:, self.one], c[:, self.one]], axis=-1)
        return self.known[self.one] + along * towards, counts

    def middles(self, turns_deg: Floats) -> Floats:
        """The middles of the cuts that count, metres east and north: (drawings, 2); NaN without."""
        cuts, counts = self.cuts(turns_deg)
        number = counts.sum(axis=1)[:, None]
        total = (cuts * counts[..., None]).sum(axis=1)
        return np.divide(total, number, out=np.full_like(total, np.nan), where=number > 0)

    def widest_m(self, turns_deg: Floats) -> Floats:
        """How far apart the cuts that count lie at most, metres: (drawings,)."""
        cuts, counts = self.cuts(turns_deg)
        one, other = _pairs(cuts.shape[1])
        side = np.hypot(*np.moveaxis(cuts[:, one] - cuts[:, other], -1, 0))
        return np.asarray((side * (counts[:, one] & counts[:, other])).max(axis=1, initial=0.0))

    def turns_deg(self, lines: Sequence[PositionLine], place: Floats) -> Floats:
        """By how much each line is turned in each drawing: (drawings, lines)."""
        far_m = np.maximum(np.hypot(*(place - self.known).T), NEAREST_M)
        common = np.array([line.common_deg for line in lines])
        known = np.degrees(np.array([line.known_m for line in lines]) / far_m)
        total = np.hypot([line.sigma_deg for line in lines], known)
        own = np.sqrt(np.maximum(0.0, total**2 - common**2))
        deviates = _deviates(len(lines) + 1)
        return deviates[:, :-1] * own + deviates[:, -1:] * common


@functools.cache
def _pairs(number: int) -> tuple[Indices, Indices]:
    """Of some things every two, as two lists of indices: (pairs,) each."""
    return np.triu_indices(number, k=1)


@functools.cache
def _deviates(dimensions: int) -> Floats:
    """Standard normal deviates that fill their space evenly: (2 * DRAWINGS, dimensions)."""
    bases = (2, 3, 5, 7, 11, 13, 17, 19, 23)[:dimensions]
    normal = NormalDist()
    half = np.array(
        [
            [normal.inv_cdf(_mirrored_digits(number, base)) for base in bases]
            for number in range(1, DRAWINGS + 1)
        ]
    )
    return np.concatenate([half, -half])


def _mirrored_digits(number: int, base: int) -> float:
    """A whole number's digits in a base, mirrored at the point: 6 = 110 in base 2 is 0.011.

    >>> [_mirrored_digits(number, 2) for number in (1, 2, 3, 6)]
    [0.5, 0.25, 0.75, 0.375]
    """
    value, place = 0.0, 1.0
    while number:
        number, digit = divmod(number, base)
        place /= base
        value += digit * place
    return value


def _holding(off: Floats) -> Ellipse:
    """The ellipse about the origin that holds HELD of some offsets, (drawings, 2), with 2.448 times
    its axes, shaped as these lie.
    """
    held, inner = math.ceil(HELD * len(off)), off
    for _ in range(ROUNDS):
        square = inner.T @ inner / len(inner) + LEAST_SQUARE_M2 * np.eye(2)
        distance = (off @ np.linalg.inv(square) * off).sum(axis=1)
        nearest = np.argpartition(distance, held - 1)[:held]
        inner = off[nearest]
    square = square * float(distance[nearest[-1]]) / SCALE_95**2
    return ellipse.from_covariance(square[0, 0], square[1, 1], square[0, 1])
