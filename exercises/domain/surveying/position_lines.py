"""A position from bearings: lines of known points that meet in it (resection, intersection), by
least squares, with its error ellipse.

On flat ground, metres east and north. A line has no end: who draws a back bearing the wrong way out
draws the same line.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..earth import ellipse
from ..earth.angles import difference, wrap
from ..earth.ellipse import Ellipse
from ..words import say

Floats = NDArray[np.float64]

# lines that meet at less hardly say where; FM 3-25.26 ch. 6 from memory: best 90, avoid under 30 or
# over 150
LEAST_CUT_DEG = 30.0
PARALLEL_DEG = 1.0
ROUNDS, CLOSE_M, WORST_CONDITION = 40, 1e-6, 1e9
NEAREST_M = 1.0  # a line's weight does not grow beyond this nearness


class NoCrossing(ValueError):
    """Lines that do not meet in one place."""


@dataclass(frozen=True)
class PositionLine:
    """A line through a known point: its code, where it is, the true bearing from it to the place
    sought in degrees, the bearing's standard uncertainty in degrees, that of the known point across
    the line in metres, and the part of the bearing's that all lines have alike (the declination's)
    in degrees."""

    point: str
    east_m: float
    north_m: float
    bearing_deg: float
    sigma_deg: float
    known_m: float = 0.0
    common_deg: float = 0.0

    def turned(self, degrees: float) -> PositionLine:
        """The same line turned about its point."""
        return replace(self, bearing_deg=wrap(self.bearing_deg + degrees))


@dataclass(frozen=True)
class Crossing:
    """Where lines meet: metres east and north, the standard error ellipse from the lines'
    uncertainties, and the best cut between two lines in (0, 90]."""

    east_m: float
    north_m: float
    ellipse: Ellipse
    cut_deg: float


def cross(lines: Sequence[PositionLine]) -> Crossing:
    """Where two or more position lines meet, as `Crossing`: the place from which the bearings miss
    least, each weighed by its uncertainty.

    Gauss-Newton on the residuals of the bearings, begun at the place nearest to the lines. Raises
    NoCrossing for fewer than two lines, and for lines that run within a degree of one another.
    Source: Mikhail & Ackermann (1976), Observations and Least Squares, 5.4 and 9.2 (from memory);
    checked against a search that shares no code with it in tests/domain/test_position_lines.py.

    >>> crossing = cross([PositionLine("A", 0, 0, 45, 1), PositionLine("B", 100, 0, 315, 1)])
    >>> round(crossing.east_m), round(crossing.north_m), round(crossing.cut_deg)
    (50, 50, 90)
    """
    cut_deg = max((cut(one, other) for one, other in itertools.combinations(lines, 2)), default=0.0)
    if cut_deg < PARALLEL_DEG:
        raise NoCrossing(
            say("The bearings run alongside each other: their lines do not meet in one place.")
        )
    place, slope = _least_misses(_Drawn.of(lines))
    weights = slope.T @ slope
    if np.linalg.cond(weights) > WORST_CONDITION:
        raise NoCrossing(
            say("The bearings contradict each other: their lines do not meet in one place.")
        )
    normal = np.linalg.inv(weights)
    east, north = map(float, place)
    return Crossing(
        east, north, ellipse.from_covariance(normal[0, 0], normal[1, 1], normal[0, 1]), cut_deg
    )


@dataclass(frozen=True)
class _Drawn:
    """Lines as arrays. `known`: (lines, 2), metres east and north of the known points; `across`:
    (lines, 2), unit vectors across the lines; `sigma`: (lines,), of the bearings in radians;
    `known_m`: (lines,), of the known points.
    """

    known: Floats
    across: Floats
    sigma: Floats
    known_m: Floats

    @classmethod
    def of(cls, lines: Sequence[PositionLine]) -> _Drawn:
        """Those of some lines."""
        bearing = np.radians([line.bearing_deg for line in lines])
        return cls(
            known=np.array([(line.east_m, line.north_m) for line in lines]),
            across=np.stack([np.cos(bearing), -np.sin(bearing)], axis=1),
            sigma=np.radians([line.sigma_deg for line in lines]),
            known_m=np.array([line.known_m for line in lines]),
        )

    def nearest(self) -> Floats:
        """The place nearest to the lines: (2,)."""
        offsets = (self.across * self.known).sum(axis=1)
        return np.asarray(np.linalg.lstsq(self.across, offsets, rcond=None)[0])

    def residuals(self, place: Floats) -> tuple[Floats, Floats]:
        """Sines of the angles by which the bearings miss a place, over their uncertainty: (lines,);
        and their slopes per metre: (lines, 2).
        """
        away = place - self.known
        far = np.maximum(np.hypot(*away.T), NEAREST_M)
        sine = (self.across * away).sum(axis=1) / far
        sigma = np.hypot(self.sigma, self.known_m / far)
        slope = (self.across - sine[:, None] * away / far[:, None]) / (far * sigma)[:, None]
        return sine / sigma, slope


def _least_misses(drawn: _Drawn) -> tuple[Floats, Floats]:
    """The place that the bearings miss least, and the slopes there, by Gauss-Newton."""
    place = drawn.nearest()
    off, slope = drawn.residuals(place)
    for _ in range(ROUNDS):
        step = np.linalg.lstsq(slope, -off, rcond=None)[0]
        after, slope_after = drawn.residuals(place + step)
        while after @ after > off @ off and np.hypot(*step) > CLOSE_M:
            step = step / 2.0  # too far: lines that meet badly are no straight matter
            after, slope_after = drawn.residuals(place + step)
        place, off, slope = place + step, after, slope_after
        if np.hypot(*step) < CLOSE_M:
            break
    return place, slope


def cut(one: PositionLine, other: PositionLine) -> float:
    """The angle at which two lines cut, in [0, 90] degrees."""
    apart = abs(difference(one.bearing_deg, other.bearing_deg))
    return min(apart, 180.0 - apart)
