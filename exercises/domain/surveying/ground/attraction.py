"""What an instructor's own bearings say of the ground: which stations bend the needle, by how much
each compass is off, and which point is in the wrong place.

Least squares over all sightings at once, beside the surveyors' rule (`fore_and_back`); it also uses
the bearings computed from coordinates and the sun. The priors, degrees:

- a station's attraction: 0.94 N(0, 0.5) + 0.06 N(0, 12), as in the class model;
- a compass's error: 0.87 N(0, 2/sqrt(3)), the limits of a baseplate compass, + 0.08 N(0, 8), one
  that is off, + 0.05 N(D, 2/sqrt(3)), one whose setting was noted wrongly, where D is 3 or more;
- a line's survey, or anything where no coordinates are known;
- the reading error, which is learnt (`explanations`), and the step to which was read.

So what all sightings have in common is a compass, or its setting, before it is the ground.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ...earth.angles import back, difference
from ...earth.uncertainty import COMPASS_LIMIT_DEG
from .estimate import FAULT_DEG, Estimate, Mixture, estimate
from .explanations import Posterior, explain
from .fits import INFORMATION, Floats, Part, Unknowns
from .moved_point import Culprit, culprit
from .robust_fit import LinearModel
from .sighting import Instrument, LineName, Sighting, rounding_deg

# how often a station bends the needle, and what attraction is without and with it, one sigma
BENT_SHARE, FREE_DEG, BENT_DEG = 0.1, 0.5, 12.0
STATION_PARTS = (Part(1.0 - BENT_SHARE, 0.0, FREE_DEG), Part(BENT_SHARE, 0.0, BENT_DEG))
BENT = 1  # which of STATION_PARTS
# How often a compass is off, by how much then (as in the class model), and how often its setting is
# noted wrongly; common practice, no source.
OFF_SHARE, OFF_DEG, MISNOTED_SHARE = 0.08, 8.0, 0.05
SOUND_DEG = COMPASS_LIMIT_DEG / math.sqrt(3.0)
OFF, MISNOTED = 1, 2  # which of a compass's parts
UNKNOWN_DEG = 1e4  # a bearing that no coordinates are known for
SURE = 0.9  # probability from which the ground is judged either way
LEAST_SIGHTINGS = 2  # at a station: one settles nothing
STRANGE_SIGMAS = 3.0


@dataclass(frozen=True)
class Ground:
    """What was found: attraction by station and compass error by compass as noted (what the needle
    reads too much), what is left of each sighting, and the culprit or None.

    `sightings` counts them by station. `misnoted` is how probable it is that a compass was set for
    the declination but noted as not set, or the other way round. `scale` is by how much readings
    scatter more than was assumed of them. `left_deg` is observed minus computed with station and
    compass taken out, None where nothing was computed; `strange` marks those beyond STRANGE_SIGMAS
    of their own. `posterior` holds all explanations, its unknowns the stations and then the
    compasses, in their order here.
    """

    attraction: dict[str, Estimate]
    compasses: dict[Instrument, Estimate]
    sightings: dict[str, int]
    misnoted: dict[Instrument, float]
    scale: float
    left_deg: tuple[float | None, ...]
    strange: tuple[bool, ...]
    culprit: Culprit | None
    posterior: Posterior

    def is_misnoted(self, instrument: Instrument) -> bool:
        """Whether a compass was, more probably than not, set for the declination but noted as not
        set, or the other way round.
        """
        return self.misnoted[instrument] > 0.5

    def reading_sigma_deg(self, sighting: Sighting) -> float:
        """What reading a sighting is worth as the whole set scatters, one sigma of a mean."""
        return self.scale * sighting.reading_error_deg / math.sqrt(INFORMATION)

    def judgement(self, station: str) -> str:
        """What can be said of a station: `bent`, `free`, `unsettled`, or `single` where one
        sighting is all there is.
        """
        if self.sightings[station] < LEAST_SIGHTINGS:
            return "single"
        probability = self.attraction[station].probability
        if probability >= SURE:
            return "bent"
        return "free" if probability <= 1.0 - SURE else "unsettled"


def adjust(sightings: Iterable[Sighting]) -> Ground:
    """Least squares over all sightings, as `Ground`."""
    sightings = list(sightings)
    named = _Named.of(sightings)
    unknowns = _unknowns(sightings, named)
    number = len(named.stations)
    faults = [BENT] * number + [OFF] * len(named.compasses)
    posterior = explain(unknowns, list(enumerate(faults)))
    found = [_estimate(posterior, unknown, fault) for unknown, fault in enumerate(faults)]
    attraction = dict(zip(named.stations, found, strict=False))
    compasses = dict(zip(named.compasses, found[number:], strict=True))
    left = tuple(_left_deg(sighting, attraction, compasses) for sighting in sightings)
    return Ground(
        attraction,
        compasses,
        Counter(sighting.station for sighting in sightings),
        {
            name: posterior.probability(number + at, MISNOTED)
            for at, name in enumerate(named.compasses)
        },
        posterior.scale,
        left,
        tuple(
            _is_strange(degrees, sighting, posterior.scale)
            for degrees, sighting in zip(left, sightings, strict=True)
        ),
        culprit(sightings, *_likeliest(unknowns, posterior)),
        posterior,
    )


def _estimate(posterior: Posterior, unknown: int, fault: int) -> Estimate:
    """What is known of a station or a compass. Where it lies is told as the sightings have it, as
    if it were at fault: drawn to zero, it would be said too small, and too surely.
    """
    as_if = posterior.given(unknown, fault)
    return estimate(Mixture.of(as_if, unknown), Mixture.of(posterior, unknown))


def bent(sightings: Sequence[Sighting]) -> dict[str, Estimate]:
    """The stations that are judged `bent`, by code, with what their needle reads too much; empty
    where nothing was observed.
    """
    if not sightings:
        return {}
    found = adjust(sightings)
    return {
        station: estimate
        for station, estimate in found.attraction.items()
        if found.judgement(station) == "bent"
    }


def _left_deg(
    sighting: Sighting, attraction: dict[str, Estimate], compasses: dict[Instrument, Estimate]
) -> float | None:
    """What is left of a sighting with station and compass taken out; None of one not computed."""
    if sighting.off_deg is None:
        return None
    bent_deg = attraction[sighting.station].degrees
    return sighting.off_deg - bent_deg - compasses[sighting.instrument].degrees


def _is_strange(left_deg: float | None, sighting: Sighting, scale: float) -> bool:
    """Whether more is left of a sighting than reading and survey allow."""
    if left_deg is None:
        return False
    allowed = math.hypot(scale * sighting.reading_error_deg, sighting.computed_error_deg)
    return abs(left_deg) > STRANGE_SIGMAS * allowed


@dataclass(frozen=True)
class _Named:
    """What the sightings leave open, in the order of the model's columns."""

    stations: tuple[str, ...]
    compasses: tuple[Instrument, ...]
    lines: tuple[LineName, ...]

    @classmethod
    def of(cls, sightings: Sequence[Sighting]) -> _Named:
        """Those of some sightings."""
        return cls(
            tuple(sorted({sighting.station for sighting in sightings})),
            tuple(sorted({sighting.instrument for sighting in sightings})),
            tuple(sorted({sighting.line for sighting in sightings}, key=str)),
        )


