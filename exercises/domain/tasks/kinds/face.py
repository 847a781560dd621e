"""The field half of a bearing off the map: stand on the mark, face along what was measured, and
name the target that lies there.

A person goes on with their own number, right or wrong, so that this half shows what the hands do
with a bearing and the map half how it was measured.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ...earth.angles import difference
from .. import north_angle, wants
from ..answer import Answer, Ends
from ..forms import Target
from ..forms.target import Chosen
from .follow import Follow


@dataclass(frozen=True)
class FacedTarget(Target):
    """A target that is judged along the bearing which the person goes on with."""

    def error_deg(self, answer: Answer, seen: Chosen) -> float:
        """By how much farther than the nearest target the one named lies from the bearing that was
        faced, degrees: between two targets nobody can say which is meant.
        """
        faced_deg = answer.bearing_given_deg
        off_deg = difference(self.direction(answer, seen), faced_deg)
        least_deg = difference(answer.expected_deg, faced_deg)
        return math.copysign(max(0.0, abs(off_deg) - abs(least_deg)), off_deg)


class Face(Follow):
    """The target along the bearing that the person measured in the task before."""

    code = "face"
    form = FacedTarget
    parts = frozenset({wants.TARGET})
    is_proposed = False
    norths = ("true", "grid")
    angle_way = north_angle.ON_MAP

    def line_told(self, answer: Answer) -> None:
        """None: the person goes on with a number of their own."""
        return None

    def line_gone_on_with(self, answer: Answer) -> Ends:
        """The line that is faced."""
        return answer.station, answer.target

    def sought_at(self, answer: Answer) -> tuple[str, ...]:
        """The target: the map has a letter for it."""
        return (answer.target,)

    def hidden_on_map(self, answer: Answer) -> tuple[str, ...]:
        """All that may be named: of those on a map the one that is missing would be the answer."""
        return tuple(FacedTarget.of(answer).choices(answer))

    def going_on(self, answer: Answer, heard_deg: float) -> Answer:
        """The answer for a person who measured `heard_deg` in the asked north: whichever target
        lies along that.
        """
        return self.facing(replace(answer, given_deg=heard_deg))
