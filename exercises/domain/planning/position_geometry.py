"""Whether lines of position say where, and whether their triangle of error would show it if they
did not.

Lines that are all turned by one angle (a declination left out, a compass that is off) still meet
in one place where the place sought lies on the circle through the known points, the danger circle
of resection: angles alone do not say where on it one is (Euclid III.21). A small triangle is then
no proof.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..earth.geodesy import EastNorth
from ..surveying.hand_drawn import longest_side_m, middle, place_of, usual_side_m
from ..surveying.position_lines import LEAST_CUT_DEG, NoCrossing, PositionLine, cut
from ..tasks.answer import Answer
from ..tasks.forms import Place
from .findings import Finding

# a line is worth leaving out where the others say so much better where; common practice, no source
SPOILT_TIMES = 1.5
# of the circle's radius, within which a place lies on it for practical purposes; common practice,
# no source
NEAR_CIRCLE = 0.1
SHOWN_DEG = 2.0  # the common error by which the danger circle is explained
OFFSET_DEG = 3.0  # of a compass that is off by what nobody notices; common practice, no source
LEAST_TURN_DEG = 0.5  # a declination of less is drawn by nobody


def of_answer(answer: Answer) -> Iterator[Finding]:
    """What the lines of an answer leave open: that all of them cut badly for the band, that one
    spoils the middle, that the place lies on the danger circle, that one error of all bearings
    closes the triangle at a wrong place. None of an answer without lines.
    """
    place = Place.of(answer)
    lines = place.position_lines()
    if not lines:
        return
    yield from (*_spoilt(answer, lines),) or _wide(answer, place, lines)
    yield from _closes_falsely(answer, place, lines)


def _closes_falsely(
    answer: Answer, place: Place, lines: Sequence[PositionLine]
) -> Iterator[Finding]:
    """One error of all bearings that leaves no larger a triangle than sound lines, at a place
    beyond full credit: the declination left out; and a compass that is off, explained by the danger
    circle where the place lies near it.
    """

    def hidden(angle_deg: float) -> CommonError | None:
        error = common_error(lines, angle_deg)
        return error if error and error.is_hidden and error.moved_m > place.full_m else None

    left_out_deg = -answer.norths.correction("magnetic", answer.north)
    left_out = hidden(left_out_deg) if abs(left_out_deg) >= LEAST_TURN_DEG else None
    offsets = [error for angle_deg in (OFFSET_DEG, -OFFSET_DEG) if (error := hidden(angle_deg))]
    worst = max(offsets, key=lambda error: error.moved_m, default=None)
    near = near_circle(lines, (place.east_m, place.north_m))
    shown = common_error(lines, math.copysign(SHOWN_DEG, worst.turned_deg)) if worst else None
    if near and shown:
        circle = {"off_m": near.off_m, "radius_m": near.radius_m, "points": _points(lines)}
        values = {**circle, **_said_of(shown), "left_out": left_out}
        yield Finding("danger_circle", answer.task, values)
    elif left_out:
        yield Finding("closes_falsely", answer.task, _said_of(left_out, is_declination=True))
    elif worst:
        yield Finding("closes_falsely", answer.task, _said_of(worst))


def _wide(answer: Answer, place: Place, lines: Sequence[PositionLine]) -> Iterator[Finding]:
    """Sound lines that leave more than the full-credit band, though some pair cuts well: along one
    axis a third of sound places lie outside it.
    """
    is_poor_cut = (place.best_cut_deg or 0.0) < LEAST_CUT_DEG  # said by itself
    ellipse = place.ellipse
    if not is_poor_cut and ellipse.major_m > place.full_m:
        values = {
            "ellipse_m": ellipse.major_m,
            "azimuth_deg": ellipse.azimuth_deg,
            "band_m": place.full_m,
        }
        yield Finding("wide_place", answer.task, values)


def _spoilt(answer: Answer, lines: Sequence[PositionLine]) -> Iterator[Finding]:
    """A line without which the middle would be much better known."""
    if len(lines) < 3:
        return
    with_m = major_m(lines)
    rests = [(line, [other for other in lines if other is not line]) for line in lines]
    without_m, line, rest = min(
        ((major_m(rest), line, rest) for line, rest in rests), key=lambda found: found[0]
    )
    if with_m > SPOILT_TIMES * without_m:
        flattest = min(rest, key=lambda other: cut(line, other))
        values = {
            "point": line.point,
            "other": flattest.point,
            "cut_deg": cut(line, flattest),
            "with_m": with_m,
            "without_m": without_m,
        }
        yield Finding("middle_spoilt", answer.task, values)


def major_m(lines: Sequence[PositionLine]) -> float:
    """The longer axis of the ellipse that hands leave with some lines, metres, one sigma; without
    end where they do not meet.
    """
    try:
        return middle(tuple(lines)).ellipse.major_m
    except NoCrossing:
        return math.inf


@dataclass(frozen=True)
class NearCircle:
    """How far a place lies from the circle through three known points, and its radius; metres."""

    off_m: float
    radius_m: float


def near_circle(lines: Sequence[PositionLine], place: EastNorth) -> NearCircle | None:
    """The danger circle of three lines, as `NearCircle`, where a place lies within NEAR_CIRCLE of
    its radius from it; else None. Known points in one line have no circle.
    """
    if len(lines) != 3:
        return None
    (ax, ay), (bx, by), (cx, cy) = [(line.east_m, line.north_m) for line in lines]
    bx, by, cx, cy = bx - ax, by - ay, cx - ax, cy - ay
    twice = 2.0 * (bx * cy - by * cx)
    b, c = bx * bx + by * by, cx * cx + cy * cy
    if abs(twice) < 1e-6 * (b + c):
        return None
    east, north = (cy * b - by * c) / twice, (bx * c - cx * b) / twice
    radius_m = math.hypot(east, north)
    off_m = abs(math.dist(place, (ax + east, ay + north)) - radius_m)
    return NearCircle(off_m, radius_m) if off_m < NEAR_CIRCLE * radius_m else None


@dataclass(frozen=True)
class CommonError:
    """What an error of all bearings does, degrees: by how many metres it moves the middle, the
    longest side of the triangle of error that is then drawn, and that of sound lines; metres.
    """

    turned_deg: float
    moved_m: float
    side_m: float
    usual_m: float

    @property
    def is_hidden(self) -> bool:
        """Whether the triangle is no larger than every second one of sound bearings."""
        return self.side_m <= self.usual_m


def common_error(lines: Sequence[PositionLine], turned_deg: float) -> CommonError | None:
    """What an error of all bearings does to three or more lines, as `CommonError`; None of two
    lines, which always meet, and of lines that then meet nowhere.
    """
    if len(lines) < 3:
        return None
    turned = [line.turned(turned_deg) for line in lines]
    try:
        moved_m = math.dist(place_of(lines), place_of(turned))
        usual_m = usual_side_m(tuple(lines))
    except NoCrossing:
        return None
    return CommonError(turned_deg, moved_m, longest_side_m(turned), usual_m)


def _said_of(error: CommonError, *, is_declination: bool = False) -> dict[str, float | bool]:
    """The numbers of a finding about a common error."""
    return {
        "is_declination": is_declination,
        "turned_deg": error.turned_deg,
        "moved_m": error.moved_m,
        "triangle_m": error.side_m,
        "usual_m": error.usual_m,
    }


def _points(lines: Sequence[PositionLine]) -> tuple[str, ...]:
    """The codes of the known points."""
    return tuple(line.point for line in lines)
