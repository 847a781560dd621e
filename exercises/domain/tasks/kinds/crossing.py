"""A position from bearings on two or three known points: where do I stand (resection), and its
mirror, where is what several stations see (intersection)?

The bearings are taken with the needle, turned to the north of the practice map, and plotted; the
answer is a lettered spot of the map, a grid reference or coordinates. A person's habit turns all
the lines, a slip one of them. With two known points a turn of all lines moves a resection along the
circle through both of them and the true place; with three it opens a triangle of error. A back
bearing drawn the wrong way out is the same line.
"""

from __future__ import annotations

import contextlib
import datetime
import itertools
import math
from abc import abstractmethod
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from ...earth import geodesy
from ...earth.angles import wrap
from ...earth.ellipse import Ellipse, added
from ...earth.uncertainty import combine
from ...mistakes.causes import IN_THE_FIELD
from ...mistakes.predictions import Landing
from ...mistakes.stages import dial_faults
from ...surveying.hand_drawn import middle, place_of
from ...surveying.position_lines import NoCrossing, PositionLine, cross
from ...words import say
from .. import budget, north_angle, wants
from ..answer import Answer, Ends, NoAnswer
from ..forms.crossed_place import CrossedPlace
from ..forms.place import EastNorth, Spot
from ..map_references import slips_of_figures
from ..site import UNSET, Compass, Site, Task
from . import ground
from .base import OtherLines, Sighted
from .placed import AnswerIsAPlace, digit_turns

FEWEST, MOST = 2, 3
MOST_OTHER_KNOWN = 24  # known points that are tried for a better fix
STATIONS, TARGETS = "stations", "targets"  # what the known points are
# of three lines that do not meet, how often people take the middle, and not the cut of two; common
# practice, no source
TAKES_MIDDLE = 0.6
DECOYS = 4
# figures of a reference are exchanged about as often as those of all the bearings together; common
# practice, no source
WRITTEN_SHARE = 1.0
APART_ELLIPSES, LEAST_APART_M = 4.0, 12.0  # spots that lie nearer cannot be told apart on the sheet


class TooFewPoints(NoAnswer):
    """A fix with too few known points, or with one named twice."""


