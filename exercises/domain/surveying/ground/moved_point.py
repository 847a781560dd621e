"""The point that would have to lie elsewhere for the lines through it to agree."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ...earth.angles import wrap
from .robust_fit import Floats, LinearModel, misfit
from .sighting import LineName, Sighting

MOST_SUSPECTS = 4
FAR = (1e4, 1e4)  # square metres: a point may lie anywhere within a hundred metres
STRANGE = 9.21  # chi-squared with two degrees of freedom, 1 %
ROUNDS = 8


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
    def bearing_deg(self) -> float:
        """The true direction of where it would have to lie."""
        return wrap(math.degrees(math.atan2(self.east_m, self.north_m)))


@dataclass(frozen=True)
class _Suspect:
    """A point that two lines or more go through. `turns`: (sightings, 2), by how many of its
    reading errors each sighting turns when the point moves a metre east, a metre north; `lines` is
    each sighting's line, None for one that does not go through it; `names` are the lines.
    """

    point: str
    turns: Floats
    lines: tuple[LineName | None, ...]
    names: tuple[LineName, ...]

    def promise(self, left: Floats) -> float:
        """By how much moving the point would lower the sum of squares of what is left, all else as
        it is.
        """
        fit = np.linalg.lstsq(self.turns, left, rcond=None)[0]
        return float((left**2).sum() - ((left - self.turns @ fit) ** 2).sum())

    def gain_without(self, line: LineName, model: LinearModel) -> float:
        """By how much the point's being elsewhere lowers the misfit of the sightings of all other
        lines.
        """
        rows = np.array([other != line for other in self.lines])
        _, here = misfit(model.of_rows(rows), ROUNDS)
        _, elsewhere = misfit(model.widened(self.turns, FAR).of_rows(rows), ROUNDS)
        return here - elsewhere


def culprit(
    sightings: Sequence[Sighting], model: LinearModel, errors_deg: Floats
) -> Culprit | None:
    """The point whose being elsewhere explains most, if it explains much, also without the line
    that speaks for it most: one slip moves no point.

    All points are looked at in one linear step each, and the few that promise most are fitted as
    carefully as everything else. `errors_deg` (sightings,) are those that the rows of `model` are
    over.
    """
    mean, before = misfit(model, ROUNDS)
    left = model.residuals(mean)
    suspects = sorted(_suspects(sightings, errors_deg), key=lambda suspect: -suspect.promise(left))
    if not suspects:
        return None
    fits = [
        (suspect, *misfit(model.widened(suspect.turns, FAR), ROUNDS))
        for suspect in suspects[:MOST_SUSPECTS]
    ]
    suspect, mean, after = max(fits, key=lambda fit: before - fit[2])
    if before - after <= STRANGE:
        return None
    if not all(suspect.gain_without(line, model) > STRANGE for line in suspect.names):
        return None
    return Culprit(suspect.point, float(mean[-2]), float(mean[-1]), len(suspect.names))


def _suspects(sightings: Sequence[Sighting], errors_deg: Floats) -> Iterator[_Suspect]:
    """The points that two lines or more go through, by code."""
    for point in sorted({end for sighting in sightings for end in sighting.line[:2] if end}):
        lines = tuple(
            sighting.line
            if sighting.distance_m and point in (sighting.station, sighting.target)
            else None
            for sighting in sightings
        )
        names = tuple(sorted({line for line in lines if line}))
        if len(names) >= 2:
            turns = [
                _turns(sighting, point) if line else (0.0, 0.0)
                for sighting, line in zip(sightings, lines, strict=True)
            ]
            yield _Suspect(point, np.array(turns) / errors_deg[:, None], lines, names)


def _turns(sighting: Sighting, point: str) -> tuple[float, float]:
    """By how many degrees a sighting of known length turns when one of its ends moves a metre east,
    a metre north.
    """
    assert sighting.true_deg is not None and sighting.distance_m
    angle = math.radians(sighting.true_deg)
    sign = 1.0 if point == sighting.target else -1.0
    per_metre = sign * math.degrees(1.0 / sighting.distance_m)
    return per_metre * math.cos(angle), -per_metre * math.sin(angle)
