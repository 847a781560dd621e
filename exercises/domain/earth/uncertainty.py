"""How uncertainties add up and what an offset across a line does to its bearing.

Root sum of squares of uncorrelated terms, JCGM 100:2008 (GUM) 5.1.2 equation (10); limits +-a of
which nothing more is known count a / sqrt(3) (4.3.7).
"""

from __future__ import annotations

import math
from collections.abc import Iterable

# A baseplate compass is good to 2 to 3 degrees; these are limits, not one sigma. Common practice:
# practitioners' figures, no published test of novices.
COMPASS_LIMIT_DEG = 2.0


def combine(degrees: Iterable[float]) -> float:
    """Root sum of squares.

    >>> combine([3.0, 4.0])
    5.0
    """
    return math.sqrt(math.fsum(value * value for value in degrees))


def across(offset_m: float, distance_m: float) -> float:
    """The angle in degrees by which an offset across a line turns it: atan(offset / distance)."""
    return math.degrees(math.atan2(offset_m, distance_m))


def rounding(step_deg: float) -> float:
    """Standard uncertainty of reading to the nearest step: step / sqrt(12). Source: GUM 4.3.7,
    F.2.2.1.
    """
    return step_deg / math.sqrt(12.0)
