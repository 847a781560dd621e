"""From a course on a site to what a rotation needs: minutes, safe ways, dangers at stations."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Mapping, Sequence

from ..earth import geodesy
from ..mistakes.causes import IN_THE_FIELD
from ..planning.hazards import Hazard, astray, crossed, dangers_near
from ..planning.walking import naismith_minutes
from ..tasks.answer import Answer
from ..tasks.kinds import kind_of
from ..tasks.site import Site
from ..words import say
from .rotation_values import Asked, Group, NoRotation, Problem, Station, Way, Ways

# A beginner needs three to five minutes at a station with one task: common practice, no source.
# Here one person with one task takes 3, two or three take 4.
SETTLE_MIN = 1.0  # arriving, finding the mark, reading what is asked
TASK_MIN = 2.0  # one person's reading, reckoned and written down
TURN_MIN = 0.5  # each person more at a mark on which one stands at a time
NEAR_DANGER_M = 50.0  # somebody stays at a station this near to one; common practice, no source


def minutes_for(answer: Answer, people: int) -> float:
    """How long a group of some people, 1 or more, needs for a task, minutes.

    One reading, half a minute more for each person more where they take turns on the mark (kinds
    of the field; sums and maps are done side by side), and for kinds in which people walk the way
    there and back by Naismith's rule. Common practice, no source.
    """
    kind = kind_of(answer.kind)
    turns = people - 1 if kind.setting == IN_THE_FIELD else 0
    legs = kind.ways_walked(answer).get("ok", ())
    walk_m = 2.0 * math.fsum(leg.distance_m for leg in legs)
    return TASK_MIN + TURN_MIN * turns + naismith_minutes(walk_m, 0.0)


def problem(
    answers: Sequence[Answer],
    site: Site,
    groups: Sequence[Group],
    *,
    hazards: Sequence[Hazard] = (),
    kept: Collection[str] = (),
    places: Mapping[str, int] | None = None,
    task_minutes: Mapping[str, float] | None = None,
    base: str = "",
    minutes: float | None = None,
    helpers: int | None = None,
) -> Problem:
    """The rotation of a course: its stations in the order of its tasks.

    `kept` are the names of dangers whose crossing somebody keeps; over others nobody is sent.
    `places`: stations that take two groups at once; `task_minutes`: tasks whose minutes are known
    better than by `minutes_for`. `base` is the code of a point. Raises NoRotation, UnknownPoint.
    """
    people = max((group.size for group in groups), default=1)
    known = task_minutes or {}
    stations = []
    for code in dict.fromkeys(answer.station for answer in answers):
        here = [answer for answer in answers if answer.station == code]
        asked = tuple(
            Asked(one.task, one.north, one.kind, known.get(one.task, minutes_for(one, people)))
            for one in here
        )
        is_dangerous = _is_dangerous(code, here, site, hazards)
        stations.append(Station(code, asked, SETTLE_MIN, (places or {}).get(code, 1), is_dangerous))
    marks = [*dict.fromkeys([*([base] if base else ()), *(one.code for one in stations)])]
    return Problem(
        stations=tuple(stations),
        groups=tuple(groups),
        ways=safe_ways(marks, site, hazards, kept),
        minutes=minutes,
        base=base,
        helpers=helpers,
    )


def _is_dangerous(
    code: str, answers: Sequence[Answer], site: Site, hazards: Sequence[Hazard]
) -> bool:
    """Whether a danger is near a station, or where its tasks might lead."""
    position = site.point(code).position
    return bool(dangers_near(position, hazards, NEAR_DANGER_M)) or any(
        astray(answer, position, hazards) for answer in answers
    )


def safe_ways(
    marks: Sequence[str], site: Site, hazards: Sequence[Hazard] = (), kept: Collection[str] = ()
) -> Ways:
    """The quickest way from each mark to each other: straight, or by way of other marks where a
    danger lies between; over a danger that is kept only where there is no other way.

    Raises NoRotation where there is none but over a danger that nobody keeps.
    """
    ways = dict(_straight(marks, site, hazards, kept))
    # shortest ways by R. W. Floyd, Communications of the ACM 5 (1962) 345, from memory
    for middle, start, end in itertools.product(marks, repeat=3):
        if start == end or middle in (start, end):
            continue
        one, other, known = (
            ways.get(pair) for pair in ((start, middle), (middle, end), (start, end))
        )
        if one and other:
            joined = _joined(one, middle, other)
            if known is None or _order(joined) < _order(known):
                ways[start, end] = joined
    for start, end in itertools.permutations(marks, 2):
        if (start, end) not in ways:
            raise NoRotation(
                say(
                    "There is no way from “{start}” to “{end}” but over a danger. Say who keeps "
                    "the crossing, or leave out the stations on one side.",
                    start=start,
                    end=end,
                )
            )
    return ways


def _straight(
    marks: Sequence[str], site: Site, hazards: Sequence[Hazard], kept: Collection[str]
) -> Ways:
    """The straight ways that cross no danger, or only kept ones."""
    places = {code: site.point(code).position for code in marks}
    heights = {
        code: place.elevation_m for code, place in places.items() if place.elevation_m is not None
    }
    is_known = len(heights) == len(places)  # one height alone says nothing of a rise
    ways = {}
    for start, end in itertools.permutations(marks, 2):
        dangers = {hazard.name for hazard in crossed(places[start], places[end], hazards)}
        if dangers <= set(kept):
            apart_m = geodesy.apart_m(places[start], places[end])
            rise_m = max(0.0, heights[end] - heights[start]) if is_known else 0.0
            minutes = naismith_minutes(apart_m, rise_m)
            ways[start, end] = Way(apart_m, minutes, (), tuple(sorted(dangers)))
    return ways


def _order(way: Way) -> tuple[int, float, float]:
    """By which ways are compared: dangers, then minutes, then metres."""
    return len(way.kept), round(way.minutes, 9), round(way.length_m, 6)


def _joined(one: Way, middle: str, other: Way) -> Way:
    """Two ways as one."""
    return Way(
        one.length_m + other.length_m,
        one.minutes + other.minutes,
        (*one.via, middle, *other.via),
        (*one.kept, *other.kept),
    )
