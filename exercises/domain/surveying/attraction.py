"""What an instructor's own bearings say of the ground: which stations bend the needle, by how much
the compass is off, and which point is in the wrong place.

Two methods, side by side. The surveyors' rule: a line whose fore and back bearing differ by 180
degrees has two ends free of local attraction, and from there corrections are carried along the
lines (Punmia, Surveying vol. I, The Compass; checked on four published traverses). And least
squares over all sightings at once, which also uses the bearings computed from coordinates and the
sun.

A sighting is off by  a[station] + o[compass] + d[line] + what the eye does:  a ~ 0.94 N(0, 0.5) +
0.06 N(0, 12), as in `class_model`; o ~ N(0, 2/sqrt(3)), the limits of a baseplate compass; d ~ N(0,
survey of the line), or free where no coordinates are known. What the eye does is 0.95 N(0, reading)
+ 0.05 N(0, 5 readings), so that a slip in one sighting does not bend its station.
"""

from __future__ import annotations

import math
from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..earth.angles import back, circular_mean, difference
from ..earth.uncertainty import COMPASS_LIMIT_DEG
from .moved_point import Culprit, culprit
from .robust_fit import WEIGHINGS, Floats, LinearModel
from .sighting import LineName, Sighting

# share of stations without attraction, and what attraction may be with and without it, one sigma
FREE = 0.94
FREE_DEG = 0.5
BENT_DEG = 12.0
# fore and back within this of 180 degrees: two readings of one degree each, 1.4 sigma; common
# practice, no source
AGREES_DEG = 2.0
# the published limit for a compass (FM 3-25.26 ch. 9), used for the ground too
ATTRACTION_DEG = 3.0
FAULTY = 0.5  # probability of more than that, from which a station is called at fault
UNKNOWN_DEG = 1e4  # a bearing that no coordinates are known for
ROUNDS = 25


@dataclass(frozen=True)
class Pair:
    """Fore and back bearing of a line, means where there are several, and by how much they differ
    from 180 degrees apart: back minus (fore plus 180).
    """

    start: str
    end: str
    fore_deg: float
    back_deg: float

    @property
    def disagreement_deg(self) -> float:
        """Zero for two ends that bend the needle alike, or not at all."""
        return difference(self.back_deg, back(self.fore_deg))


def pairs(sightings: Iterable[Sighting]) -> Iterator[Pair]:
    """The lines that were sighted from both ends, as `Pair`, in the order of their first
    sighting.
    """
    read: dict[tuple[str, str], list[float]] = defaultdict(list)
    for sighting in sightings:
        if sighting.target:
            read[sighting.station, sighting.target].append(sighting.bearing_deg)
    done: set[tuple[str, str]] = set()
    for (start, end), fores in read.items():
        backs = read.get((end, start))
        if backs and (end, start) not in done:
            done.add((start, end))
            fore_deg, back_deg = circular_mean(fores), circular_mean(backs)
            # two readings that point opposite ways have no mean
            if fore_deg is not None and back_deg is not None:
                yield Pair(start, end, fore_deg, back_deg)


def carried(lines: Iterable[Pair], agrees_deg: float = AGREES_DEG) -> dict[str, float]:
    """Corrections in degrees by station, carried along `Pair`s from lines that agree; to be added
    to what is read there. Empty when none agrees.

    The surveyors' rule. Lines are walked in their order, breadth first; a station that is reached
    keeps its first correction.
    """
    pairs_in_order = list(lines)
    free = {
        end
        for line in pairs_in_order
        if abs(line.disagreement_deg) <= agrees_deg
        for end in (line.start, line.end)
    }
    corrections, waiting = dict.fromkeys(sorted(free), 0.0), deque(sorted(free))
    while waiting:
        here = waiting.popleft()
        for line in pairs_in_order:
            # right fore + 180 = right back; each right bearing is what was read plus its station's
            # correction
            if line.start == here and line.end not in corrections:
                corrections[line.end] = corrections[here] - line.disagreement_deg
                waiting.append(line.end)
            elif line.end == here and line.start not in corrections:
                corrections[line.start] = corrections[here] + line.disagreement_deg
                waiting.append(line.start)
    return corrections


