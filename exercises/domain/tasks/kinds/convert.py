"""Turn a given bearing from one north into another. No needle is in it: the ground and the compass
cannot be at fault.
"""

from ...earth.norths import NORTHS, UnknownNorth
from ...mistakes.causes import IN_A_SUM, PERSISTENT
from ...mistakes.predictions import Prediction
from ...mistakes.stages import Fault, Turn, runs
from ...words import say
from .. import budget, wants
from ..answer import Answer, NoAnswer
from ..site import UNSET
from .written import CARRY_FAULTS, DIGIT_FAULTS, WithoutNeedle, over_360


class NothingGiven(NoAnswer):
    """A task to convert that gives no bearing, or gives it in the north that is asked."""


class Convert(WithoutNeedle):
    """A bearing reckoned from one north into another."""

    code = "convert"
    parts = frozenset({wants.GIVEN})
    is_proposed = False
    setting = IN_A_SUM

    def answer(self, task, site, on, sighted):
        """The answer of a task, with the norths of its station. Raises NothingGiven,
        UnknownNorth.
        """
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
                say(
                    "The given north and the asked north are the same: there is nothing to convert."
                )
            )
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
                north: norths.turn(task.given_deg, task.given_north, north) for north in NORTHS
            },
            distance_m=0.0,
            budget=budget.of_arithmetic(),
            declination_model=declination.model,
            declination_uncertainty_deg=declination.uncertainty_deg,
            warning=declination.warning,
            given_deg=task.given_deg,
            given_north=task.given_north,
        )

    def dial_bearing_deg(self, answer):
        """None: it is no direction on the ground."""
        return None

    def arithmetic(self, answer):
        """The norths between which a bearing is turned here: from, to."""
        return answer.given_north, answer.north

    def predictions(self, answer, compass=UNSET):
        """All that may happen to the sum: the angle left out, the wrong way or twice; the wrong
        angle; slips of carrying.
        """
        angle_deg = answer.norths.correction(answer.given_north, answer.north)
        faults = (
            *self._angle_faults(answer, angle_deg),
            *CARRY_FAULTS,
            Fault("mirrored", "write", Turn(360.0, -1)),
            *DIGIT_FAULTS,
            *over_360(answer.given_deg, angle_deg),
        )
        for habit, slip, by_stage, share in runs(faults, PERSISTENT):
            turn = Turn(angle_deg)
            for stage in ("arithmetic", "write"):
                turn = turn.then(by_stage[stage].turn if stage in by_stage else Turn())
            written = by_stage.get("write")
            yield Prediction(
                habit,
                slip,
                turn(answer.given_deg),
                0,
                share,
                written.writing if written else "plain",
            )

    def _angle_faults(self, answer, angle_deg):
        pair = {answer.given_north, answer.north}
        if pair == {"true", "grid"}:
            yield Fault("convergence_ignored", "arithmetic", Turn(-angle_deg))
            return
        yield Fault("declination_ignored", "arithmetic", Turn(-angle_deg))
        yield Fault("declination_wrong_way", "arithmetic", Turn(-2.0 * angle_deg))
        yield Fault("declination_twice", "arithmetic", Turn(angle_deg))
        mixed_deg = (
            answer.norths.convergence_deg if "grid" in pair else -answer.norths.convergence_deg
        )
        yield Fault(
            "convergence_ignored",
            "arithmetic",
            Turn(mixed_deg if answer.north != "magnetic" else -mixed_deg),
        )
