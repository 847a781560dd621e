"""What the kinds share whose answer is a place: it is named by a spot's code, or written as a grid
reference or coordinates.
"""

from dataclasses import replace

from ...mistakes.predictions import outcomes
from ...mistakes.stages import HUNDRED, SWAPPED
from .. import places
from ..places import Placed
from . import ground
from .base import Kind


class AnswerIsAPlace(Kind):
    """How a place is read, kept and compared. The diagnosis asks such a kind for its `landings`
    (`place_diagnosis`), and no other for them.

    The needle is in it, but a place says too little of it: stations and compasses are judged by
    bearings alone.
    """

    widget = "place"
    needs_target = True
    gives_bearing = False
    reads_needle = False
    uses_compass = True
    is_proposed = False

    def shifted(self, answer, degrees, error_deg, with_others):
        """The answer itself: a place is where it is."""
        return answer

    def arithmetic(self, answer):
        """The norths between which a bearing is turned here: from, to."""
        return "magnetic", answer.north

    def choices(self, answer):
        """The codes that may be named, T2 before T10, so that the order gives nothing away."""
        return sorted(
            (spot.code for spot in answer.where.spots), key=lambda code: (len(code), code)
        )

    def columns(self, seen):
        """What was given, as plain columns; a spot is kept by its code, so that it means the same
        however the key moves.
        """
        if seen.spot:
            return {"target": seen.spot}
        return {"east_m": seen.east_m, "north_m": seen.north_m, "half_m": seen.half_m}

    def restore(self, answer, kept):
        """What was given, from its columns."""
        return (
            places.named(answer.where, kept.target)
            if kept.target
            else Placed("", kept.east_m, kept.north_m, kept.half_m)
        )

    def is_right(self, answer, seen):
        """Whether the spot named is the one asked for."""
        return bool(seen.spot) and seen.spot == answer.where.right

    def _base(self, task, site, on, sighted):
        """The answer of the line from station to target, with nothing that it may be mistaken
        for.
        """
        return replace(ground.answer_on_ground(task, site, on, sighted), others=(), stations=())


def digit_turns(number_deg):
    """Slips of the figures of a bearing on the way to a place: (cause, degrees by which it turns,
    share).
    """
    for cause, writing in (("digits_swapped", SWAPPED), ("hundred_off", HUNDRED)):
        for other_deg, share in outcomes(number_deg, writing):
            yield cause, other_deg - number_deg, share
