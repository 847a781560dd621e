"""Stand on the mark, given a bearing, face along it: which target lies there?

The stages of a sighted bearing run the other way round: the number is heard, turned to the dial's
north, set on the dial, and the body turns until the needle is boxed. A mis-set dial turns the body
the same way; whatever bends the needle turns it the opposite way. The answer is a target, so a
whole sector of directions gives the same one.
"""

from dataclasses import replace

from ...earth.angles import difference, wrap
from ...earth.norths import NORTHS
from ...mistakes.causes import IN_THE_FIELD, PERSISTENT
from ...mistakes.predictions import Prediction
from ...mistakes.stages import Fault, Turn, dial_faults, runs, swapped
from ...surveying.traverse import Leg
from ...words import say
from .. import wants
from ..answer import NoAnswer, Other
from ..forms import Target
from ..forms.target import WIDEST_HALF_SECTOR_DEG, seen_from
from ..site import UNSET
from . import ground
from .base import Kind


class OffTheLine(NoAnswer):
    """A given bearing that does not lead to the task's target."""


class Follow(Kind):
    """The target that lies along a given bearing."""

    code = "follow"
    form = Target
    parts = frozenset({wants.TARGET, wants.GIVEN})
    norths = NORTHS
    setting = IN_THE_FIELD

    def answer(self, task, site, on, sighted):
        """The answer of a task; the bearing given is the sight line's own to the whole degree,
        unless the task says another.

        A bearing given in another north is turned into the asked one. Raises OffTheLine for one
        along which another target lies.
        """
        exact = replace(ground.answer_on_ground(task, site, on, sighted), form=self.form())
        if task.given_deg is None:
            return replace(exact, given_deg=wrap(round(exact.expected_deg)), given_north=task.north)
        given_deg = exact.norths.turn(task.given_deg, task.given_north or task.north, task.north)
        off_deg = abs(difference(given_deg, exact.expected_deg))
        facing_deg = exact.norths.turn(given_deg, task.north, "true")
        nearer = [
            other.code
            for other in exact.others
            if abs(difference(other.bearing_deg, facing_deg)) < off_deg
        ]
        if nearer:
            raise OffTheLine(
                say(
                    "The bearing given is {degrees:.0f}° from {target}, and {other} lies nearer "
                    "to it. "
                    "Leave it empty for the line's own bearing, or choose another target.",
                    degrees=off_deg,
                    target=task.target,
                    other=nearer[0],
                )
            )
        if off_deg > WIDEST_HALF_SECTOR_DEG:
            raise OffTheLine(
                say(
                    "The bearing given is {degrees:.0f}° from {target}. Leave it empty for the "
                    "line's own bearing, or choose another target.",
                    degrees=off_deg,
                    target=task.target,
                )
            )
        return replace(exact, given_deg=given_deg, given_north=task.north)

    def shifted(self, answer, degrees, error_deg, *, with_others):
        """The answer where the needle is off by some degrees: whichever target now lies along the
        bearing given.
        """
        return self.facing(ground.shifted(answer, degrees, error_deg, with_others=with_others))

    def facing(self, answer):
        """An answer whose target is whichever lies along the bearing given."""
        bearings, facing_deg = (
            seen_from(answer, ""),
            answer.norths.turn(answer.given_deg, answer.north, "true"),
        )
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

    def line_told(self, answer):
        """The sight line, along which the bearing given leads."""
        return None if answer.given_deg is None else (answer.station, answer.target)

    def arithmetic(self, answer):
        """The norths between which a bearing is turned here: from, to."""
        return answer.north, "magnetic"

    def ways_walked(self, answer):
        """Where people walk, sound or with a habit: the cause to its legs, true bearings."""
        return {
            prediction.habit: (Leg(prediction.centre_deg, answer.distance_m),)
            for prediction in self.predictions(answer)
            if prediction.slip == "ok" and prediction.habit in ("ok", *PERSISTENT)
        }

    def predictions(self, answer, compass=UNSET):
        """All that may happen here. Directions are true, of what the person faces; a bent needle
        turns them the other way.
        """
        dial_north = "true" if compass.declination_is_set else "magnetic"
        to_dial = Turn(answer.norths.correction(answer.north, dial_north))
        to_ground = Turn(answer.norths.correction(dial_north, "true"))
        given = round(answer.given_deg)
        faults = (
            *(
                Fault("digits_swapped", "write", Turn(other - given), 0.5)
                for other in swapped(given)
            ),
            *(Fault("hundred_off", "write", Turn(shift), 0.5) for shift in (100.0, -100.0)),
            *(
                Fault(fault.cause, fault.stage, Turn(-fault.turn.shift_deg))
                for fault in ground.declination_faults(answer, dial_north)
            ),
            *dial_faults(to_dial(answer.given_deg), mirrored=1.0),
            Fault("reversed", "needle", Turn(180.0)),
            *(
                Fault("other_station", "stand", share=share, detail=code)
                for code, share in self._elsewhere(answer)
            ),
        )
        for habit, slip, by_stage, share in runs(faults, PERSISTENT):
            turn = Turn()
            for stage in ("write", to_dial, "arithmetic", "dial", to_ground, "needle"):
                turn = turn.then(
                    stage
                    if isinstance(stage, Turn)
                    else by_stage[stage].turn
                    if stage in by_stage
                    else Turn()
                )
            stand = by_stage.get("stand")
            yield Prediction(
                habit, slip, turn(answer.given_deg), -1, share, detail=stand.detail if stand else ""
            )

    def _elsewhere(self, answer):
        total = sum(station.share for station in answer.stations)
        return [(station.code, station.share / total) for station in answer.stations]
