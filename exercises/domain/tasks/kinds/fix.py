"""A position from bearings on two or three known points: where do I stand (resection), and its
mirror, where is what several stations see (intersection)?

The bearings are taken with the needle, turned to the north of the practice map, and plotted; the
answer is a lettered spot of the map, a grid reference or coordinates. A person's habit turns all
the lines, a slip one of them. With two known points a turn of all lines moves a resection along the
circle through both of them and the true place; with three it opens a triangle of error. A back
bearing drawn the wrong way out is the same line.
"""

import itertools
import math
from dataclasses import replace

from ...earth import geodesy
from ...earth.angles import back, wrap
from ...earth.norths import NORTH_WORDS
from ...earth.uncertainty import combine
from ...mistakes.causes import IN_THE_FIELD
from ...mistakes.predictions import Landing
from ...mistakes.stages import dial_faults
from ...surveying.position_lines import NoCrossing, PositionLine, cross, middle
from ...words import say
from .. import budget
from ..answer import NoAnswer
from ..places import Spot, Where, read, slips_of_figures
from ..site import UNSET
from . import ground
from .placed import AnswerIsAPlace, digit_turns

FEWEST, MOST = 2, 3
# of three lines that do not meet, how often people take the middle, and not the cut of two; common
# practice, no source
TAKES_MIDDLE = 0.6
DECOYS, FEWEST_SPOTS = 4, 3
# figures of a reference are exchanged about as often as those of all the bearings together; common
# practice, no source
WRITTEN_SHARE = 1.0
APART_ELLIPSES, LEAST_APART_M = 4.0, 12.0  # spots that lie nearer cannot be told apart on the sheet


class TooFewPoints(NoAnswer):
    """A fix with too few known points, or with one named twice."""


class Fix(AnswerIsAPlace):
    """What resection and intersection share."""

    needs_more = True
    norths = ("true", "grid")  # that of the map on which the lines are drawn
    setting = IN_THE_FIELD

    def answer(self, task, site, on, sighted):
        """The answer of a task: where the lines meet by the survey, and the ellipse of the
        bearings' budget. Raises TooFewPoints, NoCrossing.
        """
        known = self.known(task)
        if (
            not FEWEST <= len(known) <= MOST
            or len(set(known)) < len(known)
            or self.sought(task) in known
        ):
            raise TooFewPoints(say("A position needs bearings on two or three different points."))
        answer, origin = self._base(task, site, on, sighted), site.point(task.station).position
        lines = tuple(self._line(code, task, site, origin, answer) for code in known)
        try:
            found = cross(lines)
            middle(lines)
        except NoCrossing as error:
            raise TooFewPoints(
                say("{what} Choose known points that lie in other directions.", what=error.args[0])
            ) from error
        east_m, north_m = geodesy.east_north_m(origin, site.point(self.sought(task)).position)
        where = Where(
            origin.latitude_deg,
            origin.longitude_deg,
            site.sheet_epsg(origin),
            east_m,
            north_m,
            found.ellipse,
            task.full_credit_m,
            task.part_credit_m,
            lines=lines,
            right="right",
            spots=(Spot("right", east_m, north_m),),
        )
        answer = replace(answer, where=where)
        shown = [
            geodesy.east_north_m(origin, point.position)
            for code, point in site.points.items()
            if code != self.sought(task)
        ]
        return replace(
            answer,
            where=replace(
                where, spots=(*where.spots, *_decoys(where, self.landings(answer), shown))
            ),
        )

    def _line(self, code, task, site, origin, answer):
        """The line of a known point to the place sought, with the budget of its bearing and of
        drawing it.
        """
        stand, seen = (
            (code, self.sought(task)) if self.looks_from_known else (self.sought(task), code)
        )
        line = site.sight_line(stand, seen)
        whole = budget.of_sight_line(line.distance_m, 0.0, 0.0, answer.declination_uncertainty_deg)
        drawn = budget.of_map_bearing()
        east_m, north_m = geodesy.east_north_m(origin, site.point(code).position)
        away_deg = line.bearing_deg if self.looks_from_known else back(line.bearing_deg)
        return PositionLine(
            code,
            east_m,
            north_m,
            away_deg,
            combine((whole.total_deg, drawn.total_deg)),
            site.point(code).error.across(away_deg),
        )

    def marks(self, answer):
        """The codes of the marks on which one stands."""
        return (
            tuple(line.point for line in answer.where.lines)
            if self.looks_from_known
            else (answer.station,)
        )

    def on_map(self, answer):
        """The codes of the points that the map must show."""
        return tuple(line.point for line in answer.where.lines)

    def sought_at(self, answer):
        """The codes of the points that the map must not show."""
        return (answer.target,) if self.looks_from_known else (answer.station,)

    def parse(self, answer, text):
        """What was written, as `Placed`. Raises NotASpot."""
        return read(answer.where, text)

    def landings(self, answer, compass=UNSET):
        """All that may happen: sound lines, a declination left out or misapplied on all of them,
        one bearing with a slip, two points exchanged.
        """
        lines = answer.where.lines
        dial_north = "true" if compass.declination_is_set else "magnetic"
        yield from _landing("ok", "ok", lines, 1.0, "")
        for fault in ground.declination_faults(answer, dial_north):
            yield from _landing(
                fault.cause,
                "ok",
                [line.turned(fault.turn.shift_deg) for line in lines],
                fault.share,
                "",
            )
        for place in range(len(lines)):
            for cause, shift_deg, share in self._slips(answer, lines[place], dial_north):
                changed = [
                    line.turned(shift_deg) if at == place else line for at, line in enumerate(lines)
                ]
                yield from _landing(
                    "ok", cause, changed, share / len(lines), lines[place].point, place
                )
        pairs = list(itertools.combinations(range(len(lines)), 2))
        for one, other in pairs:
            changed = list(lines)
            changed[one], changed[other] = (
                replace(lines[one], bearing_deg=lines[other].bearing_deg),
                replace(lines[other], bearing_deg=lines[one].bearing_deg),
            )
            yield from _landing(
                "ok",
                self.exchanged,
                changed,
                1.0 / len(pairs),
                f"{lines[one].point} {lines[other].point}",
            )
        misread = slips_of_figures(answer.where)
        for east_m, north_m in misread:
            yield Landing(
                "ok",
                "digits_swapped",
                east_m,
                north_m,
                answer.where.ellipse,
                WRITTEN_SHARE / len(misread),
                is_written=True,
            )

    def observed_deg(self, line):
        """The true bearing that is observed for a line: from the known point, or, where one stands
        at the place sought, to it.
        """
        return line.bearing_deg if self.looks_from_known else back(line.bearing_deg)

    def _slips(self, answer, line, dial_north):
        """Slips of one bearing as (cause, degrees by which its line turns, share); the number is
        the one on the dial.
        """
        dial_deg = wrap(self.observed_deg(line) + answer.norths.correction("true", dial_north))
        for fault in dial_faults(dial_deg, mirrored=1.0):
            yield fault.cause, fault.turn(dial_deg) - dial_deg, fault.share
        yield from digit_turns(dial_deg)


