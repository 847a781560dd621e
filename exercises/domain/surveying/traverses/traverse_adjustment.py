"""A surveyed traverse: legs by compass or theodolite and tape from a known point to a known point,
or back to where it began; how far it fails to close, and where its corners are.

On flat ground: metres east and north of the start, true bearings. Each bearing is read for itself,
as with a compass, not carried forward by angles. Adjusted twice: by Bowditch's rule (the compass
rule: the misclosure shared out by the legs' lengths), which is what surveyors work by hand, and by
least squares with conditions, which knows how good each bearing, each distance and each known point
is, and so gives ellipses. Sources: Bowditch (1808) in any surveying text; Mikhail & Ackermann
(1976), Observations and Least Squares, chapter 8 (conditions), from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...earth.angles import wrap
from ...earth.ellipse import Ellipse, from_covariance
from ...earth.geodesy import EastNorth
from ..traverse import Leg, Misclosure, corners, misclosure
from .leg_sets import MeanLeg

Floats = NDArray[np.float64]

# how improbable a misclosure is before it is not believed; common practice of surveyors' tests
UNBELIEVABLE = 0.05
CLOSED_M = 0.0005  # what cannot be told from closing, when distances are told to the millimetre
ROUNDS, SETTLED = 30, 1e-10


@dataclass(frozen=True)
class MeasuredLeg:
    """One leg of a traverse: true bearing and distance with their standard uncertainties, and how
    many measurements each is the mean of. `turned_deg` is what was added to the bearing as read to
    make it true.
    """

    bearing_deg: float
    distance_m: float
    bearing_error_deg: float
    distance_error_m: float
    turned_deg: float = 0.0
    bearings: int = 1
    distances: int = 1

    @classmethod
    def of_set(cls, leg: MeanLeg, turned_deg: float) -> MeasuredLeg:
        """A leg by its set, turned into true by some degrees."""
        return cls(
            wrap(leg.bearing.value + turned_deg),
            leg.distance.value,
            leg.bearing.standard_error,
            leg.distance.standard_error,
            turned_deg,
            leg.bearing.number,
            leg.distance.number,
        )

    @property
    def leg(self) -> Leg:
        """The leg alone."""
        return Leg(self.bearing_deg, self.distance_m)


@dataclass(frozen=True)
class Traverse:
    """Legs from a start at the origin to an end, metres east and north of it, with the standard
    error ellipses of both; an `end` of None means that it goes back to the start. `turn_error_deg`
    is the standard uncertainty of what turns all bearings alike, such as the declination.
    """

    legs: tuple[MeasuredLeg, ...]
    start: Ellipse
    end_at: EastNorth = (0.0, 0.0)
    end: Ellipse | None = None
    turn_error_deg: float = 0.0

    def with_leg(self, number: int, leg: MeasuredLeg) -> Traverse:
        """The traverse with one leg as it may really be; legs are numbered from 0."""
        return replace(self, legs=(*self.legs[:number], leg, *self.legs[number + 1 :]))

    def misclosure(self) -> Misclosure:
        """How far the legs as measured miss the end."""
        return misclosure([leg.leg for leg in self.legs], *self.end_at)


@dataclass(frozen=True)
class Conditions:
    """The two conditions that a traverse closes, east and north, about values of what was measured:
    `missed` (2,), metres; `slopes` (2, measured); `variances` (measured, measured). What was
    measured is bearings in radians, distances, the common turn in radians, start and end, east then
    north.
    """

    missed: Floats
    slopes: Floats
    variances: Floats

    def covariance(self) -> Floats:
        """Of the misclosure, (2, 2), square metres: what the stated uncertainties allow."""
        return np.asarray(self.slopes @ self.variances @ self.slopes.T, dtype=np.float64)


@dataclass(frozen=True)
class Corner:
    """Where a leg ends, metres east and north of the start: as measured, by Bowditch's rule, by
    least squares, and the standard error ellipse of the last.
    """

    measured: EastNorth
    bowditch: EastNorth
    adjusted: EastNorth
    ellipse: Ellipse


@dataclass(frozen=True)
class Adjustment:
    """A traverse adjusted. `allowed_m` is the standard uncertainty of the misclosure's length by
    what was stated; `variance_factor` is chi-squared over its two degrees of freedom; `chance` is
    how probable a misclosure as bad is by chance alone. Corners are those where legs end.
    """

    misclosure: Misclosure
    allowed_m: float
    variance_factor: float
    chance: float
    corners: tuple[Corner, ...]

    @property
    def ratio(self) -> float | None:
        """The n of the precision ratio 1:n, length of the way over misclosure; None where it
        closes.
        """
        missed_m = self.misclosure.linear_m
        return self.misclosure.length_m / missed_m if missed_m >= CLOSED_M else None

    @property
    def is_believable(self) -> bool:
        """Whether chance alone may have made the misclosure."""
        return self.chance >= UNBELIEVABLE


def bowditch(traverse: Traverse) -> list[EastNorth]:
    """Where the legs end by the compass rule: each takes of the misclosure what its length is of
    the whole way.
    """
    missed = traverse.misclosure()
    gone_m, places = 0.0, []
    measured = corners([leg.leg for leg in traverse.legs])[1:]
    for leg, (east_m, north_m) in zip(traverse.legs, measured, strict=True):
        gone_m += leg.distance_m
        share = gone_m / missed.length_m
        places.append((east_m - share * missed.east_m, north_m - share * missed.north_m))
    return places


def angular_misclosure(legs: Sequence[MeanLeg]) -> float | None:
    """By how much the angles of a loop, each the difference of two bearings read at one corner,
    fail to add up to whole turns, in degrees; None unless every leg was read from both ends.

    The sum of (fore bearing of the next leg minus back bearing of the last) is that of all fore
    bearings minus reversed back bearings: what iron does to the bearings of one corner cancels in
    its angle. Positive: the fore bearings are too large.
    """
    off = [leg.fore_minus_back_deg for leg in legs]
    known = [degrees for degrees in off if degrees is not None]
    return math.fsum(known) if len(known) == len(legs) else None


def adjust(traverse: Traverse) -> Adjustment:
    """A traverse of two legs or more by Bowditch's rule and by least squares, as `Adjustment`.

    The misclosure's chi-squared has two degrees of freedom, so that its chance is exp(-chi2 / 2).
    Where it is larger than two, the ellipses grow by the root of the variance factor (Birge), never
    the other way: a traverse that closes well by luck is no better than its compass.
    """
    conditions, corrections, chi2 = _least_squares(traverse)
    factor = chi2 / 2.0
    legs = _corrected(traverse.legs, corrections)
    shift = corrections[_start_columns(len(legs))]
    first = conditions_of(traverse)
    ellipses = _ellipses(traverse, legs, conditions, max(1.0, factor))
    rows = zip(
        corners([leg.leg for leg in traverse.legs])[1:],
        bowditch(traverse),
        corners([leg.leg for leg in legs])[1:],
        ellipses,
        strict=True,
    )
    return Adjustment(
        traverse.misclosure(),
        math.sqrt(float(np.trace(first.covariance()))),
        factor,
        chance(first),
        tuple(
            Corner(measured, by_rule, (east + float(shift[0]), north + float(shift[1])), ellipse)
            for measured, by_rule, (east, north), ellipse in rows
        ),
    )


def chance(conditions: Conditions) -> float:
    """How probable a misclosure as bad as that of the conditions is by chance: chi-squared, two
    degrees of freedom.
    """
    missed = conditions.missed
    return math.exp(-0.5 * float(missed @ np.linalg.solve(conditions.covariance(), missed)))


def _least_squares(traverse: Traverse) -> tuple[Conditions, Floats, float]:
    """The conditions where they hold, the corrections (measured,) and chi-squared."""
    size = 2 * len(traverse.legs) + 5
    corrections = np.zeros(size)
    conditions, chi2 = conditions_of(traverse), 0.0
    for _ in range(ROUNDS):
        wanted = conditions.slopes @ corrections - conditions.missed
        correlates = np.linalg.solve(conditions.covariance(), wanted)
        step = conditions.variances @ conditions.slopes.T @ correlates
        chi2 = float(correlates @ wanted)
        moved = float(np.max(np.abs(step - corrections)))
        corrections = step
        conditions = conditions_of(traverse, corrections)
        if moved < SETTLED:
            break
    return conditions, corrections, chi2


def conditions_of(traverse: Traverse, corrections: Floats | None = None) -> Conditions:
    """The conditions of a traverse about what was measured, or about that with corrections
    (measured,).
    """
    legs, number = traverse.legs, len(traverse.legs)
    moved = np.zeros(2 * number + 5) if corrections is None else corrections
    corrected = _corrected(legs, moved)
    slopes = _slopes(corrected, number)
    miss = misclosure([leg.leg for leg in corrected], *traverse.end_at)
    missed = np.array([miss.east_m, miss.north_m])
    start = _start_columns(number)
    if traverse.end is None:
        slopes[:, start] = 0.0  # it ends where it begins, wherever that is
    else:
        slopes[:, -2:] = -np.eye(2)
        missed = missed + moved[start] - moved[-2:]
    return Conditions(missed, slopes, _variances(traverse))


def _start_columns(number: int) -> slice:
    """Where the start stands among what was measured."""
    return slice(2 * number + 1, 2 * number + 3)


def _corrected(legs: Sequence[MeasuredLeg], corrections: Floats) -> tuple[MeasuredLeg, ...]:
    """Legs with corrections (measured,) of bearings, distances and the common turn."""
    number = len(legs)
    turn = float(corrections[2 * number])
    return tuple(
        replace(
            leg,
            bearing_deg=wrap(leg.bearing_deg + math.degrees(float(corrections[place]) + turn)),
            distance_m=leg.distance_m + float(corrections[number + place]),
        )
        for place, leg in enumerate(legs)
    )


def _slopes(legs: Sequence[MeasuredLeg], upto: int) -> Floats:
    """How the end of the first legs moves with what was measured: (2, measured)."""
    number = len(legs)
    slopes = np.zeros((2, 2 * number + 5))
    for place, measured in enumerate(legs[:upto]):
        leg = measured.leg
        slopes[:, place] = leg.latitude_m, -leg.departure_m
        slopes[:, number + place] = _along(leg.bearing_deg)
        slopes[:, 2 * number] += slopes[:, place]
    slopes[:, _start_columns(number)] = np.eye(2)
    return slopes


def _along(bearing_deg: float) -> EastNorth:
    """East and north of one metre along a bearing."""
    return math.sin(math.radians(bearing_deg)), math.cos(math.radians(bearing_deg))


def _variances(traverse: Traverse) -> Floats:
    """Of what was measured: (measured, measured), radians and metres squared."""
    legs, number = traverse.legs, len(traverse.legs)
    sigmas = [math.radians(leg.bearing_error_deg) for leg in legs]
    sigmas += [leg.distance_error_m for leg in legs]
    sigmas += [math.radians(traverse.turn_error_deg), 0.0, 0.0, 0.0, 0.0]
    variances = np.diag(np.square(np.array(sigmas)))
    start = _start_columns(number)
    variances[start, start] = matrix(traverse.start)
    if traverse.end is not None:
        variances[-2:, -2:] = matrix(traverse.end)
    return variances


def matrix(ellipse: Ellipse) -> Floats:
    """The covariance matrix of an ellipse, (2, 2), east and north, square metres."""
    east, north, both = ellipse.covariance()
    return np.array([[east, both], [both, north]])


def _ellipses(
    traverse: Traverse, legs: Sequence[MeasuredLeg], conditions: Conditions, factor: float
) -> list[Ellipse]:
    """The standard error ellipse of where each leg ends, after least squares."""
    gain = conditions.variances @ conditions.slopes.T
    left = conditions.variances - gain @ np.linalg.solve(conditions.covariance(), gain.T)
    ellipses = []
    for number in range(1, len(legs) + 1):
        slopes = _slopes(legs, number)
        covariance = factor * (slopes @ left @ slopes.T)
        ellipses.append(
            from_covariance(
                float(covariance[0, 0]), float(covariance[1, 1]), float(covariance[0, 1])
            )
        )
    return ellipses
