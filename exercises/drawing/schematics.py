"""Small drawings that show what a word of the trade means. None is to scale: what is right is drawn
as answers are everywhere, what is off as readings are.
"""

import itertools

from ..domain.earth.norths import Norths
from ..domain.tasks.bands import Band
from ..languages import tell, told
from . import svg
from .dial import CARDINALS, dial
from .lesson import angle_from, dial_window
from .norths import norths_picture
from .plan import bearing_text
from .signs import sign

SHOWN_DEG, EAST_DEG = 60, 14  # the bearing and the declination that are drawn
WIDTH = 240


def _drawing(label, *parts, top, bottom):
    """A drawing that reaches from `top` down to `bottom`."""
    return svg.drawing(label, (-WIDTH / 2, top, WIDTH, bottom - top), *parts, klass="schematic")


def _text(content, x, y, anchor="middle"):
    return svg.text(content, x, y, klass="schematic-text", text_anchor=anchor)


def bearing():
    """The angle clockwise from north to a target."""
    x, y = svg.polar(SHOWN_DEG, 118)
    return _drawing(
        tell(
            "A square to stand on and a star to aim at; from north clockwise to the star it is "
            "{number}°.",
            number=SHOWN_DEG,
        ),
        svg.element(
            "g",
            svg.line(0, 0, 0, -128, klass="north"),
            svg.line(0, 0, x, y, klass="pair-line"),
            angle_from(0, SHOWN_DEG, 62, "arc-bearing"),
            _text(told(CARDINALS[0]), 0, -136),
            _text(f"{SHOWN_DEG}°", *svg.polar(SHOWN_DEG / 2, 84)),
            sign("station", 0, 0, 10),
            sign("target", x, y, 11),
            transform="translate(-46 66)",
        ),
        top=-92,
        bottom=84,
    )


def back_bearing():
    """A line with its bearing there, and its bearing back."""
    there, back = f"{SHOWN_DEG:03d}°", f"{SHOWN_DEG + 180:03d}°"
    return _drawing(
        tell(
            "A line between a square and a star: {there} one way and {back} the other way.",
            there=there,
            back=back,
        ),
        svg.line(-88, 44, 80, -53, klass="pair-line"),
        svg.line(-72, 66, 96, -31, klass="back-line"),
        *_head(80, -53, SHOWN_DEG, "head-answer"),
        *_head(-72, 66, SHOWN_DEG + 180, "head-back"),
        _text(there, -22, -20, "end"),
        _text(back, 38, 36, "start"),
        sign("station", -98, 62, 10),
        sign("target", 104, -54, 11),
        top=-74,
        bottom=84,
    )


def _head(x, y, bearing_deg, klass):
    """An arrow's head at a place, along a bearing."""
    corners = ((bearing_deg, 8.0), (bearing_deg + 140, 9.0), (bearing_deg - 140, 9.0))
    yield svg.polygon(
        ((x + dx, y + dy) for dx, dy in (svg.polar(turn, length) for turn, length in corners)),
        klass=klass,
    )


def declination():
    """True north, and magnetic north beside it."""
    x, y = svg.polar(EAST_DEG, 168)
    return _drawing(
        tell("Two lines from one place: to true north, and to magnetic north beside it."),
        svg.element(
            "g",
            svg.line(0, 0, 0, -172, klass="north"),
            svg.line(0, 0, x, y, klass="north north-magnetic"),
            angle_from(0, EAST_DEG, 120, "arc-bearing"),
            _text(tell("true"), -6, -160, "end"),
            _text(tell("magnetic"), x + 6, y + 6, "start"),
            sign("station", 0, 0, 10),
            transform="translate(-16 94)",
        ),
        top=-100,
        bottom=110,
    )


def three_norths():
    """True, grid and magnetic north with figures, at an invented place."""
    return norths_picture(Norths(declination_deg=12.0, convergence_deg=-1.5))


def sight_line():
    """A station, a target and the line between them."""
    return _drawing(
        tell("A square to stand on, a star to aim at, and the straight line between them."),
        svg.line(-80, 50, 78, -46, klass="pair-line"),
        sign("station", -80, 50, 13),
        sign("target", 78, -46, 14),
        _text(tell("station"), -80, 86),
        _text(tell("target"), 78, -74),
        top=-96,
        bottom=98,
    )


def resection():
    """Lines from two known things meet where one stands."""
    return _drawing(
        tell("Lines drawn back from two stars meet in a square: that is where you stand."),
        svg.line(-84, -72, 4, 66, klass="pair-line"),
        svg.line(88, -58, 4, 66, klass="pair-line"),
        sign("target", -84, -72, 13),
        sign("target", 88, -58, 13),
        sign("station", 4, 66, 12),
        _text("?", 30, 72, "start"),
        top=-92,
        bottom=88,
    )


