"""Weighted means of places on a flat sheet: metres east and north."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..earth.ellipse import Covariance
from ..earth.geodesy import EastNorth

LEAST_VARIANCE = 1e-6  # square metres: a line instead of an ellipse gets a millimetre of width


def of_places(places: Sequence[EastNorth], weights: Sequence[float]) -> tuple[EastNorth, float]:
    """The weighted mean of places, and the weighted sum of squares of how far they lie from it,
    square metres.
    """
    total = math.fsum(weights)
    east_m, north_m = (
        math.fsum(weight * place[axis] for weight, place in zip(weights, places, strict=True))
        / total
        for axis in (0, 1)
    )
    squares = math.fsum(
        weight * ((place[0] - east_m) ** 2 + (place[1] - north_m) ** 2)
        for weight, place in zip(weights, places, strict=True)
    )
    return (east_m, north_m), squares


@dataclass(frozen=True)
class Group:
    """A place with the inverse of its covariance: of east, of north, of both together."""

    east_m: float
    north_m: float
    east_weight: float
    north_weight: float
    both_weight: float

    @property
    def along_east(self) -> float:
        """The right-hand side of the normal equation of east."""
        return self.east_weight * self.east_m + self.both_weight * self.north_m

    @property
    def along_north(self) -> float:
        """The right-hand side of the normal equation of north."""
        return self.both_weight * self.east_m + self.north_weight * self.north_m

    def chi2(self, east_m: float, north_m: float) -> float:
        """The square of how far a place lies off, in units of the group's uncertainty."""
        return (
            self.east_weight * (self.east_m - east_m) ** 2
            + self.north_weight * (self.north_m - north_m) ** 2
            + 2.0 * self.both_weight * (self.east_m - east_m) * (self.north_m - north_m)
        )


def group(place: EastNorth, covariance: Covariance) -> Group:
    """A place with its covariance, square metres, as `Group`."""
    east, north, both = covariance
    determinant = east * north - both * both
    if determinant < 1e-12 * east * north:
        east, north = east + LEAST_VARIANCE, north + LEAST_VARIANCE
        determinant = east * north - both * both
    return Group(*place, north / determinant, east / determinant, -both / determinant)


@dataclass(frozen=True)
class Meeting:
    """Where groups meet: the place, its covariance in square metres, and chi-squared of the groups
    about it.
    """

    place: EastNorth
    covariance: Covariance
    chi2: float


def meeting(groups: Sequence[Group]) -> Meeting:
    """The mean of independent groups, each weighted by its inverse covariance, by the normal
    equations.
    """
    east = sum(group.east_weight for group in groups)
    north = sum(group.north_weight for group in groups)
    both = sum(group.both_weight for group in groups)
    along_east = sum(group.along_east for group in groups)
    along_north = sum(group.along_north for group in groups)
    determinant = east * north - both * both
    east_m = (north * along_east - both * along_north) / determinant
    north_m = (east * along_north - both * along_east) / determinant
    return Meeting(
        (east_m, north_m),
        (north / determinant, east / determinant, -both / determinant),
        math.fsum(group.chi2(east_m, north_m) for group in groups),
    )
