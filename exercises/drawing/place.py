"""The ground of an answer that is a place: lines or legs, what sound technique leaves, the right
place, and where the person came out. North up, to scale.
"""

import itertools
import math

from ..domain.earth.ellipse import SCALE_95
from ..domain.surveying.traverse import corners
from ..languages import told
from . import labels, svg
from .dial import CARDINALS

SIDE, MARGIN = 240.0, 26.0
LEAST_SPAN_M = 60.0
FARTHEST_TIMES = 1.2  # of what else is drawn: a place farther away would shrink everything


def ground_drawing(answer, misses, label):
    """The drawing of an answer with a `places.Where`, and where people came out, as `places.Miss`.
    `label` says in words what it shows.
    """
    where = answer.where
    right = (where.east_m, where.north_m)
    given = [(right[0] + miss.east_m, right[1] + miss.north_m) for miss in misses]
    ways = _ways(where, right)
    spots = {spot.code: (spot.east_m, spot.north_m) for spot in where.spots}
    held = [
        right,
        *(point for way in ways for point in way),
        *(spots.values() if where.lines else ()),
    ]
    reach_m = FARTHEST_TIMES * max(
        math.dist(one, other) for one, other in itertools.combinations(held, 2)
    )
    held += [place for place in given if math.dist(place, right) <= reach_m]
    xs, ys = zip(*held, strict=True)
    span_m = max(max(xs) - min(xs), max(ys) - min(ys), LEAST_SPAN_M)
    scale = (SIDE - 2 * MARGIN) / span_m
    middle = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2

    def on_sheet(place):
        return SIDE / 2 + scale * (place[0] - middle[0]), SIDE / 2 - scale * (place[1] - middle[1])

    parts = [*_north(), *_ellipse(where, scale, *on_sheet(right))]
    parts += [svg.line(*on_sheet(one), *on_sheet(other), klass="pair-line") for one, other in ways]
    inside = {
        code: on_sheet(place)
        for code, place in spots.items()
        if all(0 < value < SIDE for value in on_sheet(place))
    }
    known = {line.point: (line.east_m, line.north_m) for line in where.lines} or {
        answer.station: (0.0, 0.0)
    }
    named = {code: on_sheet(place) for code, place in known.items()} | inside
    parts += [
        svg.element("circle", cx=x, cy=y, r=3.0, klass="target-dot") for x, y in named.values()
    ]
    parts += [
        svg.text(code, x, y, klass="pair-label", text_anchor=anchor)
        for code, (x, y, anchor) in labels.place(named, lambda code: 8.0 * len(code), 8, 11).items()
    ]
    parts += _cross(*on_sheet(right), klass="ray-answer")
    for place in given:
        x, y = on_sheet(place)
        is_off = not (0.0 < x < SIDE and 0.0 < y < SIDE)
        parts += (
            [svg.line(*on_sheet(right), x, y, klass="ray-reading")]
            if is_off or len(given) == 1
            else []
        )  # one that is off the sheet is a line that leaves it
        parts += [] if is_off else [svg.element("circle", cx=x, cy=y, r=6.0, klass="head-reading")]
    return svg.drawing(label, (0, 0, SIDE, SIDE), *parts, klass="dial whereabouts")


def _ways(where, right):
    """What is drawn: from each known point to the right place, or leg after leg."""
    if where.lines:
        return [((line.east_m, line.north_m), right) for line in where.lines]
    return list(itertools.pairwise(corners(where.legs)))


def _ellipse(where, scale, x, y):
    one = where.ellipse
    yield svg.element("circle", cx=x, cy=y, r=where.part_m * scale, klass="band-part")
    yield svg.element("circle", cx=x, cy=y, r=where.full_m * scale, klass="band-full")
    yield svg.element(
        "ellipse",
        cx=0,
        cy=0,
        rx=one.major_m * SCALE_95 * scale,
        ry=one.minor_m * SCALE_95 * scale,
        klass="ellipse",
        transform=f"translate({svg.number(float(x))} {svg.number(float(y))}) "
        f"rotate({svg.number(math.fmod(one.azimuth_deg - 90.0, 360.0))})",
    )


def _north():
    """An arrow to the true north, in the corner."""
    yield svg.line(12, 30, 12, 10, klass="north-arrow")
    yield svg.element("polyline", points="8,15 12,9 16,15", klass="north-arrow", fill="none")
    yield svg.text(told(CARDINALS[0]), 20, 16, klass="figure", dominant_baseline="central")


def _cross(x, y, klass):
    yield svg.line(x - 7, y, x + 7, y, klass=klass)
    yield svg.line(x, y - 7, x, y + 7, klass=klass)