def intersection():
    """Lines from two marks meet at a thing."""
    return _drawing(
        tell("Lines from two squares meet at a star: that is where the thing stands."),
        svg.line(-84, 66, 10, -64, klass="pair-line"),
        svg.line(88, 54, 10, -64, klass="pair-line"),
        sign("station", -84, 66, 12),
        sign("station", 88, 54, 12),
        sign("target", 10, -64, 13),
        _text("?", 32, -66, "start"),
        top=-84,
        bottom=86,
    )


def band():
    """A dial with an answer, its bands, and a reading within part credit."""
    read_deg = SHOWN_DEG + 12
    says = tuple(bearing_text(degrees, "magnetic") for degrees in (SHOWN_DEG, read_deg))
    return dial(SHOWN_DEG, Band(8, 16), read_deg, says)


def ticks():
    """The small lines of a dial at the index line."""
    return dial_window(2, 10, reach_deg=30)


def ellipse():
    """A point with its error ellipse, and where it may truly lie."""
    spots = ((-30, 14), (12, -18), (34, -6), (-8, 20), (52, -34), (-56, 20), (20, 16))
    return _drawing(
        tell("A square in an oval; of seven dots most lie within the oval and none far from it."),
        svg.element("ellipse", cx=0, cy=0, rx=62, ry=34, klass="ellipse", transform="rotate(-20)"),
        *(svg.element("circle", cx=x, cy=y, r=4.5, klass="dot") for x, y in spots),
        sign("station", 0, 0, 10),
        top=-56,
        bottom=56,
    )


def misclosure():
    """A way of four legs that fails to end where it began."""
    corners = ((-70, 70), (-82, -46), (40, -78), (88, 30), (-40, 82))
    return _drawing(
        tell("A way of four legs from a square and back: its end misses the square by a gap."),
        *(svg.line(*begin, *end, klass="pair-line") for begin, end in itertools.pairwise(corners)),
        svg.line(*corners[-1], *corners[0], klass="gap"),
        sign("station", *corners[0], 12),
        top=-90,
        bottom=94,
    )


def legs():
    """A walk of two legs."""
    return _drawing(
        tell("A walk in two straight pieces from a square to a star."),
        svg.line(-80, 70, -30, -40, klass="pair-line"),
        svg.line(-30, -40, 80, -66, klass="pair-line"),
        sign("station", -80, 70, 12),
        sign("target", 84, -67, 13),
        _text("1", -72, 8, "end"),
        _text("2", 26, -70),
        top=-90,
        bottom=90,
    )


def attraction():
    """A needle alone, and one that iron pulls aside."""
    return _drawing(
        tell("Two needles: one points north, the other is pulled aside by a block of iron."),
        svg.element("g", *_small_needle(), transform="translate(-62 0)"),
        svg.element("g", *_small_needle(), transform="translate(10 0) rotate(24)"),
        svg.element("rect", x=62, y=-58, width=28, height=44, klass="iron"),
        _text(tell("iron"), 76, 6),
        _text(told(CARDINALS[0]), -62, -86),
        top=-104,
        bottom=82,
    )


def _small_needle():
    yield svg.element("polygon", points="0,-76 -11,0 11,0", klass="needle-red")
    yield svg.element("polygon", points="0,76 -11,0 11,0", klass="needle-white")


def paces():
    """Steps of two feet; each one of the same foot is counted."""
    steps = range(6)
    feet = (
        svg.element(
            "ellipse",
            cx=-22 if step % 2 else 22,
            cy=88 - 35 * step,
            rx=12,
            ry=19,
            klass="step" if step % 2 else "step is-counted",
        )
        for step in steps
    )
    counts = (_text(str(step // 2 + 1), 52, 94 - 35 * step) for step in steps if step % 2 == 0)
    return _drawing(
        tell("Six steps of two feet; those of the right foot are counted: 1, 2, 3."),
        *feet,
        *counts,
        top=-112,
        bottom=112,
    )


def grid():
    """A place on a grid: first how far east, then how far north."""
    lines = [
        line
        for place in (-90, -30, 30, 90)
        for line in (
            svg.line(place, -90, place, 90, klass="grid-line"),
            svg.line(-90, place, 90, place, klass="grid-line"),
        )
    ]
    return _drawing(
        tell("A place on a grid of squares: first so far to the east, then so far to the north."),
        *lines,
        svg.line(-90, 90, 50, 90, klass="pair-line"),
        svg.line(50, 90, 50, -10, klass="pair-line"),
        *_head(50, -8, 0, "head-answer"),
        *_head(42, 90, 90, "head-answer"),
        _text("1", -18, 82),
        _text("2", 66, 46),
        sign("target", 50, -26, 12),
        top=-96,
        bottom=96,
    )
