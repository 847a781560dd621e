"""Stand on the mark, given a bearing, face along it: which target lies there?

The stages of a sighted bearing run the other way round: the number is heard, turned to the dial's
north, set on the dial, and the body turns until the needle is boxed. A mis-set dial turns the body
the same way; whatever bends the needle turns it the opposite way. The answer is a target, so a
whole sector of directions gives the same one.
"""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Iterator
from dataclasses import replace

from ...earth.angle_units import AngleUnit
from ...earth.angles import difference, wrap
from ...earth.norths import NORTHS
from ...mistakes.causes import IN_THE_FIELD, PERSISTENT
from ...mistakes.predictions import Prediction
from ...mistakes.stages import Fault, Turn, dial_faults, runs
from ...surveying.traverse import Leg
from ...words import say
from .. import wants
from ..answer import Answer, Ends, NoAnswer, Other
from ..forms import Target
from ..forms.target import WIDEST_HALF_SECTOR_DEG, seen_from
from ..site import UNSET, Compass, Site, Task
from . import ground
from .base import Kind, Sighted


class OffTheLine(NoAnswer):
    """A given bearing that does not lead to the task's target."""


class Follow(Kind):
    """The target that lies along a given bearing."""

    code = "follow"
    form = Target
    parts = frozenset({wants.TARGET, wants.GIVEN})
    norths = NORTHS
    setting = IN_THE_FIELD

    def answer(self, task: Task, site: Site, on: datetime.date, sighted: Sighted) -> Answer:
        """The answer of a task; the bearing given is the sight line's own to the whole degree,
        unless the task says another.

        A bearing given in another north is turned into the asked one. Raises OffTheLine for one
        along which another target lies.
        """
        line = ground.with_views(ground.answer_on_ground(task, site, on, sighted), site)
        exact = replace(line, form=self.form())
        if task.given_deg is None:
            return replace(exact, given_deg=wrap(round(exact.expected_deg)), given_north=task.north)
        given_deg = exact.norths.turn(task.given_deg, task.given_north or task.north, task.north)
        _check_line(exact, given_deg)
        return replace(exact, given_deg=given_deg, given_north=task.north)

    def shifted(
        self, answer: Answer, degrees: float, error_deg: float, *, with_others: bool
    ) -> Answer:
        """The answer where the needle is off by some degrees: whichever target now lies along the
        bearing given.
        """
        return self.facing(ground.shifted(answer, degrees, error_deg, with_others=with_others))

    def facing(self, answer: Answer) -> Answer:
        """An answer whose target is whichever lies along the bearing given."""
        bearings = seen_from(answer, "")
        facing_deg = answer.norths.turn(answer.bearing_given_deg, answer.north, "true")
        nearest = min(
            bearings, key=lambda code: (abs(difference(bearings[code], facing_deg)), code)
        )
        if nearest == answer.target:
            return answer
        turn_deg = bearings[nearest] - answer.bearings_deg["true"]
        here = {
            north: wrap(bearing_deg + turn_deg)
            for north, bearing_deg in answer.bearings_deg.items()
        }
        others = (
            *(other for other in answer.others if other.code != nearest),
            Other(answer.target, answer.bearings_deg["true"]),
        )
        return replace(answer, target=nearest, bearings_deg=here, others=others)

    def line_told(self, answer: Answer) -> Ends | None:
        """The sight line, along which the bearing given leads."""
        return None if answer.given_deg is None else (answer.station, answer.target)

    def lines_sighted(self, answer: Answer) -> tuple[Ends, ...]:
        """The line to the target that is to be named."""
        return ((answer.station, answer.target),)

    def lines_looked_along(self, task: Task) -> tuple[Ends, ...]:
        """The line to the target that is to be named."""
        return ((task.station, task.target),)

    def arithmetic(self, answer: Answer) -> tuple[str, str]:
        """The norths between which a bearing is turned here: from, to."""
        return answer.north, "magnetic"

    def ways_walked(self, answer: Answer) -> dict[str, tuple[Leg, ...]]:
        """Where people walk, sound or with a habit: the cause to its legs, true bearings."""
        # no fault or one come before all pairs (`stages.chains`)
        singles = itertools.takewhile(
            lambda prediction: "ok" in (prediction.habit, prediction.slip),
            self.predictions(answer),
        )
        return {
            prediction.habit: (Leg(prediction.centre_deg, answer.distance_m),)
            for prediction in singles
            if prediction.slip == "ok" and prediction.habit in ("ok", *PERSISTENT)
        }

    def predictions(self, answer: Answer, compass: Compass = UNSET) -> Iterator[Prediction]:
        """All that may happen here. Directions are true, of what the person faces; a bent needle
        turns them the other way.
        """
        dial_north, given_deg = compass.dial_north, answer.bearing_given_deg
        to_dial = Turn(answer.norths.correction(answer.north, dial_north))
        to_ground = Turn(answer.norths.correction(dial_north, "true"))
        faults = (
            *self._misheard(given_deg, compass.unit),
            *(
                Fault(fault.cause, fault.stage, Turn(-fault.turn.shift_deg))
                for fault in ground.declination_faults(answer, dial_north)
            ),
            *dial_faults(to_dial(given_deg), mirrored=1.0, unit=compass.unit),
            Fault("reversed", "needle", Turn(180.0)),
            *self._elsewhere(answer),
        )
        steps = ("write", to_dial, "arithmetic", "dial", to_ground, "needle")
        for run in runs(faults, PERSISTENT):
            facing_deg = run.turn(steps)(given_deg)
            yield Prediction(run.habit, run.slip, facing_deg, -1, run.share, detail=run.detail)

    def _misheard(self, given_deg: float, unit: AngleUnit) -> Iterator[Fault]:
        """Faults of the number given, as it is heard or read off the card, in the unit of the
        compass.
        """
        number = unit.whole(given_deg)
        for other in unit.swapped(number):
            turn = Turn(unit.degrees(other - number))
            yield Fault("digits_swapped", "write", turn, 1.0 / (unit.digits - 1))
        first_deg = unit.degrees(unit.first_digit)
        for shift_deg in (first_deg, -first_deg):
            yield Fault("hundred_off", "write", Turn(shift_deg), 0.5)

    def _elsewhere(self, answer: Answer) -> Iterator[Fault]:
        """Standing on another mark; the shares add up to one."""
        total = sum(station.share for station in answer.stations)
        for station in answer.stations:
            share = station.share / total
            yield Fault("other_station", "stand", share=share, detail=station.code)


def _check_line(answer: Answer, given_deg: float) -> None:
    """Raises OffTheLine for a bearing given along which the target of an answer does not lie."""
    off_deg = abs(difference(given_deg, answer.expected_deg))
    facing_deg = answer.norths.turn(given_deg, answer.north, "true")
    nearer = [
        other.code
        for other in answer.others
        if abs(difference(other.bearing_deg, facing_deg)) < off_deg
    ]
    if nearer:
        raise OffTheLine(
            say(
                "The bearing given is {degrees:.0f}° from {target}, and {other} lies nearer to it. "
                "Leave it empty for the line's own bearing, or choose another target.",
                degrees=off_deg,
                target=answer.target,
                other=nearer[0],
            )
        )
    if off_deg > WIDEST_HALF_SECTOR_DEG:
        raise OffTheLine(
            say(
                "The bearing given is {degrees:.0f}° from {target}. Leave it empty for the "
                "line's own bearing, or choose another target.",
                degrees=off_deg,
                target=answer.target,
            )
        )
