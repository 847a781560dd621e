"""What all kinds share that are answered with a bearing in figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...earth.angle_units import AngleUnit
from ...earth.norths import NORTHS
from ...mistakes.predictions import Prediction
from ...mistakes.stages import DROPPED, HUNDRED, MILS, OVER, STAGES, SWAPPED, Fault, Turn, runs
from ..forms import Bearing
from .base import Kind

DIGIT_FAULTS = (
    Fault("digits_swapped", "write", writing=SWAPPED),
    Fault("digit_dropped", "write", writing=DROPPED),
    Fault("hundred_off", "write", writing=HUNDRED),
    Fault("mils", "write", writing=MILS),
)


def carry_faults(unit: AngleUnit) -> tuple[Fault, ...]:
    """The faults of a carry in a sum: one or two of what the narrower labels of a dial are apart,
    10 and 20 degrees, 100 and 200 mils. Shares are common practice, no source.
    """
    one, two = (unit.degrees(label) for label in reversed(unit.labels))
    return tuple(
        Fault("ten_off", "write", Turn(shift), share)
        for shift, share in ((one, 0.4), (-one, 0.4), (two, 0.1), (-two, 0.1))
    )


def over_360(before_deg: float, added_deg: float) -> tuple[Fault, ...]:
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

    def slips(self, faults: Sequence[Fault], right_deg: float) -> Iterator[Prediction]:
        """Every fault by itself, and none, as predictions: none of them is a habit of the field."""
        for run in runs(faults, persistent=()):
            given_deg = run.turn(STAGES)(right_deg)
            yield Prediction(run.habit, run.slip, given_deg, 0, run.share, run.writing, run.detail)
