"""Which leg of a traverse that does not close most probably holds the slip.

The classical rules: a wrong length leaves a closing error that runs along its leg, a wrong bearing
one across it (more exactly, along the chord by which the leg's end swings about its beginning, so
that the perpendicular bisector of the closing line, laid there, meets the leg's beginning). Here
they are likelihoods: each slip that one leg may hold is undone, and what is left of the misclosure
is judged by what the stated uncertainties allow. One slip is assumed; two numbers cannot tell more.

The rules from surveying texts: Ghilani & Wolf, Elementary Surveying, 10.16 (locating blunders in
traverse observations), from memory. Where bearings are carried forward by angles, a wrong angle
turns all that follows and the bisector goes through its corner; bearings read for themselves, as
here, do not do that.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from ...earth.angles import back, difference, wrap
from .traverse_adjustment import MeasuredLeg, Traverse, conditions_of

# volunteers with compass and tape in caves: one slip in 40 to 80 legs (L. Fish, "Blunder location",
# and another count); the middle of it
SLIPS_PER_LEG = 1 / 60
# of these, how many are of each kind; of written digits 10 to 20 % are exchanged (counts of
# written-number errors); the rest common practice, no source
SHARES = {
    "length": 0.35,
    "bearing": 0.35,
    "reversed": 0.1,
    "bearing_digits": 0.1,
    "length_digits": 0.1,
}
# how far a slipped length is off, one sigma: a tape's length, or a third of the leg; a slipped
# bearing: half of them by some labels of the dial, half by anything; common practice, no source
LENGTH_SLIP_M, LENGTH_SLIP_SHARE = 30.0, 1 / 3
BEARING_SLIP_DEG = 20.0
# the same slip in one more reading of the set: hardly ever; common practice, no source
REPEATED = 0.1
# without a slip: how much more than stated the measurements may scatter, and how often they do;
# common practice, no source
SCATTERS = ((1.0, 0.75), (1.7, 0.17), (3.0, 0.08))
# legs that run so nearly the same way (or opposite) leave closing errors that look alike
SAME_WAY_DEG = 15.0
# a leg is named when it is more probable than all else together, and three times the next
NAMED, CLEARLY = 0.5, 3.0
TURNS = 12  # of Gauss and Newton towards a bearing


@dataclass(frozen=True)
class Slip:
    """One slip that may explain a misclosure: the leg (numbered from 0), its cause (a code of
    SHARES), what the leg would be without it (true bearing, distance), how far the way would then
    miss, metres, and how probable it is.
    """

    number: int
    cause: str
    leg: MeasuredLeg
    left_m: float
    probability: float


@dataclass(frozen=True)
class Suspicion:
    """What a misclosure says about slips: all of them, the likeliest first, and how probable it is
    that there is none, but measurements that scatter more than was stated.
    """

    slips: tuple[Slip, ...]
    none_probability: float

    def of_leg(self, number: int) -> float:
        """How probable it is that a leg holds the slip."""
        return math.fsum(slip.probability for slip in self.slips if slip.number == number)

    def ranked(self) -> list[tuple[int, float]]:
        """The legs with how probable it is that each holds the slip, the likeliest first."""
        numbers = dict.fromkeys(slip.number for slip in self.slips)
        return sorted(
            ((number, self.of_leg(number)) for number in numbers), key=lambda leg: -leg[1]
        )

    @property
    def named(self) -> int | None:
        """The leg to look at, where one is much more probable than all else; or None."""
        (number, probability), (_, next_probability) = self.ranked()[:2]
        is_clear = probability > NAMED and probability >= CLEARLY * next_probability
        return number if is_clear else None

    def alike(self) -> tuple[int, ...]:
        """The legs that cannot be told apart because they run the same way or opposite: with the
        likeliest first; empty where a leg is named, or where that is not the reason.
        """
        if self.named is not None:
            return ()
        best = self.slips[0]
        same = [
            slip
            for slip in self.slips
            if slip.cause == best.cause
            and _between_lines(slip.leg.bearing_deg, best.leg.bearing_deg) <= SAME_WAY_DEG
        ]
        numbers = dict.fromkeys(slip.number for slip in same if slip.probability > 0.05)
        together = math.fsum(self.of_leg(number) for number in numbers)
        return tuple(numbers) if len(numbers) > 1 and together > NAMED else ()


def _between_lines(one_deg: float, other_deg: float) -> float:
    """The angle between two lines without an arrow, degrees in [0, 90]."""
    apart = abs(difference(one_deg, other_deg))
    return min(apart, 180.0 - apart)


# a leg as it may really be, with the natural logarithm of how probable the slip was
Candidate = tuple[MeasuredLeg, float]


def suspect(traverse: Traverse) -> Suspicion:
    """Which slip of which leg explains how far a traverse fails to close, as `Suspicion`.

    Bayes' rule over no slip and each kind of slip in each leg, with the slips' rates as priors. The
    free amount of a slipped length or bearing is integrated out (Laplace's method), so that a slip
    that could have been of any size is not believed for fitting.
    """
    found = [
        (number, cause, leg, _log_density(traverse.with_leg(number, leg)) + log_prior)
        for number, measured in enumerate(traverse.legs)
        for cause, candidates in CAUSES.items()
        for leg, log_prior in candidates(traverse, number, measured)
    ]
    logs = [log for *_, log in found]
    none = [
        _log_density(traverse, scatter) + math.log(share / SLIPS_PER_LEG)
        for scatter, share in SCATTERS
    ]
    highest = max(*logs, *none)
    total = math.fsum(math.exp(log - highest) for log in (*logs, *none))
    slips = [
        Slip(
            number,
            cause,
            leg,
            traverse.with_leg(number, leg).misclosure().linear_m,
            math.exp(log - highest) / total,
        )
        for number, cause, leg, log in found
    ]
    return Suspicion(
        tuple(sorted(slips, key=lambda slip: -slip.probability)),
        math.fsum(math.exp(log - highest) for log in none) / total,
    )


def _log_density(traverse: Traverse, scatter: float = 1.0) -> float:
    """How probable the misclosure is where nothing slipped, natural log of a density per square
    metre; uncertainties larger than stated by a factor.
    """
    conditions = conditions_of(traverse)
    covariance = conditions.covariance() * scatter**2
    chi2 = float(conditions.missed @ np.linalg.solve(covariance, conditions.missed))
    return -0.5 * (chi2 + float(np.log(np.linalg.det(covariance)))) - math.log(2.0 * math.pi)


def _share(cause: str, times: int) -> float:
    """The prior of a kind of slip in what was measured some times."""
    return SHARES[cause] * REPEATED ** (times - 1)


def _of_length(traverse: Traverse, number: int, leg: MeasuredLeg) -> Iterator[Candidate]:
    """The length that closes best, the direction kept."""
    sigma_m = max(LENGTH_SLIP_M, LENGTH_SLIP_SHARE * leg.distance_m)
    along = np.array(
        [math.sin(math.radians(leg.bearing_deg)), math.cos(math.radians(leg.bearing_deg))]
    )
    conditions = conditions_of(traverse)
    weighted = np.linalg.solve(conditions.covariance(), along)
    precision = float(along @ weighted) + sigma_m**-2
    slipped_m = float(conditions.missed @ weighted) / precision
    length_m = leg.distance_m - slipped_m
    if length_m > 0.0:
        log_prior = math.log(_share("length", leg.distances)) - 0.5 * (slipped_m / sigma_m) ** 2
        # density of the normal prior times the width that Laplace's method integrates over
        yield replace(leg, distance_m=length_m), log_prior - math.log(sigma_m * precision**0.5)


def _of_bearing(traverse: Traverse, number: int, leg: MeasuredLeg) -> Iterator[Candidate]:
    """The bearing that closes best, the length kept: the leg swung about its beginning."""
    conditions = conditions_of(traverse)
    weights = np.linalg.inv(conditions.covariance())
    east_m = leg.leg.departure_m - float(conditions.missed[0])
    north_m = leg.leg.latitude_m - float(conditions.missed[1])
    swung = replace(leg, bearing_deg=wrap(math.degrees(math.atan2(east_m, north_m))))
    for _ in range(TURNS):
        miss = traverse.with_leg(number, swung).misclosure()
        left = np.array([miss.east_m, miss.north_m])
        tangent = np.array([swung.leg.latitude_m, -swung.leg.departure_m])
        step = -float(tangent @ weights @ left) / float(tangent @ weights @ tangent)
        swung = replace(swung, bearing_deg=wrap(swung.bearing_deg + math.degrees(step)))
    width_deg = math.degrees(float(tangent @ weights @ tangent) ** -0.5)
    off = difference(leg.bearing_deg, swung.bearing_deg) / BEARING_SLIP_DEG
    narrow = math.exp(-0.5 * off**2) / (BEARING_SLIP_DEG * math.sqrt(2.0 * math.pi))
    density = 0.5 * narrow + 0.5 / 360.0
    yield (
        swung,
        math.log(_share("bearing", leg.bearings))
        + math.log(density * min(width_deg * math.sqrt(2.0 * math.pi), 360.0)),
    )


def _reversed(_traverse: Traverse, _number: int, leg: MeasuredLeg) -> Iterator[Candidate]:
    """The leg the other way round."""
    turned = replace(leg, bearing_deg=back(leg.bearing_deg))
    yield turned, math.log(_share("reversed", leg.bearings))


def _bearing_digits(_traverse: Traverse, _number: int, leg: MeasuredLeg) -> Iterator[Candidate]:
    """The bearings that have two neighbouring digits of the one that was written exchanged."""
    if leg.bearings > 1:
        return  # a mean is no number that anybody wrote
    written = round(wrap(leg.bearing_deg - leg.turned_deg), 6)
    whole = f"{int(written):03d}"
    others = [int(text) for text in _exchanged(whole) if int(text) <= 360]
    for other in others:
        bearing_deg = wrap(leg.bearing_deg + other - int(whole))
        yield (
            replace(leg, bearing_deg=bearing_deg),
            math.log(_share("bearing_digits", 1) / len(others)),
        )


def _length_digits(_traverse: Traverse, _number: int, leg: MeasuredLeg) -> Iterator[Candidate]:
    """The distances that have two neighbouring digits of the one that was written exchanged."""
    if leg.distances > 1:
        return
    others = [float(text) for text in _exchanged(f"{leg.distance_m:.6f}".rstrip("0").rstrip("."))]
    for other in others:
        if other > 0.0:
            yield (
                replace(leg, distance_m=other),
                math.log(_share("length_digits", 1) / len(others)),
            )


def _exchanged(text: str) -> list[str]:
    """A number's text with each two neighbouring digits exchanged, where that changes it; a decimal
    mark keeps its place.

    >>> _exchanged("41.5")
    ['14.5', '45.1']
    """
    places = [place for place, sign in enumerate(text) if sign.isdigit()]
    swapped = []
    for one, other in itertools.pairwise(places):
        if text[one] != text[other]:
            signs = list(text)
            signs[one], signs[other] = signs[other], signs[one]
            swapped.append("".join(signs))
    return swapped


CAUSES: dict[str, Callable[[Traverse, int, MeasuredLeg], Iterator[Candidate]]] = {
    "length": _of_length,
    "bearing": _of_bearing,
    "reversed": _reversed,
    "bearing_digits": _bearing_digits,
    "length_digits": _length_digits,
}
