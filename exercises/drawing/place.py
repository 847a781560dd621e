"""The ground of an answer that is a place: lines or legs, what sound technique leaves, the right
place, and where the person came out. North up, to scale.
"""

import itertools
import math
from dataclasses import dataclass

from ..domain.earth.ellipse import SCALE_95
from ..languages import told
from . import labels, svg
from .dial import CARDINALS

SIDE, MARGIN = 240.0, 26.0
LEAST_SPAN_M = 60.0
FARTHEST_TIMES = 1.2  # of what else is drawn: a place farther away would shrink everything


class Sheet:
    """A square sheet that holds some places: metres east and north become its coordinates."""

    def __init__(self, held):
        xs, ys = zip(*held, strict=True)
        span_m = max(max(xs) - min(xs), max(ys) - min(ys), LEAST_SPAN_M)
        self.scale = (SIDE - 2 * MARGIN) / span_m
        self.middle = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2

    def at(self, there):
        """Where a place stands on it: x to the right, y down."""
        east_m, north_m = there[0] - self.middle[0], there[1] - self.middle[1]
        return SIDE / 2 + self.scale * east_m, SIDE / 2 - self.scale * north_m

    def holds(self, there):
        """Whether a place lies on it."""
        return not is_outside(*self.at(there))


def is_outside(x, y):
    """Whether something is off a sheet."""
    return not (0.0 < x < SIDE and 0.0 < y < SIDE)


@dataclass(frozen=True)
class LaidOut:
    """An answer that is a place, on its sheet: what leads there as pairs of ends, known points and
    spots by code, the right place with its bands and its ellipse (half axes, and how far the longer
    is turned clockwise from the x axis, degrees), and where people came out. Lengths are those of
    the sheet.
    """

    segments: tuple
    named: dict
    right: tuple
    full: float
    part: float
    ellipse: tuple
    given: tuple


def laid_out(answer, misses):
    """An answer that is a place, and where people came out, as `place.Miss`, on a sheet."""
    place = answer.form
    right = (place.east_m, place.north_m)
    given = [(right[0] + miss.east_m, right[1] + miss.north_m) for miss in misses]
    sheet = Sheet(_held(place, right, given))
    ellipse = place.ellipse
    return LaidOut(
        tuple((sheet.at(one), sheet.at(other)) for one, other in place.segments()),
        _named(answer, sheet),
        sheet.at(right),
        place.full_m * sheet.scale,
        place.part_m * sheet.scale,
        (
            ellipse.major_m * SCALE_95 * sheet.scale,
            ellipse.minor_m * SCALE_95 * sheet.scale,
            math.fmod(ellipse.azimuth_deg - 90.0, 360.0),
        ),
        tuple(sheet.at(there) for there in given),
    )


def ground_drawing(answer, misses, label):
    """The drawing of an answer that is a place, and where people came out, as `place.Miss`.
    `label` says in words what it shows.
    """
    ground = laid_out(answer, misses)
    parts = [
        *_north(),
        *_ellipse(ground),
        *(svg.line(*one, *other, klass="pair-line") for one, other in ground.segments),
        *_labelled(ground),
        *_cross(*ground.right, klass="ray-answer"),
        *(part for there in ground.given for part in _came_out(ground, *there)),
    ]
    return svg.drawing(label, (0, 0, SIDE, SIDE), *parts, klass="dial whereabouts")


def _held(place, right, given):
    """The places that the sheet must hold: what leads there, and where people came out, but for
    those so far off that they would shrink everything.
    """
    held = [
        right,
        *(end for segment in place.segments() for end in segment),
        *((spot.east_m, spot.north_m) for spot in place.spots_on_map),
    ]
    reach_m = FARTHEST_TIMES * max(
        math.dist(one, other) for one, other in itertools.combinations(held, 2)
    )
    return [*held, *(there for there in given if math.dist(there, right) <= reach_m)]


def _named(answer, sheet):
    """Known points, or the station, and the spots on the sheet, by their codes."""
    known = answer.form.known_points() or {answer.station: (0.0, 0.0)}
    spots = {spot.code: (spot.east_m, spot.north_m) for spot in answer.form.spots}
    named = {code: sheet.at(there) for code, there in known.items()}
    return named | {code: sheet.at(there) for code, there in spots.items() if sheet.holds(there)}


def _labelled(ground):
    for x, y in ground.named.values():
        yield svg.element("circle", cx=x, cy=y, r=3.0, klass="target-dot")
    placed = labels.place(ground.named, lambda code: 8.0 * len(code), 8, 11)
    for code, at in placed.items():
        yield svg.text(code, at.x, at.y, klass="pair-label", text_anchor=at.anchor)


def _came_out(ground, x, y):
    """Where somebody came out; a place that is off the sheet is a line that leaves it."""
    is_off = is_outside(x, y)
    if is_off or len(ground.given) == 1:
        yield svg.line(*ground.right, x, y, klass="ray-reading")
    if not is_off:
        yield svg.element("circle", cx=x, cy=y, r=6.0, klass="head-reading")


def _ellipse(ground):
    x, y = ground.right
    major, minor, turned_deg = ground.ellipse
    yield svg.element("circle", cx=x, cy=y, r=ground.part, klass="band-part")
    yield svg.element("circle", cx=x, cy=y, r=ground.full, klass="band-full")
    yield svg.element(
        "ellipse",
        cx=0,
        cy=0,
        rx=major,
        ry=minor,
        klass="ellipse",
        transform=f"translate({svg.number(float(x))} {svg.number(float(y))}) "
        f"rotate({svg.number(turned_deg)})",
    )


def _north():
    """An arrow to the true north, in the corner."""
    yield svg.line(12, 30, 12, 10, klass="north-arrow")
    yield svg.element("polyline", points="8,15 12,9 16,15", klass="north-arrow", fill="none")
    yield svg.text(told(CARDINALS[0]), 20, 16, klass="figure", dominant_baseline="central")


def _cross(x, y, klass):
    yield svg.line(x - 7, y, x + 7, y, klass=klass)
    yield svg.line(x, y - 7, x, y + 7, klass=klass)
