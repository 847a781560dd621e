"""The drawings of lessons besides the compass itself. What varies from round to round is turned or
added by a script; `data-turns` names the parts that turn.
"""

from ..domain.words import say
from ..languages import tell, told
from . import svg
from .dial import CARDINALS
from .signs import sign

SHEET_SIDE, SHEET_M = 320.0, 1000.0  # of the map lesson's sheet: as drawn, and on the ground
SHEET_LINES = range(40, 320, 60)
RING, LABEL_RADIUS = 560.0, 508.0  # of the dial as through a glass
NAMES = {
    "ford": say("the ford"),
    "chapel": say("the chapel"),
    "quarry": say("the quarry"),
    "well": say("the well"),
    "barn": say("the barn"),
}  # of the points of the sheet


def held():
    """A person from above with a compass before them; the plate turns in their hands."""
    return svg.drawing(
        tell("A person from above, holding a compass; ahead of them the windmill."),
        (-75, -112, 150, 196),
        sign("target", 0, -78, 11),
        svg.text(tell("the windmill"), 0, -97, klass="place-name", text_anchor="middle"),
        svg.element("ellipse", cx=0, cy=56, rx=50, ry=20, klass="shoulders"),
        svg.element("circle", cx=0, cy=54, r=18, klass="head"),
        svg.element("path", d="M-43 47Q-50 8 -18 0M43 47Q50 8 18 0", klass="arm"),
        svg.element(
            "g",
            svg.element("rect", x=-19, y=-42, width=38, height=66, rx=4, klass="plate"),
            svg.element("circle", cx=0, cy=4, r=14, klass="ring"),
            svg.line(0, -10, 0, -28, klass="travel"),
            svg.element("polygon", points="0,-40 -8,-25 8,-25", klass="travel-head"),
            data_turns="plate",
        ),
        klass="held",
    )


def rose():
    """The circle with its four quarters."""
    letters = [
        svg.text(
            told(CARDINALS[turn]),
            *svg.polar(turn, 112),
            klass="cardinal",
            text_anchor="middle",
            dominant_baseline="central",
        )
        for turn in CARDINALS
    ]
    return svg.drawing(
        tell("The circle of bearings with its four quarters."),
        (-130, -130, 260, 260),
        svg.element("circle", r=98, klass="ring"),
        svg.line(0, -98, 0, 98, klass="quarter-line"),
        svg.line(-98, 0, 98, 0, klass="quarter-line"),
        *letters,
        klass="rose",
    )


def dial_window(step_deg, labels_deg, reach_deg=180):
    """The dial round the index line as through a glass, with a tick for each step; all of its ring
    turns, or what of it lies so far to either side.
    """
    ticks = [
        svg.line(
            *svg.polar(degree, RING),
            *svg.polar(degree, RING - (34 if degree % 10 == 0 else 20)),
            klass="tick-ten" if degree % 10 == 0 else "tick",
        )
        for degree in range(-reach_deg, reach_deg, step_deg)
    ]
    labels = [
        svg.text(
            degree % 360,
            *svg.polar(degree, LABEL_RADIUS),
            klass="window-figure",
            text_anchor="middle",
            dominant_baseline="central",
            transform=_upright(degree),
        )
        for degree in range(-reach_deg, reach_deg, labels_deg)
    ]
    return svg.drawing(
        tell("The dial at the index line, enlarged."),
        (-200, -610, 400, 170),
        svg.element("circle", r=RING, klass="ring"),
        svg.element("g", *ticks, *labels, data_turns="housing"),
        svg.line(0, -606, 0, -RING + 8, klass="index"),
        svg.element("polygon", points="0,-552 -7,-566 7,-566", klass="travel-head"),
        klass="window",
    )


def _upright(degree):
    """A label's turn: its foot towards the middle of the dial."""
    x, y = svg.polar(degree, LABEL_RADIUS)
    return f"rotate({degree} {svg.number(x)} {svg.number(y)})"


def sheet():
    """The map lesson's sheet: its frame and its lines to the north."""
    return svg.drawing(
        tell("A map with lines to true north."),
        (-4, -22, SHEET_SIDE + 8, SHEET_SIDE + 26),
        svg.element("rect", x=0, y=0, width=SHEET_SIDE, height=SHEET_SIDE, klass="sheet-frame"),
        *(svg.line(x, 0, x, SHEET_SIDE, klass="north-line") for x in SHEET_LINES),
        svg.text(told(CARDINALS[0]), 160, -6, klass="cardinal", text_anchor="middle"),
        klass="lesson-sheet",
    )


def north_lines():
    """Lines to the north that lie under a compass."""
    return [svg.line(x, -200, x, 200, klass="north-line") for x in range(-180, 181, 60)]


def on_sheet(place_m):
    """Where a place, metres east and north of the sheet's corner, is drawn."""
    east_m, north_m = place_m
    times = SHEET_SIDE / SHEET_M
    return east_m * times, SHEET_SIDE - north_m * times


def points(places_m, begin, line_to=""):
    """The points of the sheet with their names, the line's begin as a station; and the line, where
    it is shown.
    """
    spots = {name: on_sheet(place_m) for name, place_m in places_m.items()}
    if line_to:
        yield svg.line(*spots[begin], *spots[line_to], klass="pair-line")
    for name, (x, y) in spots.items():
        yield sign("station" if name == begin else "target", x, y, 9)
        yield svg.text(told(NAMES[name]), x, y + 27, klass="place-name", text_anchor="middle")


def two_norths(declination_deg):
    """True and magnetic north at a place, and a direction on the ground, which turns."""
    arcs = []
    dx, dy = svg.polar(declination_deg, 118)
    side = 1 if declination_deg >= 0 else -1
    arcs.append(svg.line(0, 0, dx, dy, klass="north north-magnetic"))
    arcs.append(
        svg.text(
            tell("magnetic"),
            dx + 6 * side,
            dy - 6,
            klass="plan-note north-name",
            text_anchor="start" if side > 0 else "end",
        )
    )
    return svg.drawing(
        tell("True north, magnetic north beside it, and a direction on the ground."),
        (-150, -150, 300, 300),
        svg.line(0, 0, 0, -128, klass="north"),
        svg.text(
            tell("true"),
            -6 * side,
            -132,
            klass="plan-note north-name",
            text_anchor="end" if side > 0 else "start",
        ),
        *arcs,
        svg.element(
            "g",
            svg.line(0, 0, 0, -104, klass="pair-line"),
            sign("target", 0, -116, 10),
            data_turns="direction",
        ),
        sign("station", 0, 0, 8),
        klass="two-norths",
    )


def angle_from(begin_deg, end_deg, radius, klass):
    """An arc clockwise from one direction to another."""
    (ax, ay), (bx, by) = svg.polar(begin_deg, radius), svg.polar(end_deg, radius)
    large = 1 if (end_deg - begin_deg) % 360 > 180 else 0
    path = (
        f"M{svg.number(ax)} {svg.number(ay)}A{radius} {radius} 0 {large} 1 "
        f"{svg.number(bx)} {svg.number(by)}"
    )
    return svg.element("path", d=path, klass=f"arc {klass}")
