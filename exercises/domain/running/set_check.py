"""Check a set of compasses against each other: all sight one far line, and those that are odd are
found by what the others say.

Far, because whoever steps aside between two compasses then turns the line by nothing that shows: a
metre over a kilometre is 0.06 degrees.

The model. Compass i read r times shows L + e_i + noise, where L is the line's bearing, unknown or
known from the key, and noise is normal. Its own offset e_i is small (SOUND), or larger (OFF), or
its needle is reversed (180 degrees beside the small), or it shows anything at all (ANY). L is
summed over the circle, so that a majority decides and one bad compass bends nobody else: nothing is
thrown out by a rule.

A compass more than 3 degrees off should not be used: FM 3-25.26 (TC 3-25.26), chapter 9.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from ..earth.angles import wrap

Floats = NDArray[np.float64]

LIMIT_DEG = 3.0  # FM 3-25.26, chapter 9: do not use a compass that varies by more
READER_DEG = 1.0  # sd of one careful reading beside the scale's step: shared open data, 0.7 to 1.0
# shares and spreads of what compasses of a set are like; common practice, no source
SOUND_SHARE, OFF_SHARE, REVERSED_SHARE, ANY_SHARE = 0.93, 0.04, 0.02, 0.01
SOUND_DEG, OFF_DEG = 0.8, 10.0
SURE = 0.9  # from which a compass is called odd, or sound
LINE_STEP_DEG = 0.1  # to which the bearing of the line is summed
LEAST_WEIGHT = 1e-9  # of a bearing that is summed at all


class Finding(StrEnum):
    """What a check says of a compass."""

    SOUND = "sound"
    READ_AGAIN = "read_again"  # it cannot be told yet
    OFF = "off"  # beyond the limit: not to be used
    REVERSED = "reversed"  # its needle points south


@dataclass(frozen=True)
class Checked:
    """A compass of a check: its offset with a standard error, degrees, reading minus line, as if
    its needle were not reversed; how probable it is that it lies beyond the limit, and that the
    needle is reversed; and what follows.
    """

    number: str
    offset_deg: float
    error_deg: float
    beyond: float
    is_reversed: float

    @property
    def finding(self) -> Finding:
        """What is to be said of it."""
        if self.is_reversed >= SURE:
            return Finding.REVERSED
        if self.beyond >= SURE:
            return Finding.OFF
        return Finding.SOUND if self.beyond <= 1.0 - SURE else Finding.READ_AGAIN


@dataclass(frozen=True)
class SetCheck:
    """The bearing of the line by all compasses together with its standard error, degrees magnetic,
    and each compass in the order in which it was given.
    """

    line_deg: float
    line_error_deg: float
    compasses: tuple[Checked, ...]


@dataclass(frozen=True)
class _Part:
    """One of the things that a compass may be like: its share, the sd of its offset, infinite where
    it shows anything, and by how much its needle is turned.
    """

    share: float
    sigma_deg: float
    turned_deg: float = 0.0

    def against(self, apart_deg: Floats, var: float) -> tuple[Floats, Floats, float]:
        """Of readings that lie apart from the line, their mean having a variance: log density with
        the share in it, and the offset that it leaves, as mean and sd.
        """
        if math.isinf(self.sigma_deg):
            even = np.full_like(apart_deg, math.log(self.share / 360.0))
            return even, apart_deg, math.sqrt(var)
        spread = self.sigma_deg**2 + var
        log = math.log(self.share) - 0.5 * math.log(2.0 * math.pi * spread)
        shrunk = self.sigma_deg**2 / spread
        return log - 0.5 * apart_deg**2 / spread, apart_deg * shrunk, math.sqrt(shrunk * var)


PARTS = (
    _Part(SOUND_SHARE, SOUND_DEG),
    _Part(OFF_SHARE, OFF_DEG),
    _Part(REVERSED_SHARE, SOUND_DEG, 180.0),
    _Part(ANY_SHARE, math.inf),
)


class TooFewCompasses(ValueError):
    """Fewer than three compasses sighted a line of which nothing else is known: of two that differ
    nobody can say which is odd.
    """


def set_check(
    readings: Mapping[str, Sequence[float]],
    step_deg: float | Mapping[str, float],
    line_deg: float | None = None,
    line_error_deg: float = 0.5,
) -> SetCheck:
    """What sightings of one line say of compasses. `readings` holds by number what each showed,
    degrees magnetic, once or several times; `step_deg` is the step of their dials, or one for each.
    `line_deg` is the line's magnetic bearing with its standard error, where the key has it.

    Raises TooFewCompasses for fewer than three, or for fewer than one where the line is known.

    >>> found = set_check({"1": [40], "2": [41], "3": [40], "4": [47], "5": [221]}, 2.0)
    >>> [str(compass.finding) for compass in found.compasses]
    ['sound', 'sound', 'sound', 'off', 'reversed']
    """
    if len(readings) < (3 if line_deg is None else 1):
        raise TooFewCompasses(len(readings))
    line = np.arange(0.0, 360.0, LINE_STEP_DEG)
    steps = step_deg if isinstance(step_deg, Mapping) else dict.fromkeys(readings, step_deg)
    sightings = [
        _Sighting.of(shown, math.hypot(READER_DEG, steps[number] / math.sqrt(12.0)), line)
        for number, shown in readings.items()
    ]
    weight = _line_weights(sightings, line, line_deg, line_error_deg)
    likely = weight > LEAST_WEIGHT
    compasses = tuple(
        sighting.where(likely).checked(number, weight[likely])
        for number, sighting in zip(readings, sightings, strict=True)
    )
    return SetCheck(*_circular(line, weight), compasses)


@dataclass(frozen=True)
class _Sighting:
    """What one compass showed, against each bearing that the line may have. `log_likelihood`:
    (parts, lines), natural log, shares among it; `mean_deg`, `sigma_deg`: the offset that each part
    leaves, (parts, lines) and (parts,).
    """

    log_likelihood: Floats
    mean_deg: Floats
    sigma_deg: Floats

    @classmethod
    def of(cls, shown: Sequence[float], noise_deg: float, line: Floats) -> _Sighting:
        """Of some readings with noise of a standard deviation."""
        first = shown[0]
        mean = first + math.fsum(_wrapped(reading - first) for reading in shown) / len(shown)
        var = noise_deg**2 / len(shown)
        logs, means, sigmas = zip(
            *(part.against(_wrapped_all(mean - line - part.turned_deg), var) for part in PARTS),
            strict=True,
        )
        return cls(np.array(logs), np.array(means), np.array(sigmas))

    def where(self, lines: NDArray[np.bool_]) -> _Sighting:
        """The same against some of the bearings."""
        return _Sighting(self.log_likelihood[:, lines], self.mean_deg[:, lines], self.sigma_deg)

    def log_of_lines(self) -> Floats:
        """How likely what it showed is for each bearing of the line: (lines,), natural log."""
        return np.logaddexp.reduce(self.log_likelihood, axis=0)

    def checked(self, number: str, weight: Floats) -> Checked:
        """What it says of the compass, the line being weighed by all of them."""
        share = np.exp(self.log_likelihood - self.log_of_lines()) * weight  # (parts, lines)
        mean = float((share * self.mean_deg).sum())
        var = float((share * (self.sigma_deg[:, None] ** 2 + (self.mean_deg - mean) ** 2)).sum())
        beyond = (share * _beyond(self.mean_deg, self.sigma_deg[:, None])).sum()
        turned = [place for place, part in enumerate(PARTS) if part.turned_deg]
        return Checked(number, mean, math.sqrt(var), float(beyond), float(share[turned].sum()))


def _line_weights(
    sightings: Sequence[_Sighting], line: Floats, known_deg: float | None, error_deg: float
) -> Floats:
    """How probable each bearing of the line is by all compasses: (lines,), sums to one."""
    log = np.sum([sighting.log_of_lines() for sighting in sightings], axis=0)
    if known_deg is not None:
        log = log - 0.5 * (_wrapped_all(line - known_deg) / error_deg) ** 2
    weight = np.exp(log - log.max())
    return np.asarray(weight / weight.sum())


def _circular(line: Floats, weight: Floats) -> tuple[float, float]:
    """Mean and standard deviation of a bearing that is weighed over the circle, degrees."""
    angle = np.radians(line)
    mean = math.degrees(math.atan2(weight @ np.sin(angle), weight @ np.cos(angle)))
    apart = _wrapped_all(line - mean)
    return wrap(mean), math.sqrt(float(weight @ apart**2))


def _beyond(mean: Floats, sigma: Floats) -> Floats:
    """How probable it is that a normal offset lies beyond the limit on either side."""
    above = (LIMIT_DEG - mean) / (sigma * math.sqrt(2.0))
    below = (LIMIT_DEG + mean) / (sigma * math.sqrt(2.0))
    return 0.5 * (_erfc(above) + _erfc(below))


_erfc = np.vectorize(math.erfc, otypes=[float])


def _wrapped(degrees: float) -> float:
    """A difference in [-180, 180)."""
    return (degrees + 180.0) % 360.0 - 180.0


def _wrapped_all(degrees: Floats) -> Floats:
    """Differences in [-180, 180)."""
    return np.asarray((degrees + 180.0) % 360.0 - 180.0)