class Crossing(AnswerIsAPlace):
    """What resection and intersection share."""

    form = CrossedPlace
    parts = frozenset({wants.TARGET, wants.KNOWN_POINTS})
    norths = ("true", "grid")  # that of the map on which the lines are drawn
    angle_way = north_angle.ON_MAP
    setting = IN_THE_FIELD
    known_points_are: str  # STATIONS to sight from, or TARGETS to sight
    exchanged: str  # the cause of taking one known point for another

    @abstractmethod
    def known(self, task: Task) -> tuple[str, ...]:
        """The codes of the known points."""

    @abstractmethod
    def sought(self, task: Task) -> str:
        """The code of the place sought."""

    @abstractmethod
    def ends_of_line(self, task: Task, known: str) -> Ends:
        """From where to where one looks for the line of a known point, as codes."""

    def lines_looked_along(self, task: Task) -> tuple[Ends, ...]:
        """One for each known point."""
        return tuple(self.ends_of_line(task, known) for known in self.known(task))

    @abstractmethod
    def turned_round(self, bearing_deg: float) -> float:
        """A bearing as it is observed, drawn from the known point; and the reverse."""

    def answer(self, task: Task, site: Site, on: datetime.date, sighted: Sighted) -> Answer:
        """The answer of a task: where the place sought was surveyed, and the ellipse that hands
        leave who draw with the bearings' budget, with that of the place's own survey. Raises
        TooFewPoints.
        """
        self._check(task)
        line, origin = ground.answer_along_line(task, site, on), site.point(task.station).position
        lines = tuple(self._position_line(code, task, site, line) for code in self.known(task))
        sought = site.point(self.sought(task))
        east_m, north_m = geodesy.east_north_m(origin, sought.position)
        place = CrossedPlace(
            origin.latitude_deg,
            origin.longitude_deg,
            site.sheet_epsg(origin),
            east_m,
            north_m,
            added(_crossed(lines), sought.error),
            task.full_credit_m,
            task.part_credit_m,
            spots=(Spot("right", east_m, north_m),),
            right="right",
            survey=sought.error,
            lines=lines,
        )
        answer = replace(line, form=place)
        shown = [
            geodesy.east_north_m(origin, point.position)
            for code, point in site.points.items()
            if code != self.sought(task)
        ]
        decoys = _decoys(place, self._places_drawn(answer), shown)
        return replace(answer, form=replace(place, spots=(*place.spots, *decoys)))

    def _check(self, task: Task) -> None:
        """Raises TooFewPoints where the known points cannot serve."""
        known = self.known(task)
        is_named_twice = len({*known, self.sought(task)}) < len(known) + 1
        if not FEWEST <= len(known) <= MOST or is_named_twice:
            raise TooFewPoints(say("A position needs bearings on two or three different points."))

    @abstractmethod
    def other_known(self, task: Task, site: Site) -> tuple[str, ...]:
        """The codes of the site's points that would serve as known ones too."""

    def lines_with_another(self, task: Task, site: Site, answer: Answer) -> Iterator[OtherLines]:
        """The lines with one other known point of the site, the nearest first: one more where there
        is room, or instead of one.
        """
        lines = CrossedPlace.of(answer).lines
        is_stood_on = self.known_points_are == STATIONS
        for code in self._nearest_known(task, site):
            new = self._position_line(code, task, site, answer)
            if len(lines) < MOST:
                yield OtherLines(code, "", is_stood_on, (*lines, new))
            for index, line in enumerate(lines):
                changed = (*lines[:index], new, *lines[index + 1 :])
                yield OtherLines(code, line.point, is_stood_on, changed)

    def _nearest_known(self, task: Task, site: Site) -> list[str]:
        """Other known points that lie apart from the place sought, the nearest first."""
        taken = {*self.known(task), self.sought(task)}
        here = site.point(self.sought(task)).position
        away_m = {
            code: geodesy.apart_m(here, site.point(code).position)
            for code in self.other_known(task, site)
            if code not in taken
        }
        apart = [code for code in away_m if away_m[code] > LEAST_APART_M]
        return sorted(apart, key=lambda code: (away_m[code], code))[:MOST_OTHER_KNOWN]

    def _position_line(self, code: str, task: Task, site: Site, answer: Answer) -> PositionLine:
        """The line of a known point to the place sought, with the budget of its bearing and of
        drawing it. The declination is off alike in all lines.
        """
        line = site.sight_line(*self.ends_of_line(task, code))
        whole = budget.of_sight_line(line.distance_m, 0.0, 0.0, answer.declination_uncertainty_deg)
        drawn = budget.of_map_bearing()
        origin = site.point(task.station).position
        east_m, north_m = geodesy.east_north_m(origin, site.point(code).position)
        away_deg = self.turned_round(line.bearing_deg)
        return PositionLine(
            code,
            east_m,
            north_m,
            away_deg,
            combine((whole.total_deg, drawn.total_deg)),
            site.point(code).error.across(away_deg),
            whole.degrees("declination"),
        )

    def on_map(self, answer: Answer) -> tuple[str, ...]:
        """The codes of the points that the map must show."""
        return tuple(line.point for line in CrossedPlace.of(answer).lines)

    def landings(self, answer: Answer, compass: Compass = UNSET) -> Iterator[Landing]:
        """All that may happen: sound lines, a declination left out or misapplied on all of them,
        one bearing with a slip, two points exchanged, figures exchanged in the reference.
        """
        place = CrossedPlace.of(answer)
        for drawn in self._drawings(answer, compass):
            with contextlib.suppress(NoCrossing):
                yield drawn.landing(place)
        yield from _misread(place)

    def _drawings(self, answer: Answer, compass: Compass) -> Iterator[_Drawing]:
        """What may be drawn, of `landings`, whether it meets or not."""
        lines = CrossedPlace.of(answer).lines
        yield from _drawn("ok", "ok", lines, 1.0, "")
        for fault in ground.declination_faults(answer, compass.dial_north):
            turned = [line.turned(fault.turn.shift_deg) for line in lines]
            yield from _drawn(fault.cause, "ok", turned, fault.share, "")
        for index, line in enumerate(lines):
            for cause, shift_deg, share in self._slips(answer, line, compass):
                changed = [*lines[:index], line.turned(shift_deg), *lines[index + 1 :]]
                yield from _drawn("ok", cause, changed, share / len(lines), line.point, index)
        yield from self._exchanged(lines)

    def _places_drawn(self, answer: Answer) -> Iterator[EastNorth]:
        """The places of `landings` alone, metres east and north."""
        for drawn in self._drawings(answer, UNSET):
            with contextlib.suppress(NoCrossing):
                yield place_of(drawn.lines)
        yield from slips_of_figures(CrossedPlace.of(answer))

    def _exchanged(self, lines: Sequence[PositionLine]) -> Iterator[_Drawing]:
        """Two known points taken for each other."""
        pairs = list(itertools.combinations(range(len(lines)), 2))
        for one, other in pairs:
            changed = list(lines)
            changed[one] = replace(lines[one], bearing_deg=lines[other].bearing_deg)
            changed[other] = replace(lines[other], bearing_deg=lines[one].bearing_deg)
            points = f"{lines[one].point} {lines[other].point}"
            yield from _drawn("ok", self.exchanged, changed, 1.0 / len(pairs), points)

    def observed_deg(self, line: PositionLine) -> float:
        """The true bearing that is observed for a line: from where one stands."""
        return self.turned_round(line.bearing_deg)

    def _slips(
        self, answer: Answer, line: PositionLine, compass: Compass
    ) -> Iterator[tuple[str, float, float]]:
        """Slips of one bearing as (cause, degrees by which its line turns, share); the number is
        the one on the dial.
        """
        to_dial_deg = answer.norths.correction("true", compass.dial_north)
        dial_deg = wrap(self.observed_deg(line) + to_dial_deg)
        for fault in dial_faults(dial_deg, mirrored=1.0, unit=compass.unit):
            yield fault.cause, fault.turn(dial_deg) - dial_deg, fault.share
        yield from digit_turns(dial_deg, compass.unit)


