"""Sets and means: a leg that was measured several times, from either end, as one bearing and one
distance with their standard errors.

Two readings of one compass say little about how well it reads, so that what the instrument is
stated to be good for counts beside what the set scatters (`PRIOR_FREEDOM`). What all readings of a
set share, such as iron at a corner, no repetition takes away: bearings read from both ends show it.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from ...earth.angles import back, circular_mean, difference, three_digits

# how many readings' scatter the stated uncertainty is worth beside that of the set: a scaled
# inverse chi-squared prior of the variance (Gelman et al., Bayesian Data Analysis, 2.6 and 3.2,
# from memory); its weight is common practice, no source
PRIOR_FREEDOM = 4.0
# of a reading of a set from their mean, in stated uncertainties; common practice, no source
STRANGE_SIGMAS = 3.5
# readings of one leg that differ by more than this point different ways
OTHER_WAY_DEG = 60.0


class OtherWay(ValueError):
    """Bearings of one leg that point different ways: there is no mean to take."""


@dataclass(frozen=True)
class Observed:
    """What one line of the field book says of a leg: the bearing read at its beginning, the one
    read at its end looking back, both in degrees from one north, and the horizontal distance in
    metres; None for what was not measured.
    """

    line: int
    fore_deg: float | None
    back_deg: float | None
    distance_m: float | None


@dataclass(frozen=True)
class Instruments:
    """Standard uncertainties of one measurement: of a bearing in degrees, and of a distance, some
    metres and a share of its length (0.02: two per cent), as root sum of squares.
    """

    bearing_deg: float
    distance_m: float
    distance_share: float = 0.0

    def of_distance(self, distance_m: float) -> float:
        """The standard uncertainty of one measurement of a distance, metres."""
        return math.hypot(self.distance_m, self.distance_share * distance_m)


@dataclass(frozen=True)
class SetMean:
    """The mean of a set: its value, how many measurements, their standard deviation (None for one),
    and the standard error of the mean.
    """

    value: float
    number: int
    spread: float | None
    standard_error: float


@dataclass(frozen=True)
class MeanLeg:
    """A leg from one corner to the next by its set: mean bearing in [0, 360) from the north in
    which it was read, mean distance in metres; by how much the fore bearings exceed the reversed
    back bearings, degrees (None where it was not read from both ends); and the lines of the field
    book in which a measurement lies strangely far from the others.
    """

    start: str
    to: str
    bearing: SetMean
    distance: SetMean
    fore_minus_back_deg: float | None
    strange_lines: tuple[int, ...]


def mean_of(values: Sequence[float], stated: float) -> SetMean:
    """The mean of numbers that were measured with a stated standard uncertainty, as `SetMean`.

    >>> mean_of([10.0, 10.2, 10.1], stated=0.1)
    SetMean(value=10.1, number=3, spread=0.1, standard_error=0.057735)
    """
    mean = math.fsum(values) / len(values)
    return _set_mean(mean, [value - mean for value in values], stated)


def mean_bearing(bearings_deg: Sequence[float], stated_deg: float) -> SetMean:
    """The mean direction of bearings that were read with a stated standard uncertainty, as
    `SetMean`. Raises OtherWay where they point different ways.

    >>> mean_bearing([359.0, 1.0], stated_deg=1.0).value
    0.0
    """
    first = bearings_deg[0]
    mean = circular_mean(bearings_deg)
    if mean is None or any(abs(difference(one, first)) > OTHER_WAY_DEG for one in bearings_deg):
        raise OtherWay
    return _set_mean(mean, [difference(one, mean) for one in bearings_deg], stated_deg)


def _set_mean(mean: float, residuals: Sequence[float], stated: float) -> SetMean:
    """A mean with its standard error, by the set's scatter and the stated uncertainty together."""
    number = len(residuals)
    squares = math.fsum(residual**2 for residual in residuals)
    freedom = number - 1
    variance = (PRIOR_FREEDOM * stated**2 + squares) / (PRIOR_FREEDOM + freedom)
    return SetMean(
        round(mean, 9),
        number,
        round(math.sqrt(squares / freedom), 9) if freedom else None,
        round(math.sqrt(variance / number), 6),
    )


def mean_leg(
    start: str, to: str, observed: Sequence[Observed], instruments: Instruments
) -> MeanLeg:
    """A leg from all that was observed of it, back bearings reversed, as `MeanLeg`. There must be a
    bearing and a distance among it. Raises OtherWay.
    """
    fore = [(one.line, one.fore_deg) for one in observed if one.fore_deg is not None]
    reversed_back = [(one.line, back(one.back_deg)) for one in observed if one.back_deg is not None]
    lengths = [(one.line, one.distance_m) for one in observed if one.distance_m is not None]
    bearing = mean_bearing(
        [degrees for _, degrees in fore + reversed_back], instruments.bearing_deg
    )
    middle_m = math.fsum(metres for _, metres in lengths) / len(lengths)
    stated_m = instruments.of_distance(middle_m)
    turned = [(line, difference(degrees, bearing.value)) for line, degrees in fore + reversed_back]
    return MeanLeg(
        start,
        to,
        bearing,
        mean_of([metres for _, metres in lengths], stated_m),
        _fore_minus_back(fore, reversed_back),
        tuple(sorted({*_strange(turned, instruments.bearing_deg), *_strange(lengths, stated_m)})),
    )


def _strange(measured: Sequence[tuple[int, float]], stated: float) -> set[int]:
    """The lines whose number lies strangely far from the middle one: (line, number) pairs. Of two
    both, since nothing says which is wrong; none where one line has all, for that is told as its
    ends' disagreement.
    """
    if len({line for line, _ in measured}) == 1:
        return set()
    middle = statistics.median(number for _, number in measured)
    allowed = STRANGE_SIGMAS * stated * (math.sqrt(0.5) if len(measured) == 2 else 1.0)
    return {line for line, number in measured if abs(number - middle) > allowed}


def _fore_minus_back(
    fore: Sequence[tuple[int, float]], reversed_back: Sequence[tuple[int, float]]
) -> float | None:
    """How far the two ends of a leg disagree, degrees; None where it was read from one alone."""
    one = circular_mean(degrees for _, degrees in fore) if fore else None
    other = circular_mean(degrees for _, degrees in reversed_back) if reversed_back else None
    return None if one is None or other is None else difference(one, other)


def bearings_text(observed: Observed) -> str:
    """The bearings of one line as they are written in a field book.

    >>> bearings_text(Observed(1, 74.0, 254.5, None))
    '074.0/254.5'
    """
    fore, back_deg = (
        "-" if degrees is None else three_digits(degrees, 1)
        for degrees in (observed.fore_deg, observed.back_deg)
    )
    return fore if observed.back_deg is None else f"{fore}/{back_deg}"
