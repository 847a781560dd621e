"""A place at the end of bearings and distances: what a walk asks for."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from ...earth.geodesy import EastNorth
from ...surveying.traverse import Leg, corners
from .place import Place


@dataclass(frozen=True)
class WalkedPlace(Place):
    """A place at the end of a way. `legs` are its legs, true bearings."""

    legs: tuple[Leg, ...] = ()

    @property
    def length_m(self) -> float:
        """The length of the way, metres."""
        return math.fsum(leg.distance_m for leg in self.legs)

    @property
    def along_deg(self) -> float:
        """From beginning to end, or along the last leg of a way that comes back."""
        if math.hypot(self.east_m, self.north_m) > 1.0:
            return math.degrees(math.atan2(self.east_m, self.north_m))
        return self.legs[-1].bearing_deg

    def segments(self) -> list[tuple[EastNorth, EastNorth]]:
        """Leg after leg."""
        return list(itertools.pairwise(corners(self.legs)))