@dataclass(frozen=True)
class Estimate:
    """A quantity in degrees with its standard error, and how probable it is that it lies beyond
    ATTRACTION_DEG.
    """

    degrees: float
    error_deg: float

    @property
    def probability(self) -> float:
        """Probability of more than ATTRACTION_DEG either way, by a normal."""
        error = max(self.error_deg, 1e-9) * math.sqrt(2.0)
        return 0.5 * (
            math.erfc((ATTRACTION_DEG - self.degrees) / error)
            + math.erfc((ATTRACTION_DEG + self.degrees) / error)
        )


@dataclass(frozen=True)
class Ground:
    """What was found: attraction by station and compass error by compass (what the needle reads too
    much), what is left of each sighting, and the culprit or None.

    `left_deg` is observed minus computed with both taken out, None where nothing was computed;
    `strange` marks those beyond three of their sigmas.
    """

    attraction: dict[str, Estimate]
    compasses: dict[str, Estimate]
    left_deg: tuple[float | None, ...]
    strange: tuple[bool, ...]
    culprit: Culprit | None


def adjust(sightings: Iterable[Sighting]) -> Ground:
    """Least squares over all sightings, as `Ground`. Stations that the fore and back bearings call
    free begin as free; the rest is learnt in some rounds.
    """
    sightings = list(sightings)
    unknowns = _Unknowns.of(sightings)
    fit = _fit(sightings, unknowns)
    estimates = [
        Estimate(float(degrees), float(error_deg))
        for degrees, error_deg in zip(fit.mean, np.sqrt(np.diag(fit.covariance)), strict=True)
    ]
    attraction = dict(zip(unknowns.stations, estimates, strict=False))
    compasses = dict(zip(unknowns.compasses, estimates[len(attraction) :], strict=False))
    left = tuple(_left_deg(sighting, attraction, compasses) for sighting in sightings)
    strange = tuple(
        degrees is not None
        and abs(degrees) > 3.0 * math.hypot(sighting.reading_error_deg, sighting.computed_error_deg)
        for degrees, sighting in zip(left, sightings, strict=True)
    )
    return Ground(attraction, compasses, left, strange, culprit(sightings, fit.model, fit.weights))


def bent(sightings: Sequence[Sighting]) -> dict[str, Estimate]:
    """The stations at fault, by code, with what their needle reads too much; empty where nothing
    was observed.
    """
    if not sightings:
        return {}
    attraction = adjust(sightings).attraction
    return {
        station: estimate
        for station, estimate in attraction.items()
        if estimate.probability >= FAULTY
    }


def _left_deg(
    sighting: Sighting, attraction: dict[str, Estimate], compasses: dict[str, Estimate]
) -> float | None:
    """What is left of a sighting with station and compass taken out; None of one not computed."""
    if sighting.off_deg is None:
        return None
    bent_deg = attraction[sighting.station].degrees
    return sighting.off_deg - bent_deg - compasses[sighting.compass].degrees


@dataclass(frozen=True)
class _Unknowns:
    """What the sightings leave open, in the order of the model's columns."""

    stations: tuple[str, ...]
    compasses: tuple[str, ...]
    lines: tuple[LineName, ...]

    @classmethod
    def of(cls, sightings: Sequence[Sighting]) -> _Unknowns:
        """Those of some sightings."""
        return cls(
            tuple(sorted({sighting.station for sighting in sightings})),
            tuple(sorted({sighting.compass for sighting in sightings})),
            tuple(sorted({sighting.line for sighting in sightings}, key=str)),
        )

    def columns(self) -> dict[tuple[str, str | LineName], int]:
        """The column of each unknown: a station's attraction a, a compass's error o, a line's d."""
        names: list[tuple[str, str | LineName]] = [
            *(("a", station) for station in self.stations),
            *(("o", compass) for compass in self.compasses),
            *(("d", line) for line in self.lines),
        ]
        return {name: column for column, name in enumerate(names)}


