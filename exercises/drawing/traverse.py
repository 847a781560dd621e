"""A traverse to scale, true north up: its legs as measured, which need not close, the corners where
they came to lie, and the legs to look at.
"""

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
    adjusted = [ends[0], *(corner.adjusted for corner in surveyed.corners), ends[1]]
    places = [geodesy.east_north_m(middle, position) for position in adjusted]
    measured = [(0.0, 0.0), *(corner.measured for corner in surveyed.adjustment.corners)]
    fit = _Fit([*places, *measured])
    spots = [fit(place) for place in places]
    walked = [fit(place) for place in measured]
    parts = [
        svg.line(*begin, *end, klass="traverse-leg" + (" is-doubted" if doubted else ""))
        for begin, end, doubted in zip(
            walked,
            walked[1:],
            [number in looked_at for number in range(len(surveyed.legs))],
            strict=False,
        )
    ]
    (x, y), (end_x, end_y) = walked[-1], spots[-1]
    if abs(x - end_x) + abs(y - end_y) > SHOWN_GAP:
        parts.append(svg.line(x, y, end_x, end_y, klass="traverse-gap"))
    scale = fit.scale
    for corner, spot in zip(surveyed.corners, spots[1:-1], strict=True):
        parts += _corner(corner.ellipse, scale, *spot)
    parts += [svg.triangle(*spot, 11, klass="station") for spot in {spots[0], spots[-1]}]
    named = dict(zip(codes, spots, strict=True))
    for code, (left, top, anchor) in labels.place(
        named, lambda code: 11 * len(code), 18, 14
    ).items():
        parts.append(svg.text(code, left, top, klass="pair-label", text_anchor=anchor))
    label = tell_many(
        "Traverse of {number} leg, true north up.",
        "Traverse of {number} legs, true north up.",
        len(surveyed.legs),
    )
    return svg.drawing(label, (0, 0, WIDTH, HEIGHT), *parts, klass="pair traverse")


def _corner(ellipse, scale, x, y):
    """A corner with the ellipse that holds it in 95 of 100 traverses, to scale."""
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

    def __call__(self, place):
        return self.left + self.scale * place[0], self.top - self.scale * place[1]
