"""What all kinds share that are answered with a bearing in figures."""

from ...earth.norths import NORTHS
from ...mistakes.predictions import Prediction
from ...mistakes.stages import DROPPED, HUNDRED, MILS, OVER, PLAIN, SWAPPED, Fault, Turn, runs
from ..forms import Bearing
from .base import Kind

DIGIT_FAULTS = (
    Fault("digits_swapped", "write", writing=SWAPPED),
    Fault("digit_dropped", "write", writing=DROPPED),
    Fault("hundred_off", "write", writing=HUNDRED),
    Fault("mils", "write", writing=MILS),
)
CARRY_FAULTS = tuple(
    Fault("ten_off", "write", Turn(shift), share)
    for shift, share in ((10.0, 0.4), (-10.0, 0.4), (20.0, 0.1), (-20.0, 0.1))
)  # of a sum; common practice, no source


def over_360(before_deg, added_deg):
    """The fault of leaving a sum as it is that ran past 360, where this one does."""
    return (Fault("over_360", "write", writing=OVER),) if before_deg + added_deg >= 360.0 else ()


class WrittenBearing(Kind):
    """A kind that is answered with a bearing in figures, in whichever north is asked."""

    form = Bearing
    norths = NORTHS


class WithoutNeedle(WrittenBearing):
    """The same for an answer that is reckoned or measured: the ground and the compass cannot be at
    fault.
    """

    reads_needle = uses_compass = False

    def slips(self, faults, right_deg):
        """Every fault by itself, and none, as predictions: none of them is a habit of the field."""
        for habit, slip, by_stage, share in runs(faults, persistent=()):
            turn, writing, detail = Turn(), PLAIN, ""
            for fault in by_stage.values():
                turn, writing, detail = fault.turn, fault.writing, fault.detail
            yield Prediction(habit, slip, turn(right_deg), 0, share, writing, detail)
