"""What `sight` and `follow` share: a sight line on the ground, and a needle."""

from __future__ import annotations

import contextlib
import datetime
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from ...earth.angles import difference, wrap
from ...earth.geodesy import SamePoint
from ...earth.norths import NORTHS
from ...mistakes.stages import Fault, Turn
from .. import budget
from ..answer import Answer, Other
from ..site import Site, Task
from .base import Sighted

# a point that the course never sights is mistaken for the target less often than one that it does
UNUSED_SHARE = 0.25
# Beyond so many, what may be mistaken for a mark or a target is anything: on a site of two hundred
# points work would grow with their square.
MOST_MARKS, MOST_OTHERS = 12, 24


def answer_on_ground(task: Task, site: Site, on: datetime.date, sighted: Sighted) -> Answer:
    """The answer of a task along a sight line: its bearing in each north, its budget, and the
    points it may be mistaken for.
    """
    return replace(
        answer_along_line(task, site, on),
        others=tuple(_other_targets(task, site, sighted)),
        stations=tuple(_other_stations(task, site, sighted)),
    )


def answer_along_line(task: Task, site: Site, on: datetime.date) -> Answer:
    """The same with nothing that it may be mistaken for."""
    station, target = site.point(task.station), site.point(task.target)
    line = site.sight_line(task.station, task.target)
    norths, declination = site.north_of(station.position, on)
    return Answer(
        task=task.label,
        kind=task.kind,
        station=task.station,
        target=task.target,
        north=task.north,
        band=task.band,
        norths=norths,
        bearings_deg={north: norths.turn(line.bearing_deg, "true", north) for north in NORTHS},
        distance_m=line.distance_m,
        budget=budget.of_sight_line(
            line.distance_m,
            station.error.across(line.bearing_deg),
            target.error.across(line.bearing_deg),
            declination.uncertainty_deg,
        ),
        declination_model=declination.model,
        declination_uncertainty_deg=declination.uncertainty_deg,
        warning=declination.warning,
    )


def shifted(answer: Answer, degrees: float, error_deg: float, *, with_others: bool) -> Answer:
    """The answer as a needle reads it that is off by some degrees here; what they are not sure by
    goes into the budget.

    `with_others`: the whole station is off, so that the other targets read so too; else this target
    alone has moved.
    """
    return replace(
        answer,
        bearings_deg={
            north: wrap(bearing_deg + degrees) for north, bearing_deg in answer.bearings_deg.items()
        },
        budget=budget.Budget((*answer.budget.terms, budget.Term("correction", error_deg))),
        others=tuple(
            replace(other, bearing_deg=wrap(other.bearing_deg + degrees)) if with_others else other
            for other in answer.others
        ),
    )


def _other_targets(task: Task, site: Site, sighted: Sighted) -> Iterator[Other]:
    """What may be taken for the task's target at its station."""
    for code, line in site.lines_from(task.station):
        if code != task.target:
            share = 1.0 if code in sighted.targets else UNUSED_SHARE
            yield Other(code, line.bearing_deg, share)


def _other_stations(task: Task, site: Site, sighted: Sighted) -> Iterator[Other]:
    """The marks that may be taken for the task's station: those that see its target. Of many those
    that the course uses, and the nearest.
    """
    used = sighted.stations
    for code in _likely_marks(task, site, used):
        with contextlib.suppress(SamePoint):
            line = site.sight_line(code, task.target)
            yield Other(code, line.bearing_deg, 1.0 if code in used else UNUSED_SHARE)


def with_views(answer: Answer, site: Site) -> Answer:
    """An answer whose other marks know what is seen from them, for one that is a target."""
    return replace(
        answer,
        stations=tuple(
            replace(mark, targets=_view(site, mark.code, answer.target)) for mark in answer.stations
        ),
    )


def _view(site: Site, mark: str, target: str) -> tuple[tuple[str, float], ...]:
    """(code, true bearing) of what is seen from a mark, a target among it."""
    if target in site.targets_from(mark):
        return site.view_from(mark)
    own = (target, site.sight_line(mark, target).bearing_deg)
    return tuple(sorted((*site.view_from(mark), own)))


def _likely_marks(task: Task, site: Site, used: Collection[str]) -> list[str]:
    """The marks at which somebody may stand instead, at most MOST_MARKS, as the site has them."""
    marks = [code for code in site.stations if code not in (task.station, task.target)]
    if len(marks) <= MOST_MARKS:
        return marks
    lines = site.lines_to_stations(task.station)
    away_m = {code: line.distance_m for code, line in lines if code != task.target}
    nearest = sorted(away_m, key=lambda code: (code not in used, away_m[code]))[:MOST_MARKS]
    return [code for code in marks if code in nearest]


def declination_faults(answer: Answer, dial_north: str) -> Iterator[Fault]:
    """Faults of the declination arithmetic, as turns of an answer in the asked north.

    What is to be added lies between the dial's north (magnetic, or true on a set compass) and the
    asked one: D, or D - C for grid. Where the dial shows the asked north already, nothing is to be
    done, so it can only be done needlessly: magnetic comes out as true, and what a set compass
    shows gets the declination once more.
    """
    declination_deg = answer.norths.declination_deg
    if dial_north == answer.north == "magnetic":
        yield Fault("declination_ignored", "arithmetic", Turn(declination_deg))
        return
    if dial_north == "true" and answer.north != "magnetic":
        yield Fault("declination_twice", "arithmetic", Turn(declination_deg))
    else:
        angle_deg = answer.norths.correction(dial_north, answer.north)
        yield Fault("declination_ignored", "arithmetic", Turn(-angle_deg))
        yield Fault("declination_wrong_way", "arithmetic", Turn(-2.0 * angle_deg))
        yield Fault("declination_twice", "arithmetic", Turn(angle_deg))
    if answer.north != "magnetic":
        shift_deg = answer.norths.correction(answer.north, other_map_north(answer.north))
        yield Fault("convergence_ignored", "arithmetic", Turn(shift_deg))


def other_map_north(north: str) -> str:
    """Of true and grid north the one that is not meant."""
    return "grid" if north == "true" else "true"


def as_faults(others: Sequence[Other], cause: str, stage: str, from_deg: float) -> Iterator[Fault]:
    """Points that may be mistaken for another, as faults that turn the bearing; their shares add up
    to one. Of many those of the course, and the nearest by bearing.
    """
    likely = sorted(
        others, key=lambda other: (-other.share, abs(difference(other.bearing_deg, from_deg)))
    )[:MOST_OTHERS]
    total = sum(other.share for other in likely)
    for other in likely:
        yield Fault(
            cause, stage, Turn(other.bearing_deg - from_deg), other.share / total, detail=other.code
        )
