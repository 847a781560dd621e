"""Measure a bearing on the practice map, with the compass as a protractor. No needle is in it, and
the ground is not either.
"""

from dataclasses import replace

from ...mistakes.causes import ON_A_MAP
from ...mistakes.stages import Fault, Turn, dial_faults
from ...words import say
from .. import budget, wants
from ..answer import NoAnswer
from ..site import UNSET
from . import ground
from .written import DIGIT_FAULTS, WithoutNeedle


class NotOnAMap(NoAnswer):
    """A bearing off the map that is asked in magnetic."""


class MapBearing(WithoutNeedle):
    """The bearing from one point of the sheet to another, in the north of its lines."""

    code = "map"
    parts = frozenset({wants.TARGET, wants.FIELD_HALF})
    norths = ("true", "grid")
    setting = ON_A_MAP

    def answer(self, task, site, on, sighted):
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

    def on_map(self, answer):
        """The codes of the points that the map must show."""
        return answer.station, answer.target

    def line_asked(self, answer):
        """The line measured."""
        return answer.station, answer.target

    def line_measured(self, answer):
        """The same: its field half goes on with it."""
        return answer.station, answer.target

    def arithmetic(self, answer):
        """The norths between which a bearing is turned here: from, to."""
        return answer.north, answer.north

    def predictions(self, answer, compass=UNSET):
        """All that may happen on the sheet: another line, its wrong end or the housing's wrong
        lines, the dial misread, a needless declination, digits.

        None of it is a habit of the field, where the needle is.
        """
        norths, asked_deg = answer.norths, answer.expected_deg
        needless_deg = norths.correction(answer.north, "magnetic")
        return self.slips(
            (
                *ground.as_faults(
                    answer.stations, "other_station", "stand", answer.bearings_deg["true"]
                ),
                *ground.as_faults(
                    answer.others, "other_target", "aim", answer.bearings_deg["true"]
                ),
                Fault(
                    "reversed", "needle", Turn(180.0)
                ),  # the edge from the wrong end, or the housing's lines towards the south
                *dial_faults(asked_deg, mirrored=1.0),
                Fault("declination_ignored", "arithmetic", Turn(needless_deg)),
                Fault("declination_twice", "arithmetic", Turn(-needless_deg)),
                Fault(
                    "convergence_ignored",
                    "arithmetic",
                    Turn(
                        norths.correction(
                            answer.north, "grid" if answer.north == "true" else "true"
                        )
                    ),
                ),
                *DIGIT_FAULTS,
            ),
            asked_deg,
        )
