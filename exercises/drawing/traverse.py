"""A traverse to scale, true north up: its legs as measured, which need not close, and the legs to
look at; where it closes, its corners as adjusted, with their ellipses.
"""

import itertools
import math

from ..domain.earth import geodesy
from ..domain.earth.ellipse import SCALE_95
from ..languages import tell_many
from . import labels, svg

WIDTH, HEIGHT, MARGIN = 640.0, 420.0, 52.0
SHOWN_GAP = 3.0  # units of the sheet; a smaller gap is no gap to the eye


def traverse_plan(surveyed, points, middle, looked_at):
    """The drawing of a `SurveyedTraverse`. `points` are those of the site by code, `middle` is the
    position of its start, `looked_at` are the numbers of the legs to look at.
    """
    ends = [points[surveyed.legs[0].start].position, points[surveyed.legs[-1].to].position]
    codes = [surveyed.legs[0].start, *(leg.to for leg in surveyed.legs)]
    is_closed = surveyed.adjustment.is_believable
    stands = [corner.adjusted if is_closed else corner.measured for corner in surveyed.corners]
    places = [geodesy.east_north_m(middle, place) for place in (ends[0], *stands, ends[1])]
    measured = [(0.0, 0.0), *(corner.measured for corner in surveyed.adjustment.corners)]
    fit = _Fit([*places, *measured])
    spots = [fit.on_sheet(place) for place in places]
    walked = [fit.on_sheet(place) for place in measured]
    parts = [
        svg.line(*begin, *end, klass="traverse-leg" + " is-doubted" * (number in looked_at))
        for number, (begin, end) in enumerate(itertools.pairwise(walked))
    ]
    parts += _gap(walked[-1], spots[-1])
    for corner, spot in zip(surveyed.corners, spots[1:-1], strict=True):
        parts += _corner(corner.ellipse if is_closed else None, fit.scale, *spot)
    parts += [
        svg.triangle(*spot, 11, klass="station") for spot in dict.fromkeys(spots[:: len(spots) - 1])
    ]
    named = dict(zip(codes, spots, strict=True))
    for code, spot in labels.place(named, lambda code: 11 * len(code), 18, 14).items():
        parts.append(svg.text(code, spot.x, spot.y, klass="pair-label", text_anchor=spot.anchor))
    label = tell_many(
        "Traverse of {number} leg, true north up.",
        "Traverse of {number} legs, true north up.",
        len(surveyed.legs),
    )
    return svg.drawing(label, (0, 0, WIDTH, HEIGHT), *parts, klass="pair traverse")


def _gap(end, known):
    """The closing error, from where the legs end to where they should, if the eye can see it."""
    if math.dist(end, known) > SHOWN_GAP:
        yield svg.line(*end, *known, klass="traverse-gap")


def _corner(ellipse, scale, x, y):
    """A corner, with the ellipse that holds it in 95 of 100 traverses, to scale."""
    if ellipse:
        turn = f"rotate({svg.number(ellipse.azimuth_deg - 90)})"
        yield svg.element(
            "ellipse",
            cx=0,
            cy=0,
            rx=ellipse.major_m * SCALE_95 * scale,
            ry=ellipse.minor_m * SCALE_95 * scale,
            klass="ellipse",
            transform=f"translate({svg.number(float(x))} {svg.number(float(y))}) {turn}",
        )
    yield svg.element("circle", cx=x, cy=y, r=4.5, klass="target")


class _Fit:
    """As large as places fit on the sheet, in its middle."""

    def __init__(self, places):
        xs, ys = zip(*places, strict=True)
        self.scale = min(
            (WIDTH - 2 * MARGIN) / max(max(xs) - min(xs), 1.0),
            (HEIGHT - 2 * MARGIN) / max(max(ys) - min(ys), 1.0),
        )
        self.left = WIDTH / 2 - self.scale * (max(xs) + min(xs)) / 2
        self.top = HEIGHT / 2 + self.scale * (max(ys) + min(ys)) / 2

    def on_sheet(self, place):
        """Where a place lies on the sheet."""
        return self.left + self.scale * place[0], self.top - self.scale * place[1]
