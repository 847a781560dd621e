"""A position from bearings: lines of known points that meet in it (resection, intersection), by
least squares, with its error ellipse.

On flat ground, metres east and north. A line has no end: who draws a back bearing the wrong way out
draws the same line.
"""

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np

from ..earth import ellipse
from ..earth.angles import difference, wrap
from ..earth.ellipse import Ellipse
from ..words import say

# lines that meet at less hardly say where; FM 3-25.26 ch. 6 from memory: best 90, avoid under 30 or
# over 150
LEAST_CUT_DEG = 30.0
PARALLEL_DEG = 1.0
FLATTEST_DEG = 5.0  # nobody believes the cut of lines that hardly cut; common practice, no source
STEP_DEG = 0.01
ROUNDS, CLOSE_M, WORST_CONDITION = 40, 1e-6, 1e9
NEAREST_M = 1.0  # a line's weight does not grow beyond this nearness


class NoCrossing(ValueError):
    """Lines that do not meet in one place."""


@dataclass(frozen=True)
class PositionLine:
    """A line through a known point: its code, where it is, the true bearing from it to the place
    sought in degrees, the bearing's standard uncertainty in degrees, and that of the known point
    across the line in metres."""

    point: str
    east_m: float
    north_m: float
    bearing_deg: float
    sigma_deg: float
    known_m: float = 0.0

    def turned(self, degrees):
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


def cross(lines):
    """Where two or more position lines meet, as `Crossing`: the place from which the bearings miss
    least, each weighed by its uncertainty.

    Gauss-Newton on the residuals of the bearings, begun at the place nearest to the lines. Raises
    NoCrossing for fewer than two lines, and for lines that run within a degree of one another.
    Source: Mikhail & Ackermann (1976), Observations and Least Squares, 5.4 and 9.2 (from memory);
    checked against a search that shares no code with it in tests/domain/test_position_lines.py.

    >>> found = cross([PositionLine("A", 0, 0, 45, 1), PositionLine("B", 100, 0, 315, 1)])
    >>> round(found.east_m), round(found.north_m), round(found.cut_deg)
    (50, 50, 90)
    """
    cut_deg = max((cut(one, other) for one, other in itertools.combinations(lines, 2)), default=0.0)
    if cut_deg < PARALLEL_DEG:
        raise NoCrossing(
            say("The bearings run alongside each other: their lines do not meet in one place.")
        )
    known = np.array([(line.east_m, line.north_m) for line in lines])
    bearing = np.radians([line.bearing_deg for line in lines])
    across = np.stack([np.cos(bearing), -np.sin(bearing)], axis=1)
    sigma_deg, known_m = (
        np.array([line.sigma_deg for line in lines]),
        np.array([line.known_m for line in lines]),
    )

    def residuals(place):
        """Sines of the angles by which the bearings miss a place, over their uncertainty, and their
        slopes per metre.
        """
        away = place - known
        far = np.maximum(np.hypot(*away.T), NEAREST_M)
        sine, sigma = (
            (across * away).sum(axis=1) / far,
            np.hypot(np.radians(sigma_deg), known_m / far),
        )
        return sine / sigma, (across - sine[:, None] * away / far[:, None]) / (far * sigma)[:, None]

    place = np.linalg.lstsq(across, (across * known).sum(axis=1), rcond=None)[0]
    off, slope = residuals(place)
    for _ in range(ROUNDS):
        step = np.linalg.lstsq(slope, -off, rcond=None)[0]
        while (after := residuals(place + step))[0] @ after[0] > off @ off and np.hypot(
            *step
        ) > CLOSE_M:
            step = step / 2.0  # too far: lines that meet badly are no straight matter
        place, (off, slope) = place + step, after
        if np.hypot(*step) < CLOSE_M:
            break
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


def middle(lines):
    """What a hand makes of lines on a sheet: the middle of the places where they cut each other,
    `(east, north, ellipse)`; of three that do not meet, the middle of the triangle of error. Cuts
    of less than FLATTEST_DEG are left out. The ellipse is that of the bearings' uncertainties, to
    first order. Raises NoCrossing.
    """
    pairs = [
        (one, other)
        for one, other in itertools.combinations(range(len(lines)), 2)
        if cut(lines[one], lines[other]) >= FLATTEST_DEG
    ]
    if not pairs:
        raise NoCrossing(
            say("The bearings run alongside each other: their lines do not meet in one place.")
        )

    def of(lines):
        return np.mean([_cut_of(lines[one], lines[other]) for one, other in pairs], axis=0)

    place, covariance = of(lines), np.zeros((2, 2))
    for at, line in enumerate(lines):
        far_m = max(math.dist(place, (line.east_m, line.north_m)), NEAREST_M)
        sigma_deg = math.hypot(line.sigma_deg, math.degrees(line.known_m / far_m))
        turned = [line.turned(STEP_DEG) if index == at else one for index, one in enumerate(lines)]
        slope = (of(turned) - place) / STEP_DEG * sigma_deg
        covariance += np.outer(slope, slope)
    return (
        float(place[0]),
        float(place[1]),
        ellipse.from_covariance(covariance[0, 0], covariance[1, 1], covariance[0, 1]),
    )


def _cut_of(one, other):
    """Where two lines cut, metres east and north."""
    a, b = math.radians(one.bearing_deg), math.radians(other.bearing_deg)
    east, north = other.east_m - one.east_m, other.north_m - one.north_m
    along = (east * math.cos(b) - north * math.sin(b)) / math.sin(a - b)
    return one.east_m + along * math.sin(a), one.north_m + along * math.cos(a)


def cut(one, other):
    """The angle at which two lines cut, in [0, 90] degrees."""
    apart = abs(difference(one.bearing_deg, other.bearing_deg))
    return min(apart, 180.0 - apart)