def _crossed(lines: tuple[PositionLine, ...]) -> Ellipse:
    """The ellipse of where hands find that lines meet. Raises TooFewPoints for lines that do not,
    or that no reckoning would make meet.
    """
    try:
        cross(lines)
        return middle(lines).ellipse
    except NoCrossing as error:
        raise TooFewPoints(
            say("{what} Choose known points that lie in other directions.", what=error.args[0])
        ) from error


def _misread(place: CrossedPlace) -> Iterator[Landing]:
    """Two neighbouring figures of the reference exchanged."""
    misread = slips_of_figures(place)
    for east_m, north_m in misread:
        share = WRITTEN_SHARE / len(misread)
        yield Landing(
            "ok", "digits_swapped", east_m, north_m, place.ellipse, share, is_written=True
        )


@dataclass(frozen=True)
class _Drawing:
    """Lines as somebody draws them who takes the middle of where they cut: the cause of all of them
    and of one, how often it comes out so, and the known point whose line went wrong.
    """

    habit: str
    slip: str
    lines: tuple[PositionLine, ...]
    share: float
    detail: str

    def landing(self, place: CrossedPlace) -> Landing:
        """Where it leads: as uncertain as a hand leaves it, and as the survey of the place sought.
        Raises NoCrossing.
        """
        found = middle(self.lines)
        scatter = place.with_survey(found.ellipse)
        return Landing(
            self.habit, self.slip, found.east_m, found.north_m, scatter, self.share, self.detail
        )


def _drawn(
    habit: str,
    slip: str,
    lines: Sequence[PositionLine],
    share: float,
    detail: str,
    wrong: int | None = None,
) -> Iterator[_Drawing]:
    """What is made of some lines: the middle of where they cut, and of three the cut of each two;
    with one of them gone wrong, the cuts with that one.
    """
    cuts = []
    if len(lines) == MOST:
        pairs = itertools.combinations(lines, 2)
        cuts = [pair for pair in pairs if wrong is None or lines[wrong] in pair]
    yield _Drawing(habit, slip, tuple(lines), share * (TAKES_MIDDLE if cuts else 1.0), detail)
    for pair in cuts:
        yield _Drawing(habit, slip, pair, share * (1.0 - TAKES_MIDDLE) / len(cuts), detail)


def _decoys(
    place: CrossedPlace, places: Iterable[EastNorth], shown: Sequence[EastNorth]
) -> list[Spot]:
    """Wrong spots for the map: where likely mistakes lead, apart from the right one, from each
    other and from the points that the map shows, within the ground that these take up: a spot far
    out would make the map small for all, or too large for any paper.
    """
    right = (place.east_m, place.north_m)
    apart_m = max(APART_ELLIPSES * place.ellipse.major_m, 2.0 * place.part_m, LEAST_APART_M)
    bounds = _bounds((right, *shown))
    likely = [spot for spot in places if _is_within(spot, bounds)]
    around = sorted(_around(place, apart_m), key=lambda spot: not _is_within(spot, bounds))
    chosen: list[EastNorth] = []
    for tried, most in (
        (likely, DECOYS),
        (around, CrossedPlace.fewest_spots),
    ):
        for spot in tried:
            if len(chosen) >= most:
                break
            if all(math.dist(spot, other) >= apart_m for other in (right, *chosen)) and all(
                math.dist(spot, other) >= 2.0 * LEAST_APART_M for other in shown
            ):
                chosen.append(spot)
    return [Spot(f"wrong{number}", *spot) for number, spot in enumerate(chosen, start=1)]


def _bounds(shown: Sequence[EastNorth]) -> tuple[EastNorth, EastNorth]:
    """The least and the largest east and north of some places."""
    easts, norths = zip(*shown, strict=True)
    return (min(easts), min(norths)), (max(easts), max(norths))


def _is_within(spot: EastNorth, bounds: tuple[EastNorth, EastNorth]) -> bool:
    """Whether a spot lies within the least and the largest east and north."""
    (west_m, south_m), (east_m, north_m) = bounds
    return west_m <= spot[0] <= east_m and south_m <= spot[1] <= north_m


def _around(place: CrossedPlace, apart_m: float) -> list[EastNorth]:
    """Places round about the right one, where mistakes lead to too few: metres east and north."""
    return [
        (
            place.east_m + apart_m * far * math.sin(turn),
            place.north_m + apart_m * far * math.cos(turn),
        )
        for far in (1.2, 1.8, 2.6)
        for turn in map(math.radians, (75.0, 195.0, 315.0, 15.0, 135.0, 255.0))
    ]
