"""Turn a given bearing from one north into another. No needle is in it: the ground and the compass
cannot be at fault.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from ...earth.norths import NORTHS, UnknownNorth
from ...mistakes.causes import IN_A_SUM, PERSISTENT
from ...mistakes.predictions import Prediction
from ...mistakes.stages import Fault, Turn, runs
from ...words import say
from .. import budget, wants
from ..answer import Answer, NoAnswer
from ..site import UNSET, Compass, Site, Task
from .base import Sighted
from .written import DIGIT_FAULTS, WithoutNeedle, carry_faults, over_360


class NothingGiven(NoAnswer):
    """A task to convert that gives no bearing, or gives it in the north that is asked."""


class Convert(WithoutNeedle):
    """A bearing reckoned from one north into another."""

    code = "convert"
    parts = frozenset({wants.GIVEN})
    is_proposed = False
    setting = IN_A_SUM

    def answer(self, task: Task, site: Site, on: datetime.date, sighted: Sighted) -> Answer:
        """The answer of a task, with the norths of its station. Raises NothingGiven,
        UnknownNorth.
        """
        given_deg = _given_deg(task)
        norths, declination = site.north_of(site.point(task.station).position, on)
        return Answer(
            task=task.label,
            kind=task.kind,
            station=task.station,
            target="",
            north=task.north,
            band=task.band,
            norths=norths,
            bearings_deg={
                north: norths.turn(given_deg, task.given_north, north) for north in NORTHS
            },
            distance_m=0.0,
            budget=budget.of_arithmetic(),
            declination_model=declination.model,
            declination_uncertainty_deg=declination.uncertainty_deg,
            warning=declination.warning,
            given_deg=given_deg,
            given_north=task.given_north,
        )

    def dial_bearing_deg(self, answer: Answer) -> None:
        """None: it is no direction on the ground."""
        return None

    def arithmetic(self, answer: Answer) -> tuple[str, str]:
        """The norths between which a bearing is turned here: from, to."""
        return answer.given_north, answer.north

    def predictions(self, answer: Answer, compass: Compass = UNSET) -> Iterator[Prediction]:
        """All that may happen to the sum: the angle left out, the wrong way or twice; the wrong
        angle; slips of carrying.
        """
        given_deg = answer.bearing_given_deg
        angle_deg = answer.norths.correction(answer.given_north, answer.north)
        faults = (
            *self._angle_faults(answer, angle_deg),
            *carry_faults(compass.unit),
            Fault("mirrored", "write", Turn(360.0, -1)),
            *DIGIT_FAULTS,
            *over_360(given_deg, angle_deg),
        )
        for run in runs(faults, PERSISTENT):
            turned_deg = run.turn((Turn(angle_deg), "arithmetic", "write"))(given_deg)
            yield Prediction(run.habit, run.slip, turned_deg, 0, run.share, run.writing)

    def _angle_faults(self, answer: Answer, angle_deg: float) -> Iterator[Fault]:
        """Faults of the angle between the two norths, which turns the bearing given."""
        pair = {answer.given_north, answer.north}
        if pair == {"true", "grid"}:
            yield Fault("convergence_ignored", "arithmetic", Turn(-angle_deg))
            return
        yield Fault("declination_ignored", "arithmetic", Turn(-angle_deg))
        yield Fault("declination_wrong_way", "arithmetic", Turn(-2.0 * angle_deg))
        yield Fault("declination_twice", "arithmetic", Turn(angle_deg))
        convergence_deg = answer.norths.convergence_deg
        mixed_deg = convergence_deg if "grid" in pair else -convergence_deg
        shift_deg = -mixed_deg if answer.north == "magnetic" else mixed_deg
        yield Fault("convergence_ignored", "arithmetic", Turn(shift_deg))


def _given_deg(task: Task) -> float:
    """The bearing that a task gives. Raises NothingGiven, UnknownNorth."""
    if task.given_deg is None:
        raise NothingGiven(
            say(
                "This task needs the bearing that is given (given_deg), and its north "
                "(given_north)."
            )
        )
    if task.given_north not in NORTHS:
        raise UnknownNorth(
            say(
                "“{north}” is not a north for the given bearing. Use one of: {norths}.",
                north=task.given_north,
                norths=", ".join(NORTHS),
            )
        )
    if task.given_north == task.north:
        raise NothingGiven(
            say("The given north and the asked north are the same: there is nothing to convert.")
        )
    return task.given_deg