@dataclass(frozen=True)
class _Fit:
    """The unknowns as fitted, their covariance, and the model and the weights of the last round."""

    mean: Floats
    covariance: Floats
    model: LinearModel
    weights: Floats


def _fit(sightings: Sequence[Sighting], unknowns: _Unknowns) -> _Fit:
    """The fit of all unknowns, in which the trust in each station is learnt on the way."""
    corrections = carried(pairs(sightings))
    free = {station for station, correction in corrections.items() if correction == 0.0}
    trust: Floats = np.array(
        [FREE if not free or station in free else 1.0 - FREE for station in unknowns.stations]
    )
    compass_variances = np.full(len(unknowns.compasses), COMPASS_LIMIT_DEG**2 / 3.0)
    others = np.concatenate([compass_variances, _line_variances(sightings, unknowns.lines)])
    design, seen = _design(sightings, unknowns)
    mean: Floats = np.zeros(design.shape[1])
    number = len(unknowns.stations)
    for weigh in WEIGHINGS:
        for _ in range(ROUNDS):
            stations = 1.0 / (trust / FREE_DEG**2 + (1.0 - trust) / BENT_DEG**2)
            model = LinearModel(design, seen, np.concatenate([stations, others]))
            weights = weigh(model.residuals(mean))
            mean, covariance = model.solve(weights)
            trust = _trust(mean[:number], np.diag(covariance)[:number], stations)
    return _Fit(mean, covariance, model, weights)


def _design(sightings: Sequence[Sighting], unknowns: _Unknowns) -> tuple[Floats, Floats]:
    """Rows of the linear model, each over its reading error: (sightings, stations + compasses +
    lines), and what was seen: (sightings,).
    """
    column_of = unknowns.columns()
    design, seen = np.zeros((len(sightings), len(column_of))), np.zeros(len(sightings))
    first_fore_deg: dict[LineName, float] = {}
    for row, sighting in enumerate(sightings):
        for name in (("a", sighting.station), ("o", sighting.compass), ("d", sighting.line)):
            design[row, column_of[name]] = 1.0 / sighting.reading_error_deg
        off_deg = sighting.off_deg
        # no coordinates: the line's first reading stands for its bearing, and the line itself is
        # free
        if off_deg is None:
            is_fore = sighting.line[0] == sighting.station
            fore_deg = sighting.bearing_deg if is_fore else back(sighting.bearing_deg)
            off_deg = difference(fore_deg, first_fore_deg.setdefault(sighting.line, fore_deg))
        seen[row] = off_deg / sighting.reading_error_deg
    return design, seen


def _line_variances(sightings: Sequence[Sighting], lines: Sequence[LineName]) -> Floats:
    """The prior variance of what the survey of each line is off by, square degrees."""
    known_deg = {
        sighting.line: UNKNOWN_DEG if sighting.computed_deg is None else sighting.computed_error_deg
        for sighting in sightings
    }
    return np.array([max(known_deg[line], 1e-3) ** 2 for line in lines])


def _trust(means: Floats, errors2: Floats, variances: Floats) -> Floats:
    """How probable each station is free, by what the sightings alone say of it: the prior that was
    used is divided out first.
    """
    alone = 1.0 / np.maximum(1.0 / errors2 - 1.0 / variances, 1e-9)
    centre = alone * means / errors2
    weights = [
        share * np.exp(-0.5 * centre**2 / (alone + sigma**2)) / np.sqrt(alone + sigma**2)
        for share, sigma in ((FREE, FREE_DEG), (1.0 - FREE, BENT_DEG))
    ]
    return weights[0] / np.maximum(weights[0] + weights[1], 1e-300)
