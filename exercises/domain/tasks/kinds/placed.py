"""What the kinds share whose answer is a place: it is named by a spot's code, or written as a grid
reference or coordinates.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...earth.angle_units import DEGREES, AngleUnit
from ...mistakes.predictions import outcomes
from ...mistakes.stages import HUNDRED, SWAPPED
from ..answer import Answer
from .base import Kind


class AnswerIsAPlace(Kind):
    """Such a kind says with `landings` where mistakes lead, and no other does.

    The needle is in it, but a place says too little of it: stations and compasses are judged by
    bearings alone.
    """

    reads_needle = False
    is_proposed = False

    def arithmetic(self, answer: Answer) -> tuple[str, str]:
        """The norths between which a bearing is turned here: from, to."""
        return "magnetic", answer.north

    def dial_bearing_deg(self, answer: Answer) -> None:
        """None: a place is no direction."""
        return None


def digit_turns(number_deg: float, unit: AngleUnit = DEGREES) -> Iterator[tuple[str, float, float]]:
    """Slips of the figures of a bearing on the way to a place, as they are written in the unit of
    the compass: (cause, degrees by which it turns, share).
    """
    for cause, writing in (("digits_swapped", SWAPPED), ("hundred_off", HUNDRED)):
        for other_deg, share in outcomes(number_deg, writing, unit):
            yield cause, other_deg - number_deg, share