def _unknowns(sightings: Sequence[Sighting], named: _Named) -> Unknowns:
    """The sightings as a linear model with priors."""
    design = np.zeros((len(sightings), len(named.stations) + len(named.compasses)))
    for row, sighting in enumerate(sightings):
        design[row, named.stations.index(sighting.station)] = 1.0
        design[row, len(named.stations) + named.compasses.index(sighting.instrument)] = 1.0
    misnoted_deg = {sighting.instrument: sighting.misnoted_deg for sighting in sightings}
    return Unknowns(
        (
            *(STATION_PARTS for _ in named.stations),
            *(_compass_parts(misnoted_deg[compass]) for compass in named.compasses),
        ),
        design,
        _seen_deg(sightings),
        np.array([sighting.reading_error_deg for sighting in sightings]),
        np.array([named.lines.index(sighting.line) for sighting in sightings], dtype=np.intp),
        _line_variances(sightings, named.lines),
        rounding_deg(sightings),
    )


def _compass_parts(misnoted_deg: float) -> tuple[Part, ...]:
    """The prior of a compass's error; a declination that hides in it gives no part of its own."""
    off = Part(OFF_SHARE, 0.0, OFF_DEG)
    if abs(misnoted_deg) < FAULT_DEG:
        return Part(1.0 - OFF_SHARE, 0.0, SOUND_DEG), off
    sound = Part(1.0 - OFF_SHARE - MISNOTED_SHARE, 0.0, SOUND_DEG)
    return sound, off, Part(MISNOTED_SHARE, misnoted_deg, SOUND_DEG)


def _seen_deg(sightings: Sequence[Sighting]) -> Floats:
    """What each sighting is off by: (sightings,). Where there are no coordinates the line's first
    reading stands for its bearing, and the line itself is free.
    """
    first_fore_deg: dict[LineName, float] = {}
    seen = []
    for sighting in sightings:
        off_deg = sighting.off_deg
        if off_deg is None:
            is_fore = sighting.line[0] == sighting.station
            fore_deg = sighting.bearing_deg if is_fore else back(sighting.bearing_deg)
            off_deg = difference(fore_deg, first_fore_deg.setdefault(sighting.line, fore_deg))
        seen.append(off_deg)
    return np.array(seen)


def _line_variances(sightings: Sequence[Sighting], lines: Sequence[LineName]) -> Floats:
    """The prior variance of what the survey of each line is off by, square degrees."""
    known_deg = {
        sighting.line: UNKNOWN_DEG if sighting.computed_deg is None else sighting.computed_error_deg
        for sighting in sightings
    }
    return np.array([max(known_deg[line], 1e-3) ** 2 for line in lines])


def _likeliest(unknowns: Unknowns, posterior: Posterior) -> tuple[LinearModel, Floats]:
    """The model of the most probable explanation, lines among its unknowns, and the reading errors
    in degrees that its rows are over.
    """
    explanation, scale = posterior.likeliest()
    means, variances, _ = unknowns.of([explanation])
    sigma = np.hypot(scale * unknowns.error_deg, unknowns.rounding_deg)
    lines = np.eye(len(unknowns.line_variances))[unknowns.line]
    model = LinearModel(
        np.hstack([unknowns.design, lines]) / sigma[:, None],
        (unknowns.seen_deg - unknowns.design @ means[0]) / sigma,
        np.concatenate([variances[0], unknowns.line_variances]),
    )
    return model, sigma
