"""What all kinds share that are answered with a bearing in figures."""

from ...earth.angles import Written, parse_bearing
from ...earth.norths import NORTHS
from ...mistakes.predictions import Prediction, meant, outcomes
from ...mistakes.stages import DROPPED, HUNDRED, MILS, OVER, PLAIN, SWAPPED, Fault, Turn, runs
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
    """How a bearing in figures is read, kept and compared."""

    widget = "bearing"
    norths = NORTHS

    def parse(self, answer, text):
        """What was written, as `Written`. Raises NotABearing."""
        return parse_bearing(text)

    def columns(self, seen):
        """What was written, as plain columns."""
        return {"value_deg": seen.degrees, "value_mils": seen.mils}

    def restore(self, answer, kept):
        """What was written, from its columns."""
        return Written(kept.value_deg, kept.value_mils)

    def direction(self, answer, seen):
        """The direction of what was written, in the asked north, degrees."""
        return seen.degrees

    def is_right(self, answer, seen):
        """Never: a bearing is more or less right."""
        return False

    def meant(self, answer, seen, prediction):
        """The directions that may have been meant, as the prediction has it: a list of `Meant`."""
        return meant(seen, prediction.writing)

    def outcomes(self, answer, prediction):
        """The bearings in the asked north that a prediction comes out as, each with its share."""
        return outcomes(prediction.centre_deg, prediction.writing)


class WithoutNeedle(WrittenBearing):
    """The same for an answer that is reckoned or measured: the ground and the compass cannot be at
    fault.
    """

    reads_needle = uses_compass = False

    def shifted(self, answer, degrees, error_deg, with_others):
        """The answer itself: no needle is in it."""
        return answer

    def slips(self, faults, right_deg):
        """Every fault by itself, and none, as predictions: none of them is a habit of the field."""
        for habit, slip, by_stage, share in runs(faults, persistent=()):
            turn, writing, detail = Turn(), PLAIN, ""
            for fault in by_stage.values():
                turn, writing, detail = fault.turn, fault.writing, fault.detail
            yield Prediction(habit, slip, turn(right_deg), 0, share, writing, detail)
