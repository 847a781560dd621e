"""The standard error ellipse of a position: how uncertain it is in each direction.

Source: Mikhail & Ackermann (1976), Observations and Least Squares, 11.4; the 95 % ellipse is
sqrt(-2 ln 0.05) = 2.448 times the standard one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .angles import wrap

Covariance = tuple[float, float, float]  # of east, of north, and of both together

SCALE_95 = math.sqrt(-2.0 * math.log(0.05))


@dataclass(frozen=True)
class Ellipse:
    """Semi-axes in metres, one sigma, and the direction of the longer one, degrees clockwise from
    true north in [0, 180).
    """

    major_m: float
    minor_m: float
    azimuth_deg: float

    def along(self, bearing_deg: float) -> float:
        """Standard uncertainty in metres along a true bearing."""
        turned = math.radians(bearing_deg - self.azimuth_deg)
        return math.hypot(self.major_m * math.cos(turned), self.minor_m * math.sin(turned))

    def across(self, bearing_deg: float) -> float:
        """Standard uncertainty in metres across a true bearing: what turns a sight line."""
        return self.along(bearing_deg + 90.0)

    @property
    def accuracy_m(self) -> float:
        """Standard uncertainty of each coordinate, metres, were it the same in both: root mean
        square of the axes.
        """
        return (
            self.major_m
            if self.major_m == self.minor_m
            else math.hypot(self.major_m, self.minor_m) / math.sqrt(2.0)
        )

    def covariance(self) -> Covariance:
        """Variances of east and north and their covariance, square metres: (east, north, both)."""
        angle = math.radians(self.azimuth_deg)
        s, c, a, b = math.sin(angle), math.cos(angle), self.major_m**2, self.minor_m**2
        return a * s * s + b * c * c, a * c * c + b * s * s, (a - b) * s * c


def circle(accuracy_m: float) -> Ellipse:
    """The ellipse of a position that is known alike in every direction."""
    return Ellipse(accuracy_m, accuracy_m, 0.0)


def crosswise(bearing_deg: float, along_m: float, across_m: float) -> Ellipse:
    """The ellipse with some metres along a true bearing and some across it.

    >>> crosswise(190.0, 1.0, 2.0)
    Ellipse(major_m=2.0, minor_m=1.0, azimuth_deg=100.0)
    """
    if along_m >= across_m:
        return Ellipse(along_m, across_m, bearing_deg % 180.0)
    return Ellipse(across_m, along_m, (bearing_deg + 90.0) % 180.0)


def from_covariance(east: float, north: float, both: float) -> Ellipse:
    """The ellipse of variances of east and north and their covariance, square metres.

    >>> from_covariance(9.0, 4.0, 0.0)
    Ellipse(major_m=3.0, minor_m=2.0, azimuth_deg=90.0)
    """
    middle, half = (east + north) / 2.0, math.hypot((east - north) / 2.0, both)
    azimuth_deg = math.degrees(0.5 * math.atan2(2.0 * both, north - east)) if half > 1e-12 else 0.0
    return Ellipse(
        math.sqrt(max(0.0, middle + half)),
        math.sqrt(max(0.0, middle - half)),
        wrap(azimuth_deg) % 180.0,
    )


def added(*ellipses: Ellipse) -> Ellipse:
    """The ellipse of a sum of independent errors."""
    return from_covariance(
        *(
            math.fsum(values)
            for values in zip(*(ellipse.covariance() for ellipse in ellipses), strict=True)
        )
    )
