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

import math
from collections import defaultdict, deque
from dataclasses import dataclass

import numpy as np

from ..earth.angles import back, circular_mean, difference, wrap
from ..earth.uncertainty import COMPASS_LIMIT_DEG

FREE, FREE_DEG, BENT_DEG = (
    0.94,
    0.5,
    12.0,
)  # share of stations without attraction, and what attraction may be with and without it, one sigma
# one careful sighting by an instructor, one sigma: half a tick of 2 degrees, and the aim; common
# practice, no source
READING_DEG = 1.0
# fore and back within this of 180 degrees: two readings of one degree each, 1.4 sigma; common
# practice, no source
AGREES_DEG = 2.0
# the published limit for a compass (FM 3-25.26 ch. 9), used for the ground too
ATTRACTION_DEG = 3.0
UNKNOWN_DEG = 1e4  # a bearing that no coordinates are known for
# share of sightings without a slip, and how much wider one with a slip scatters; common practice,
# no source
SOUND, SLIP_SIGMAS = (
    0.95,
    5.0,
)
MOST_SUSPECTS = 4
FAR = (1e4, 1e4)  # square metres: a point may lie anywhere within a hundred metres
STRANGE = 9.21  # chi-squared with two degrees of freedom, 1 %
ROUNDS, FEW_ROUNDS = 25, 8


@dataclass(frozen=True)
class Sighting:
    """A bearing read with a compass at a station, degrees magnetic. `target` is empty for the sun's
    shadow.

    `computed_deg` is the magnetic bearing from coordinates or the sun, None where nothing is known;
    `computed_error_deg` its standard uncertainty. `true_deg` and `distance_m` are the line's true
    bearing and length from coordinates, None where they are not known.
    """

    station: str
    target: str
    bearing_deg: float
    compass: str = ""
    reading_error_deg: float = READING_DEG
    computed_deg: float | None = None
    computed_error_deg: float = 0.0
    true_deg: float | None = None
    distance_m: float | None = None

    @property
    def line(self):
        """What fore and back bearing have in common; a shadow is a line of its own."""
        return (
            tuple(sorted((self.station, self.target)))
            if self.target
            else (self.station, "", self.bearing_deg)
        )

    @property
    def off_deg(self):
        """Observed minus computed, or None."""
        return (
            None if self.computed_deg is None else difference(self.bearing_deg, self.computed_deg)
        )


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
    def disagreement_deg(self):
        """Zero for two ends that bend the needle alike, or not at all."""
        return difference(self.back_deg, back(self.fore_deg))


def pairs(sightings):
    """The lines that were sighted from both ends, as `Pair`, in the order of their first
    sighting.
    """
    read = defaultdict(list)
    for sighting in sightings:
        if sighting.target:
            read[sighting.station, sighting.target].append(sighting.bearing_deg)
    done = set()
    for start, end in read:
        if (end, start) in read and (end, start) not in done:
            done.add((start, end))
            fore_deg, back_deg = circular_mean(read[start, end]), circular_mean(read[end, start])
            if (
                fore_deg is not None and back_deg is not None
            ):  # two readings that point opposite ways have no mean
                yield Pair(start, end, fore_deg, back_deg)


def carried(lines, agrees_deg=AGREES_DEG):
    """Corrections in degrees by station, carried along `Pair`s from lines that agree; to be added
    to what is read there. Empty when none agrees.

    The surveyors' rule. Lines are walked in their order, breadth first; a station that is reached
    keeps its first correction.
    """
    lines = list(lines)
    free = {
        end
        for line in lines
        if abs(line.disagreement_deg) <= agrees_deg
        for end in (line.start, line.end)
    }
    corrections, waiting = dict.fromkeys(sorted(free), 0.0), deque(sorted(free))
    while waiting:
        here = waiting.popleft()
        for line in lines:
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
    def probability(self):
        """Probability of more than ATTRACTION_DEG either way, by a normal."""
        error = max(self.error_deg, 1e-9) * math.sqrt(2.0)
        return 0.5 * (
            math.erfc((ATTRACTION_DEG - self.degrees) / error)
            + math.erfc((ATTRACTION_DEG + self.degrees) / error)
        )


@dataclass(frozen=True)
class Culprit:
    """A point that would have to lie elsewhere for the lines through it to agree: metres east and
    north of where it is said to be, and how many lines say so.
    """

    point: str
    east_m: float
    north_m: float
    lines: int

    @property
    def bearing_deg(self):
        """The true direction of where it would have to lie."""
        return wrap(math.degrees(math.atan2(self.east_m, self.north_m)))


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


