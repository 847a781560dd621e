"""Where you stand matters: two marks near each other, the same bearing given at both, and what lies
at the end of each line.

The lines are parallel, so the wrong mark misses by the same distance however far one walks; but the
nearer the target, the more the bearing to it turns with the mark. Both follow from plane geometry,
no outside source needed.
"""

from __future__ import annotations

import contextlib
import datetime
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..earth import geodesy
from ..earth.angles import difference, wrap
from ..earth.geodesy import Position
from ..earth.norths import Norths
from ..earth.uncertainty import across
from ..tasks.answer import Answer
from ..tasks.bands import Band
from ..tasks.kinds import kind_of
from ..tasks.kinds.base import Sighted
from ..tasks.site import Site, Task
from .hazards import astray
from .surroundings import Surroundings

Codes = tuple[str, str]  # of two marks, or of two targets
Positions = Mapping[str, Position]  # of points, by code

NEAR_M = 200.0  # marks farther apart are no neighbours; common practice, no source
# lines nearer to each other than this teach nothing with a baseplate compass; common practice, no
# source
LEAST_ASIDE_M = 5.0
# from the second mark the bearing given need not be its target's own to the degree, but must lead
# to it
MOST_OFF_DEG = 4.0
MOST_OFFERS, MOST_NEIGHBOURS = 3, 40
SHOWN_M = (50.0, 100.0, 300.0)  # lengths of line for which the turn is told


@dataclass(frozen=True)
class Pair:
    """The bearing `given_deg` in `north` leads from `stations[0]` to `targets[0]` and from
    `stations[1]` to `targets[1]`.

    `apart_m` lies between the marks, `aside_m` between the parallel lines, `ends_m` between the
    targets; `tasks` are the numbers of the tasks that ask it, empty for an offer.
    """

    stations: tuple[str, str]
    targets: tuple[str, str]
    given_deg: float
    north: str
    apart_m: float
    aside_m: float
    ends_m: float
    tasks: tuple[str, ...] = ()

    @property
    def turns_deg(self) -> tuple[tuple[float, float], ...]:
        """What standing at the other mark turns the bearing to a target by, as (length of line in
        metres, degrees).
        """
        return tuple((length_m, across(self.aside_m, length_m)) for length_m in SHOWN_M)


def _pair(
    stations: Codes,
    targets: Codes,
    given_deg: float,
    north: str,
    true_deg: float,
    positions: Positions,
    tasks: tuple[str, ...] = (),
) -> Pair:
    """A pair with its distances; `positions` by code, `true_deg` the direction that the bearing
    given has on the ground.
    """
    one, other = (positions[code] for code in stations)
    line = geodesy.sight_line(one, other)
    return Pair(
        stations,
        targets,
        given_deg,
        north,
        line.distance_m,
        abs(line.distance_m * math.sin(math.radians(difference(line.bearing_deg, true_deg)))),
        geodesy.apart_m(positions[targets[0]], positions[targets[1]]),
        tasks,
    )


def offers(
    ground: Surroundings, on: datetime.date, band: Band, north: str = "magnetic"
) -> list[Pair]:
    """Pairs of tasks to follow that the ground offers, the clearest first, one for each two marks:
    a list of at most MOST_OFFERS `Pair`.

    None of them leads into a danger, not by a habit of the declination either (`hazards.astray`),
    or begins where the needle is bent.
    """
    best: dict[frozenset[str], Pair] = {}
    for pair in _clearest_first(ground, on, north):
        if len(best) == MOST_OFFERS:
            break
        marks = frozenset(pair.stations)
        if (
            marks not in best
            and pair.aside_m >= LEAST_ASIDE_M
            and _can_be_asked(pair, ground, on, band)
        ):
            best[marks] = pair
    return list(best.values())


