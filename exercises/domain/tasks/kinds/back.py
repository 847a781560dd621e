"""The bearing from the target to the mark, without going there: the given one turned round. No
needle is in it.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import replace

from ...earth.angles import back, wrap
from ...earth.norths import NORTHS
from ...mistakes.causes import IN_A_SUM
from ...mistakes.predictions import Prediction
from ...mistakes.stages import Fault, Turn
from .. import budget, wants
from ..answer import Answer, Ends
from ..site import UNSET, Compass, Site, Task
from . import ground
from .base import Sighted
from .written import DIGIT_FAULTS, WithoutNeedle, carry_faults, over_360


class Back(WithoutNeedle):
    """The back bearing of a sight line, reckoned from its fore bearing."""

    code = "back"
    parts = frozenset({wants.TARGET, wants.GIVEN})
    setting = IN_A_SUM

    def answer(self, task: Task, site: Site, on: datetime.date, sighted: Sighted) -> Answer:
        """The answer of a task. Given is the sight line's own bearing to the whole degree, unless
        the task says another, in the asked north.
        """
        line = ground.answer_along_line(task, site, on)
        exact_deg = line.expected_deg
        if task.given_deg is not None:
            given_north = task.given_north or task.north
            exact_deg = line.norths.turn(task.given_deg, given_north, task.north)
        given_deg = wrap(round(exact_deg))
        bearings_deg = {
            north: line.norths.turn(back(given_deg), task.north, north) for north in NORTHS
        }
        return replace(
            line,
            bearings_deg=bearings_deg,
            budget=budget.of_arithmetic(),
            given_deg=given_deg,
            given_north=task.north,
        )

    def line_told(self, answer: Answer) -> Ends:
        """The sight line, whose fore bearing is given."""
        return answer.station, answer.target

    def arithmetic(self, answer: Answer) -> tuple[str, str]:
        """The norths between which a bearing is turned here: from, to."""
        return answer.north, answer.north

    def predictions(self, answer: Answer, compass: Compass = UNSET) -> Iterator[Prediction]:
        """All that may happen to the sum: the fore bearing given back, 180 less it or 360 less it,
        slips of carrying and of digits.

        None of it is a habit of the field: who boxes the needle the wrong way round may turn a
        bearing round well.
        """
        faults = (
            Fault("reversed", "arithmetic", Turn(180.0)),
            Fault("mirrored", "arithmetic", Turn(360.0, -1), 0.5),
            Fault("mirrored", "arithmetic", Turn(180.0, -1), 0.5),
            *carry_faults(compass.unit),
            *DIGIT_FAULTS,
            *over_360(answer.bearing_given_deg, 180.0),
        )
        return self.slips(faults, answer.expected_deg)
