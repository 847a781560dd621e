"""A place where position lines meet: what a fix and an intersection ask for."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...earth.angle_units import DEGREES, AngleUnit
from ...earth.geodesy import EastNorth
from ...surveying.position_lines import PositionLine, cut
from .. import map_references
from .place import Place, Placed, Spot

if TYPE_CHECKING:
    from ..answer import Answer
    from ..spots import Lettering


@dataclass(frozen=True)
class CrossedPlace(Place):
    """A place where position lines meet. `lines` are true bearings from known points."""

    fewest_spots = 3
    is_typed = True

    lines: tuple[PositionLine, ...] = ()

    @property
    def reach_m(self) -> float:
        """How far out the farthest known point lies, metres."""
        return max(math.hypot(line.east_m, line.north_m) for line in self.lines)

    @property
    def best_cut_deg(self) -> float:
        """The best angle between two of the lines, (0, 90]."""
        return max(cut(one, other) for one, other in itertools.combinations(self.lines, 2))

    @property
    def spots_on_map(self) -> tuple[Spot, ...]:
        """All of them."""
        return self.spots

    def position_lines(self) -> tuple[PositionLine, ...]:
        """All of them."""
        return self.lines

    def known_points(self) -> dict[str, EastNorth]:
        """The known points, by code."""
        return {line.point: (line.east_m, line.north_m) for line in self.lines}

    def segments(self) -> list[tuple[EastNorth, EastNorth]]:
        """From each known point to the right place."""
        right = (self.east_m, self.north_m)
        return [((line.east_m, line.north_m), right) for line in self.lines]

    def parse(
        self, answer: Answer, text: str, *, is_mils: bool = False, unit: AngleUnit = DEGREES
    ) -> Placed:
        """A spot, a grid reference or coordinates. Raises NotASpot."""
        return map_references.read(self, text)

    def lettered(self, lettering: Lettering) -> CrossedPlace:
        """The same with letters for its spots."""
        return lettering.letter(self)