def adjust(sightings):
    """Least squares over all sightings, as `Ground`. Stations that the fore and back bearings call
    free begin as free; the rest is learnt in some rounds.
    """
    sightings = list(sightings)
    stations = sorted({sighting.station for sighting in sightings})
    compasses = sorted({sighting.compass for sighting in sightings})
    lines = sorted({sighting.line for sighting in sightings}, key=str)
    free = {
        station for station, correction in carried(pairs(sightings)).items() if correction == 0.0
    }
    trust = np.array([FREE if not free or station in free else 1.0 - FREE for station in stations])
    design, seen = _design(sightings, stations, compasses, lines)
    others = np.concatenate(
        [np.full(len(compasses), COMPASS_LIMIT_DEG**2 / 3.0), _line_priors(sightings, lines)]
    )
    mean = np.zeros(design.shape[1])
    # All sightings alike first: what a whole station has in common is no slip. Then by absolute
    # values, as a median, then slips for what they are.
    for weigh in (np.ones_like, _by_size, _weights):
        for _ in range(ROUNDS):
            weights = weigh(seen - design @ mean)
            variances = np.concatenate(
                [1.0 / (trust / FREE_DEG**2 + (1.0 - trust) / BENT_DEG**2), others]
            )
            mean, covariance = _solve(design * weights[:, None], seen * weights, variances)
            trust = _trust(
                mean[: len(stations)],
                np.diag(covariance)[: len(stations)],
                variances[: len(stations)],
            )
    errors = np.sqrt(np.diag(covariance))
    estimates = [
        Estimate(float(value), float(error)) for value, error in zip(mean, errors, strict=True)
    ]
    attraction = dict(zip(stations, estimates, strict=False))
    offsets = dict(zip(compasses, estimates[len(stations) :], strict=False))
    left = tuple(
        None
        if sighting.off_deg is None
        else sighting.off_deg
        - attraction[sighting.station].degrees
        - offsets[sighting.compass].degrees
        for sighting in sightings
    )
    strange = tuple(
        degrees is not None
        and abs(degrees) > 3.0 * math.hypot(sighting.reading_error_deg, sighting.computed_error_deg)
        for degrees, sighting in zip(left, sightings, strict=True)
    )
    return Ground(
        attraction, offsets, left, strange, _culprit(sightings, design, seen, variances, weights)
    )


def _design(sightings, stations, compasses, lines):
    """Rows of the linear model, each over its reading error: (sightings, stations + compasses +
    lines), and what was seen: (sightings,).
    """
    where = {
        name: place
        for place, name in enumerate(
            [("a", s) for s in stations]
            + [("o", c) for c in compasses]
            + [("d", line) for line in lines]
        )
    }
    design, seen = np.zeros((len(sightings), len(where))), np.zeros(len(sightings))
    base = {}
    for row, sighting in enumerate(sightings):
        for name in (("a", sighting.station), ("o", sighting.compass), ("d", sighting.line)):
            design[row, where[name]] = 1.0 / sighting.reading_error_deg
        off_deg = sighting.off_deg
        # no coordinates: the line's first reading stands for its bearing, and the line itself is
        # free
        if off_deg is None:
            fore_deg = (
                sighting.bearing_deg
                if sighting.line[0] == sighting.station
                else back(sighting.bearing_deg)
            )
            off_deg = difference(fore_deg, base.setdefault(sighting.line, fore_deg))
        seen[row] = off_deg / sighting.reading_error_deg
    return design, seen


def _line_priors(sightings, lines):
    known = {
        sighting.line: sighting.computed_error_deg
        if sighting.computed_deg is not None
        else UNKNOWN_DEG
        for sighting in sightings
    }
    return np.array([max(known[line], 1e-3) ** 2 for line in lines])


def _by_size(residuals):
    """Square roots of weights that make least squares a sum of absolute values beyond one sigma
    (Huber 1964, Annals of Mathematical Statistics 35, 73).
    """
    return np.sqrt(1.0 / np.maximum(np.abs(residuals), 1.0))