class Resection(Fix):
    """Where the person stands, from bearings to known points, drawn as back bearings from them."""

    code = "fix"
    name = say("Find where you stand")
    looks_from_known = False
    exchanged = "other_target"

    def known(self, task):
        """The codes of the known points."""
        return tuple(code for code in (task.target, *task.more) if code)

    def sought(self, task):
        """The code of the place sought."""
        return task.station

    def parties(self, answer):
        """The codes that a prompt names: known points, what is sought."""
        return tuple(line.point for line in answer.where.lines), ()

    def prompt(self, station, target, north, given):
        """What is asked, in one sentence."""
        return say(
            "Where do you stand? Take bearings to {known}, turn them to {north} north, and draw "
            "them back on the map. Which letter is where they meet?",
            known=station,
            north=NORTH_WORDS[north],
        )


class Intersection(Fix):
    """Where a thing is, from bearings to it taken at known stations."""

    code = "intersect"
    name = say("Find where something is")
    looks_from_known = True
    exchanged = "other_station"

    def known(self, task):
        """The codes of the known points."""
        return (task.station, *(code for code in task.more if code))

    def sought(self, task):
        """The code of the place sought."""
        return task.target

    def parties(self, answer):
        """The codes that a prompt names: known points, what is sought."""
        return tuple(line.point for line in answer.where.lines), (answer.target,)

    def prompt(self, station, target, north, given):
        """What is asked, in one sentence."""
        return say(
            "Where is {target}? Take its bearing from {known}, turn each to {north} north, and "
            "draw them on the map. Which letter is where they meet?",
            target=target,
            known=station,
            north=NORTH_WORDS[north],
        )


def _landing(habit, slip, lines, share, detail, wrong=None):
    """The places to which some lines lead: the middle of where they cut, and of three the cut of
    each two; with one of them gone wrong, the cuts with that one.
    """
    cuts = (
        [pair for pair in itertools.combinations(lines, 2) if wrong is None or lines[wrong] in pair]
        if len(lines) == MOST
        else []
    )
    for drawn, part in [
        (lines, TAKES_MIDDLE if cuts else 1.0),
        *((pair, (1.0 - TAKES_MIDDLE) / len(cuts)) for pair in cuts),
    ]:
        try:
            east_m, north_m, ellipse = middle(drawn)
        except NoCrossing:
            continue
        yield Landing(habit, slip, east_m, north_m, ellipse, share * part, detail)


def _decoys(where, landings, shown):
    """Wrong spots for the map: where likely mistakes lead, apart from the right one, from each
    other and from the points that the map shows, no farther out than the known points allow."""
    apart_m = max(APART_ELLIPSES * where.ellipse.major_m, 2.0 * where.part_m, LEAST_APART_M)
    reach_m = max(
        math.hypot(line.east_m - where.east_m, line.north_m - where.north_m) for line in where.lines
    )
    likely = [
        (landing.east_m, landing.north_m)
        for landing in landings
        if math.hypot(landing.east_m - where.east_m, landing.north_m - where.north_m) <= reach_m
    ]
    around = [
        (
            where.east_m + apart_m * far * math.sin(turn),
            where.north_m + apart_m * far * math.cos(turn),
        )
        for far in (1.2, 1.8, 2.6)
        for turn in map(math.radians, (75.0, 195.0, 315.0, 15.0, 135.0, 255.0))
    ]
    right, chosen = (where.east_m, where.north_m), []
    for places, most in ((likely, DECOYS), (around, FEWEST_SPOTS)):
        for place in places:
            if (
                len(chosen) < most
                and all(math.dist(place, other) >= apart_m for other in (right, *chosen))
                and all(math.dist(place, other) >= 2.0 * LEAST_APART_M for other in shown)
            ):
                chosen.append(place)
    return [Spot(f"wrong{number}", *place) for number, place in enumerate(chosen, start=1)]