def _clearest_first(ground: Surroundings, on: datetime.date, north: str) -> list[Pair]:
    """The pairs of the nearest marks, by how few degrees the bearing is off at the second."""
    site = ground.site
    positions = {code: point.position for code, point in site.points.items()}
    bearings = {
        code: _bearings(site, code)
        for code, point in site.points.items()
        if point.is_station and code not in ground.bent
    }
    near = sorted(
        (geodesy.apart_m(positions[one], positions[other]), one, other)
        for one, other in itertools.combinations(
            [code for code, seen in bearings.items() if seen], 2
        )
    )
    lines: list[tuple[float, Pair]] = []
    for apart_m, one, other in near[:MOST_NEIGHBOURS]:
        if geodesy.MILLIMETRE <= apart_m <= NEAR_M:
            norths, _ = site.north_of(positions[one], on)
            for stations in ((one, other), (other, one)):
                lines += _lines(stations, bearings, norths, north, positions)
    lines.sort(key=lambda line: (round(line[0], 2), line[1].stations, line[1].targets))
    return [pair for _, pair in lines]


def _bearings(site: Site, station: str) -> dict[str, float]:
    """True bearings of the targets worth asking for at a station, by code."""
    bearings = {}
    for code in site.choices_from(station):
        with contextlib.suppress(geodesy.SamePoint):
            bearings[code] = site.sight_line(station, code).bearing_deg
    return bearings


def _lines(
    stations: Codes,
    bearings: Mapping[str, Mapping[str, float]],
    norths: Norths,
    north: str,
    positions: Positions,
) -> Iterator[tuple[float, Pair]]:
    """(degrees off at the second mark, pair) for each target of the first whose bearing leads from
    the second to another target.
    """
    codes, seen = list(bearings[stations[1]]), np.array(list(bearings[stations[1]].values()))
    for target, bearing_deg in bearings[stations[0]].items():
        given_deg = wrap(round(norths.turn(bearing_deg, "true", north)))
        true_deg = norths.turn(given_deg, north, "true")
        off_deg = np.abs((seen - true_deg + 180.0) % 360.0 - 180.0)
        other = codes[int(off_deg.argmin())]
        if off_deg.min() <= MOST_OFF_DEG and len({target, other, *stations}) == 4:
            yield (
                float(off_deg.min()),
                _pair(stations, (target, other), given_deg, north, true_deg, positions),
            )


def _can_be_asked(pair: Pair, ground: Surroundings, on: datetime.date, band: Band) -> bool:
    """Whether both tasks have an answer, and neither leads anybody into a danger."""
    sighted = Sighted(zip(pair.stations, pair.targets, strict=True))
    for station, target in sighted:
        task = Task("", "follow", station, target, pair.north, band, pair.given_deg, pair.north)
        try:
            answer = kind_of(task.kind).answer(task, ground.site, on, sighted)
        except ValueError:
            return False
        if astray(answer, ground.site.point(station).position, ground.hazards):
            return False
    return True


def asked(answers: Sequence[Answer], positions: Positions) -> list[Pair]:
    """The pairs that the tasks of a key make, in their order: the same bearing given at two marks,
    leading to different targets. `positions` by code.
    """
    given = [
        answer
        for answer in answers
        if kind_of(answer.kind).line_told(answer) and kind_of(answer.kind).ways_walked(answer)
    ]
    return [
        _pair(
            (one.station, other.station),
            (one.target, other.target),
            one.bearing_given_deg,
            one.given_north,
            one.norths.turn(one.bearing_given_deg, one.given_north, "true"),
            positions,
            (one.task, other.task),
        )
        for one, other in itertools.combinations(given, 2)
        if _are_a_pair(one, other)
    ]


def _are_a_pair(one: Answer, other: Answer) -> bool:
    """Whether two tasks give the same bearing at two marks, leading to different targets."""
    return (
        one.given_north == other.given_north
        and difference(one.bearing_given_deg, other.bearing_given_deg) == 0.0
        and one.station != other.station
        and one.target != other.target
    )
