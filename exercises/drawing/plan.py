"""The plan of a site to scale: points, sight lines, a scale bar, and the three norths."""
from ..domain import geodesy
from ..domain.angles import three_digits
from ..domain.norths import NORTH_WORDS
from ..domain.words import say
from ..languages import tell, tell_many, tell_signed, told
from . import svg

WIDTH, MARGIN = 1000.0, 70.0
ROUND_LENGTHS_M = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
SHORT_NORTHS = {"true": say("TN"), "grid": say("GN"), "magnetic": say("MN")}


def plan(site, middle, norths=None, lines=()):
    """The plan of a domain site about a position, true north up; `lines` are (station, target) pairs to draw.

    Distances keep their proportions: each point lies at its bearing and distance from the middle, over the ellipsoid.
    """
    if not site.points:
        return svg.drawing(tell("Plan: no points yet."), (0, 0, WIDTH, 300), svg.text(tell("No points yet"), WIDTH / 2, 150, klass="empty", text_anchor="middle"), klass="plan")
    places = {code: _place(middle, point.position) for code, point in site.points.items()}
    xs, ys = [x for x, _ in places.values()], [y for _, y in places.values()]
    metres = max(max(xs) - min(xs), max(ys) - min(ys), 20.0)
    scale = (WIDTH - 2 * MARGIN) / metres
    left, top = min(xs) - (metres - (max(xs) - min(xs))) / 2, min(ys)
    on_sheet = {code: (MARGIN + (x - left) * scale, MARGIN + (y - top) * scale) for code, (x, y) in places.items()}
    height = 2 * MARGIN + (max(ys) - min(ys)) * scale + 110
    parts = [svg.line(*on_sheet[a], *on_sheet[b], klass="sight-line") for a, b in lines]
    for code, point in site.points.items():
        parts += _point(code, point, *on_sheet[code])
    parts += _scale_bar(scale, height - 40)
    if norths:
        parts += _norths(norths, WIDTH - 110, height - 30)
    label = tell_many("Plan of {number} point, true north up.", "Plan of {number} points, true north up.", len(places))
    return svg.drawing(label, (0, 0, WIDTH, height), *parts, klass="plan")


def _place(middle, position):
    """Metres to the right and downwards of the middle."""
    try:
        line = geodesy.sight_line(middle, position)
    except geodesy.SamePoint:
        return 0.0, 0.0
    return svg.polar(line.bearing_deg, line.distance_m)


def _point(code, point, x, y):
    if point.is_station:
        corners = [svg.polar(turn, 15) for turn in (0, 120, 240)]
        yield svg.element("polygon", points=" ".join(f"{svg.number(x + dx)},{svg.number(y + dy)}" for dx, dy in corners), klass="station")
        yield svg.element("circle", cx=x, cy=y, r=2.5, klass="station-dot")
    else:
        yield svg.element("circle", cx=x, cy=y, r=9, klass="target")
        yield svg.element("circle", cx=x, cy=y, r=2.5, klass="target-dot")
    yield svg.text(code, x + 17, y - 9, klass="point-label")


def _scale_bar(scale, y):
    metres = max((length for length in ROUND_LENGTHS_M if length * scale <= 300), default=ROUND_LENGTHS_M[0])
    end = MARGIN + metres * scale
    yield svg.line(MARGIN, y, end, y, klass="scale-bar")
    for x in (MARGIN, (MARGIN + end) / 2, end):
        yield svg.line(x, y - 8, x, y + 8, klass="scale-bar")
    yield svg.text(f"{metres} m", end + 14, y + 8, klass="plan-note")


def _norths(norths, x, y):
    """Three lines from one foot, at their true angles, with a star, an arrow and a box for what they are."""
    named = sorted((("true", 0.0), ("grid", norths.convergence_deg), ("magnetic", norths.declination_deg)), key=lambda pair: pair[1])
    for place, (name, east_deg) in enumerate(named):
        dx, dy = svg.polar(east_deg, 78 if name != "grid" else 62)
        yield svg.line(x, y, x + dx, y + dy, klass=f"north north-{name}")
        anchor = ("end", "middle", "start")[place]
        yield svg.text(told(SHORT_NORTHS[name]), x + dx * 1.12 + (place - 1) * 16, y + dy * 1.14,
                       klass="plan-note", text_anchor=anchor)


def norths_in_words(norths):
    """The three norths in a sentence with numbers."""
    return tell("Magnetic north lies {magnetic} of true north, grid north {grid}; from grid to magnetic {angle}°.",
                magnetic=_east(norths.declination_deg), grid=_east(norths.convergence_deg), angle=tell_signed(norths.grid_magnetic_deg, 1))


def _east(degrees):
    return tell("{degrees:.1f}° east", degrees=degrees) if degrees >= 0 else tell("{degrees:.1f}° west", degrees=-degrees)


def bearing_text(bearing_deg, north):
    """A bearing with its north, as it is said everywhere: `074° magnetic`."""
    return tell("{degrees}° {north}", degrees=three_digits(bearing_deg), north=NORTH_WORDS[north])
