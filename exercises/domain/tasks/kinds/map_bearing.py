"""Measure a bearing on the practice map, with the compass as a protractor. No needle is in it, and
the ground is not either.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import replace

from ...mistakes.causes import ON_A_MAP
from ...mistakes.predictions import Prediction
from ...mistakes.stages import Fault, Turn, dial_faults
from ...words import say
from .. import budget, wants
from ..answer import Answer, Ends, NoAnswer
from ..site import UNSET, Compass, Site, Task
from . import ground
from .base import Sighted
from .written import DIGIT_FAULTS, WithoutNeedle


class NotOnAMap(NoAnswer):
    """A bearing off the map that is asked in magnetic."""


class MapBearing(WithoutNeedle):
    """The bearing from one point of the sheet to another, in the north of its lines."""

    code = "map"
    parts = frozenset({wants.TARGET, wants.FIELD_HALF})
    norths = ("true", "grid")
    setting = ON_A_MAP

    def answer(self, task: Task, site: Site, on: datetime.date, sighted: Sighted) -> Answer:
        """The answer of a task. Points are drawn where they were surveyed, so that only the
        measuring is uncertain. Raises NotOnAMap.
        """
        if task.north not in self.norths:
            raise NotOnAMap(
                say(
                    "A map shows true or grid north: ask for one of these, or choose another "
                    "kind of task for magnetic."
                )
            )
        return replace(
            ground.answer_on_ground(task, site, on, sighted), budget=budget.of_map_bearing()
        )

    def on_map(self, answer: Answer) -> tuple[str, ...]:
        """The codes of the points that the map must show."""
        return answer.station, answer.target

    def line_asked(self, answer: Answer) -> Ends:
        """The line measured."""
        return answer.station, answer.target

    def line_measured(self, answer: Answer) -> Ends:
        """The same: its field half goes on with it."""
        return answer.station, answer.target

    def arithmetic(self, answer: Answer) -> tuple[str, str]:
        """The norths between which a bearing is turned here: from, to."""
        return answer.north, answer.north

    def predictions(self, answer: Answer, compass: Compass = UNSET) -> Iterator[Prediction]:
        """All that may happen on the sheet: another line, its wrong end or the housing's wrong
        lines, the dial misread, a needless declination, digits.

        None of it is a habit of the field, where the needle is.
        """
        norths, true_deg = answer.norths, answer.bearings_deg["true"]
        needless_deg = norths.correction(answer.north, "magnetic")
        unwanted_deg = norths.correction(answer.north, ground.other_map_north(answer.north))
        faults = (
            *ground.as_faults(answer.stations, "other_station", "stand", true_deg),
            *ground.as_faults(answer.others, "other_target", "aim", true_deg),
            # the edge from the wrong end, or the housing's lines towards the south
            Fault("reversed", "needle", Turn(180.0)),
            *dial_faults(answer.expected_deg, mirrored=1.0, unit=compass.unit),
            Fault("declination_ignored", "arithmetic", Turn(needless_deg)),
            Fault("declination_twice", "arithmetic", Turn(-needless_deg)),
            Fault("convergence_ignored", "arithmetic", Turn(unwanted_deg)),
            *DIGIT_FAULTS,
        )
        return self.slips(faults, answer.expected_deg)
