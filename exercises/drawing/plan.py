"""The plan of a site to scale: points with their uncertainty, sight lines, hazards, a scale bar."""

from django.utils.html import escape

from .. import vocabulary
from ..domain.earth import geodesy
from ..domain.earth.angles import three_digits
from ..domain.earth.ellipse import SCALE_95
from ..domain.planning.hazards import KINDS
from ..languages import local, tell, tell_many, told
from . import labels, svg
from .fit import Fit, on_plan
from .signs import FRAMED, desk_sign_of, sign

WIDTH, MARGIN = 1000.0, 70.0
SIGN = 12.0  # the size of a point's sign
MOST_LABELLED = 12  # sight lines; more would lie on one another
ROUND_LENGTHS_M = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


def plan(site, middle, lines=(), hazards=()):
    """The plan of a domain site about a position, true north up; `lines` are (station, target)
    pairs to draw, `hazards` what lies there besides.

    Distances keep their proportions: each point lies at its bearing and distance from the middle,
    over the ellipsoid. Ellipses hold 95 % of surveys, to scale.
    """
    if not site.points:
        return svg.drawing(
            tell("Plan: no points yet."),
            (0, 0, WIDTH, 300),
            svg.text(tell("No points yet"), WIDTH / 2, 150, klass="empty", text_anchor="middle"),
            klass="plan",
        )
    places = {code: on_plan(middle, point.position) for code, point in site.points.items()}
    outlines = [[on_plan(middle, corner) for corner in hazard.corners] for hazard in hazards]
    fit = Fit.of(
        *_extent(list(places.values()), [corner for outline in outlines for corner in outline]),
        WIDTH,
        MARGIN,
        below=110,
    )
    spots = {code: fit.on_sheet(place) for code, place in places.items()}
    parts = [
        _hazard(hazard, [fit.on_sheet(corner) for corner in outline])
        for hazard, outline in zip(hazards, outlines, strict=True)
    ]
    parts += _lines(lines, spots)
    if len(lines) <= MOST_LABELLED:
        parts += [
            _line_label(site, pair, spots) for pair in lines if spots[pair[0]] != spots[pair[1]]
        ]
    for code, point in site.points.items():
        parts += _point(point, desk_sign_of(point, site), fit.scale, *spots[code])
    words = {code: _label(point, site) for code, point in site.points.items()}
    for code, at in labels.place(spots, lambda code: 13.5 * len(words[code]), 22, 16).items():
        parts.append(svg.text(words[code], at.x, at.y, klass="point-label", text_anchor=at.anchor))
    parts += _scale_bar(fit.scale, fit.height - 40)
    label = tell_many(
        "Plan of {number} point, true north up.",
        "Plan of {number} points, true north up.",
        len(places),
    )
    return svg.drawing(label, (0, 0, WIDTH, fit.height), *parts, klass="plan")


def _extent(points, corners):
    """The xs and ys that the sheet must hold: all points, and hazards as far as a quarter beyond
    them; what lies farther is cut off.
    """
    xs, ys = [x for x, _ in points], [y for _, y in points]
    more = 0.25 * max(max(xs) - min(xs), max(ys) - min(ys), 20.0)
    return tuple(
        [
            *values,
            *(min(max(corner[axis], min(values) - more), max(values) + more) for corner in corners),
        ]
        for axis, values in ((0, xs), (1, ys))
    )


def _lines(lines, spots):
    """Each sight line once, though it may be seen from both of its ends."""
    return [
        svg.line(*spots[one], *spots[other], klass="sight-line")
        for one, other in sorted({tuple(sorted(pair)) for pair in lines})
    ]


def _line_label(site, pair, spots):
    """Bearing and length along a line, nearer to its station, where the lines of a station lie
    apart.
    """
    (ax, ay), (bx, by) = spots[pair[0]], spots[pair[1]]
    try:
        line = site.sight_line(*pair)
    except geodesy.SamePoint:
        return ""
    x, y = ax + 0.6 * (bx - ax), ay + 0.6 * (by - ay)
    turn = line.bearing_deg - 90 if line.bearing_deg <= 180 else line.bearing_deg + 90
    return svg.text(
        tell(
            "{degrees}° true, {metres:.0f} m",
            degrees=three_digits(line.bearing_deg),
            metres=line.distance_m,
        ),
        x,
        y - 5,
        klass="line-label",
        text_anchor="middle",
        transform=f"rotate({turn:.1f} {x:.1f} {y:.1f})",
    )


def _hazard(hazard, corners):
    """A spot, a line or an area, with its name for who points at it."""
    title, klass = (
        svg.element("title", escape(f"{hazard.name} ({told(vocabulary.HAZARDS[hazard.kind])})")),
        f"hazard{' hazard-danger' if KINDS[hazard.kind].is_danger else ''}",
    )
    points = " ".join(f"{svg.number(float(x))},{svg.number(float(y))}" for x, y in corners)
    if len(corners) == 1:
        return svg.element("circle", title, cx=corners[0][0], cy=corners[0][1], r=8, klass=klass)
    return svg.element(
        "polygon" if hazard.is_area else "polyline",
        title,
        points=points,
        klass=klass + (" hazard-area" if hazard.is_area else ""),
    )


def _label(point, site):
    """A point's code, and that no line is noted from it."""
    if not desk_sign_of(point, site).endswith(FRAMED):
        return point.code
    return tell("{code}, no line", code=point.code)


def _point(point, code, scale, x, y):
    error = point.error
    yield svg.element(
        "ellipse",
        cx=0,
        cy=0,
        rx=error.major_m * SCALE_95 * scale,
        ry=error.minor_m * SCALE_95 * scale,
        klass="ellipse",
        transform=f"translate({svg.number(float(x))} {svg.number(float(y))}) "
        f"rotate({svg.number(error.azimuth_deg - 90)})",
    )
    yield sign(code, x, y, SIGN)


def _scale_bar(scale, y):
    metres = max(
        (length for length in ROUND_LENGTHS_M if length * scale <= 300), default=ROUND_LENGTHS_M[0]
    )
    end = MARGIN + metres * scale
    yield svg.line(MARGIN, y, end, y, klass="scale-bar")
    for x in (MARGIN, (MARGIN + end) / 2, end):
        yield svg.line(x, y - 8, x, y + 8, klass="scale-bar")
    yield svg.text(f"{metres} m", end + 14, y + 8, klass="plan-note")


def bearing_text(bearing_deg, north, decimals=0):
    """A bearing with its north, as it is said everywhere: `074° magnetic`."""
    return tell(
        "{degrees}° {north}",
        degrees=local(three_digits(bearing_deg, decimals)),
        north=vocabulary.NORTHS[north],
    )