def _weights(residuals):
    """Square roots of how much each sighting counts, from residuals in its own sigmas: about one
    for sound ones, a fifth for slips.
    """
    sound, slip = (
        SOUND * np.exp(-0.5 * residuals**2),
        (1.0 - SOUND) / SLIP_SIGMAS * np.exp(-0.5 * (residuals / SLIP_SIGMAS) ** 2),
    )
    share = sound / np.maximum(sound + slip, 1e-300)
    return np.sqrt(share + (1.0 - share) / SLIP_SIGMAS**2)


def _solve(design, seen, variances):
    """Posterior mean and covariance of a linear model with normal priors of mean zero. `variances`:
    (parameters,).
    """
    covariance = np.linalg.inv(design.T @ design + np.diag(1.0 / variances))
    return covariance @ (design.T @ seen), covariance


def _trust(means, errors2, variances):
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


def _culprit(sightings, design, seen, variances, weights):
    """The point whose being elsewhere explains most, if it explains much, also without the line
    that speaks for it most: one slip moves no point.

    All points are looked at in one linear step each, and the few that promise most are fitted as
    carefully as everything else.
    """
    left = seen - design @ _solve(design * weights[:, None], seen * weights, variances)[0]
    before, found = None, []
    for point, turns, lines, names in sorted(
        _through(sightings), key=lambda one: -_promise(one[1], left)
    )[:MOST_SUSPECTS]:
        before = _robust(design, seen, variances)[1] if before is None else before
        mean, objective = _robust(
            np.hstack([design, turns]), seen, np.concatenate([variances, FAR])
        )
        found.append(
            (
                before - objective,
                Culprit(point, float(mean[-2]), float(mean[-1]), len(names)),
                turns,
                lines,
                names,
            )
        )
    gain, culprit, turns, lines, names = max(
        found, key=lambda one: one[0], default=(0.0, None, None, (), ())
    )
    if gain <= STRANGE:
        return None
    return (
        culprit
        if all(
            _gain(design, turns, seen, variances, np.array([line != name for line in lines]))
            > STRANGE
            for name in names
        )
        else None
    )


def _promise(turns, left):
    """By how much moving a point would lower the sum of squares of what is left, all else as it
    is.
    """
    fit = np.linalg.lstsq(turns, left, rcond=None)[0]
    return float((left**2).sum() - ((left - turns @ fit) ** 2).sum())


def _through(sightings):
    """Points that two lines or more go through: (point, how its moving turns each sighting, each
    sighting's line or None, the lines' names).
    """
    for point in sorted({end for sighting in sightings for end in sighting.line[:2] if end}):
        lines = [
            sighting.line
            if sighting.distance_m and point in (sighting.station, sighting.target)
            else None
            for sighting in sightings
        ]
        names = sorted({line for line in lines if line})
        if len(names) >= 2:
            yield (
                point,
                np.array(
                    [
                        _turns(sighting, 1.0 if point == sighting.target else -1.0)
                        if line
                        else (0.0, 0.0)
                        for sighting, line in zip(sightings, lines, strict=True)
                    ]
                ),
                lines,
                names,
            )


def _gain(design, turns, seen, variances, rows):
    """By how much a point's being elsewhere lowers the misfit of some sightings."""
    return (
        _robust(design[rows], seen[rows], variances)[1]
        - _robust(np.hstack([design, turns])[rows], seen[rows], np.concatenate([variances, FAR]))[1]
    )


def _robust(design, seen, variances):
    """The fit with slips taken for what they are, its priors fixed: the mean, and twice the
    negative log of its density but for a constant.
    """
    mean = np.zeros(design.shape[1])
    for weigh in (np.ones_like, _by_size, _weights):
        for _ in range(FEW_ROUNDS):
            weights = weigh(seen - design @ mean)
            mean = _solve(design * weights[:, None], seen * weights, variances)[0]
    residuals = seen - design @ mean
    density = SOUND * np.exp(-0.5 * residuals**2) + (1.0 - SOUND) / SLIP_SIGMAS * np.exp(
        -0.5 * (residuals / SLIP_SIGMAS) ** 2
    )
    return mean, float(
        -2.0 * np.log(np.maximum(density, 1e-300)).sum() + (mean**2 / variances).sum()
    )


def _turns(sighting, sign):
    """By how many of its reading errors a sighting turns when its target moves a metre east, a
    metre north.
    """
    angle = math.radians(sighting.true_deg)
    per_metre = sign * math.degrees(1.0 / sighting.distance_m) / sighting.reading_error_deg
    return per_metre * math.cos(angle), -per_metre * math.sin(angle)
