"""Which targets might be seen from a station, before anybody has noted it: how far each is, and
whether the ground is known to rise before it.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable
from dataclasses import dataclass

from ..earth import geodesy
from ..earth.geodesy import SightLine
from ..tasks.site import Site
from .sight_profile import Rise, rises

USUAL_M = 500  # where no line of a site is noted yet; common practice, no source
LEAST_REACH_M, MOST_REACH_M = 10, 20_000  # as far off as a point of a site may lie
ROUND_M = 50  # a reach is offered in steps of this


@dataclass(frozen=True)
class Sight:
    """A target as it lies from a station: the line to it, None where both are one spot, and the
    worst rise of the ground over it, None where none is known.
    """

    target: str
    line: SightLine | None
    rise: Rise | None = None

    def is_expected(self, within_m: float) -> bool:
        """Whether it is seen where a station sees all that is no farther than some metres: not
        behind a rise, and not where the station itself is.
        """
        return self.line is not None and self.rise is None and self.line.distance_m <= within_m


def sights(site: Site, station: str) -> list[Sight]:
    """All that can be sighted on a site but the station itself, the nearest first. Raises
    UnknownPoint.
    """
    targets = [code for code, point in site.points.items() if point.is_target and code != station]
    return sorted(
        (_sight(site, station, target) for target in targets),
        key=lambda sight: (sight.line.distance_m if sight.line else 0.0, sight.target),
    )


def _sight(site: Site, station: str, target: str) -> Sight:
    """One target as it lies from a station."""
    line = _line(site, station, target)
    if line is None:
        return Sight(target, None)
    worst = max(rises(site, station, target), key=lambda rise: rise.below_m, default=None)
    return Sight(target, line, worst)


def _line(site: Site, station: str, target: str) -> SightLine | None:
    """The line between two points, None where both are one spot."""
    try:
        return site.sight_line(station, target)
    except geodesy.SamePoint:
        return None


def expected(sights: Iterable[Sight], within_m: float) -> set[str]:
    """The codes of the targets that a station sees which sees all within some metres."""
    return {sight.target for sight in sights if sight.is_expected(within_m)}


def usual_reach_m(site: Site) -> int:
    """How far a station of this site sees, metres, in whole ROUND_M: the median of the farthest
    line noted at each, so that one spire far off does not count for all; USUAL_M before any is.
    """
    farthest_m = [
        max(line.distance_m for line in lines)
        for station, targets in site.visible.items()
        if (lines := [line for code in targets if (line := _line(site, station, code))])
    ]
    if not farthest_m:
        return USUAL_M
    return ROUND_M * math.ceil(statistics.median(farthest_m) / ROUND_M)
