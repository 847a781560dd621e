"""Follow bearings and paced distances, leg after leg, and report the marker reached.

The bearings are given, set on the dial and walked: as in `follow`, a mis-set dial turns a leg the
same way, whatever bends the needle the opposite way. A marker covers the ground that is nearer to
it than to the others.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from ...earth import geodesy
from ...earth.angles import wrap
from ...earth.ellipse import Ellipse, added
from ...earth.geodesy import EastNorth
from ...earth.norths import NORTHS, Norths
from ...mistakes.causes import IN_THE_FIELD
from ...mistakes.predictions import Landing
from ...mistakes.stages import dial_faults
from ...surveying import traverse
from ...surveying.traverse import Leg
from ...words import say
from .. import wants
from ..answer import Answer, NoAnswer
from ..forms.place import Spot
from ..forms.walked_place import WalkedPlace
from ..site import UNSET, Compass, Site, Task
from . import ground
from .base import Sighted
from .placed import AnswerIsAPlace, digit_turns

# rates of causes are shares of all readings; legs and paces go wrong in walks alone; common
# practice, no source
WALKS_ALONE = 3.0
PACES_COUNTED = 0.5, 2.0  # every step for a double one, or the reverse
FEWEST_MARKERS = 4  # marks carry their letter; where there are fewer, every point is a marker
FARTHEST_MARKER_TIMES = 2.0  # of the way's length: beyond it nobody ends


class NowhereToGo(NoAnswer):
    """A walk whose legs lead to its target already, so that the last one has no direction, or so
    far off that none is left.
    """


class Walk(AnswerIsAPlace):
    """The marker at the end of bearings and paced distances."""

    code = "walk"
    form = WalkedPlace
    parts = frozenset({wants.TARGET, wants.LEGS})
    norths = NORTHS
    setting = IN_THE_FIELD

    def answer(self, task: Task, site: Site, on: datetime.date, sighted: Sighted) -> Answer:
        """The answer of a task. The last leg leads to the target: to the whole degree and metre as
        the others are. The legs begin at the mark and end at the marker, wherever these truly are,
        so that both surveys are in the ellipse. Raises NowhereToGo.
        """
        line, start = ground.answer_along_line(task, site, on), site.point(task.station)
        origin, target = start.position, site.point(task.target)
        goal = geodesy.east_north_m(origin, target.position)
        legs = _legs(task, line.norths, goal)
        place = WalkedPlace(
            origin.latitude_deg,
            origin.longitude_deg,
            site.sheet_epsg(origin),
            *goal,
            added(_walked(line, legs), start.error, target.error),
            task.full_credit_m,
            task.part_credit_m,
            spots=_markers(task, site, traverse.misclosure(legs).length_m),
            right=task.target,
            survey=start.error,
            legs=legs,
        )
        return replace(line, form=place)

    def given_legs(self, answer: Answer) -> list[Leg]:
        """The legs as they are given: in the asked north."""
        to_asked_deg = answer.norths.correction("true", answer.north)
        return [leg.turned(to_asked_deg) for leg in WalkedPlace.of(answer).legs]

    def landings(self, answer: Answer, compass: Compass = UNSET) -> Iterator[Landing]:
        """All that may happen: the needle or the declination turns every leg alike; a slip turns,
        stretches or leaves out one; paces counted by another foot.
        """
        legs = WalkedPlace.of(answer).legs
        for habit, way in self.ways_walked(answer, compass).items():
            yield _landing(answer, habit, "ok", way)
        for factor in PACES_COUNTED:
            stretched = [leg.stretched(factor) for leg in legs]
            yield _landing(answer, "ok", "paces", stretched, 0.35 * WALKS_ALONE)
        for place, leg in enumerate(legs):
            for cause, changed, share in self._slips(answer, leg, compass):
                walked = [*legs[:place], *([changed] if changed else []), *legs[place + 1 :]]
                part = share / len(legs)
                yield _landing(answer, "ok", cause, walked, part, str(place + 1))

    def ways_walked(self, answer: Answer, compass: Compass = UNSET) -> dict[str, tuple[Leg, ...]]:
        """Where people walk, sound or with a habit: the cause to its legs, true bearings."""
        turns = {
            fault.cause: -fault.turn.shift_deg
            for fault in ground.declination_faults(answer, compass.dial_north)
        }
        return {
            cause: tuple(leg.turned(degrees) for leg in WalkedPlace.of(answer).legs)
            for cause, degrees in {"ok": 0.0, **turns, "reversed": 180.0}.items()
        }

    def _slips(
        self, answer: Answer, leg: Leg, compass: Compass
    ) -> Iterator[tuple[str, Leg | None, float]]:
        """Slips of one leg as (cause, what was walked instead or None, share)."""
        dial_deg = wrap(leg.bearing_deg + answer.norths.correction("true", compass.dial_north))
        yield "reversed", leg.turned(180.0), 1.0
        for fault in dial_faults(dial_deg, mirrored=1.0, unit=compass.unit):
            yield fault.cause, leg.turned(fault.turn(dial_deg) - dial_deg), fault.share
        # digits are exchanged as they are heard or read off the card
        card_deg = wrap(leg.bearing_deg + answer.norths.correction("true", answer.north))
        for cause, turn_deg, share in digit_turns(card_deg, compass.unit):
            yield cause, leg.turned(turn_deg), share
        for factor in PACES_COUNTED:
            yield "paces", leg.stretched(factor), 0.15 * WALKS_ALONE
        if len(WalkedPlace.of(answer).legs) > 1:
            yield "leg_left_out", None, WALKS_ALONE


def _legs(task: Task, norths: Norths, goal: EastNorth) -> tuple[Leg, ...]:
    """The legs of a task and the last one, true bearings. Raises NowhereToGo."""
    to_true_deg = norths.correction(task.north, "true")
    given = tuple(leg.turned(to_true_deg) for leg in task.legs)
    left = traverse.misclosure(given, *goal)
    if not traverse.SHORTEST_LEG_M <= left.linear_m <= traverse.LONGEST_LEG_M:
        raise NowhereToGo(
            say(
                "The last leg would be {metres:.0f} m long. Change the legs, or choose "
                "another target.",
                metres=left.linear_m,
            )
        )
    towards_deg = math.degrees(math.atan2(-left.east_m, -left.north_m))
    last_deg = wrap(round(norths.turn(towards_deg, "true", task.north)))
    return (*given, Leg(last_deg, float(round(left.linear_m))).turned(to_true_deg))


def _markers(task: Task, site: Site, length_m: float) -> tuple[Spot, ...]:
    """The points at which a way of some length may end: marks, which carry their letter, or every
    point where there are few.
    """
    origin, reach_m = site.point(task.station).position, FARTHEST_MARKER_TIMES * length_m
    near = []
    for code, point in site.points.items():
        spot = Spot(code, *geodesy.east_north_m(origin, point.position), point.error)
        is_near = math.hypot(spot.east_m, spot.north_m) <= reach_m
        if code == task.target or (code != task.station and is_near):
            near.append(spot)
    marks = [spot for spot in near if spot.code == task.target or site.point(spot.code).is_station]
    return tuple(marks if len(marks) >= FEWEST_MARKERS else near)


def _walked(answer: Answer, legs: Sequence[Leg]) -> Ellipse:
    """The ellipse of where a way ends that is walked by a needle, in `answer`'s field: the key's
    declination turns all of its legs alike.
    """
    return traverse.ellipse_of(legs, answer.budget.degrees("declination"))


def _landing(
    answer: Answer,
    habit: str,
    slip: str,
    legs: Sequence[Leg],
    share: float = 1.0,
    detail: str = "",
) -> Landing:
    """Where a way leads, with the survey of the mark where it begins."""
    scatter = WalkedPlace.of(answer).with_survey(_walked(answer, legs))
    return Landing(habit, slip, *traverse.end(legs), scatter, share, detail)
