"""A baseplate compass seen from above, in parts that a script can turn: what lies round it, the
housing, the needle.
"""

from ..languages import tell, told
from . import svg
from .dial import CARDINALS

HOUSING, SCALE, NEEDLE, AROUND = 98, 79, 62, 174  # radii


def baseplate():
    """The compass with its travel arrow up. `data-turns` names the parts: the whole, its
    housing, its needle, and what lies around.
    """
    return svg.drawing(
        tell("A compass from above, its travel arrow pointing ahead."),
        (-200, -200, 400, 400),
        svg.element("circle", r=AROUND, klass="horizon", data_turns="horizon"),
        svg.element(
            "g",
            *plate(),
            svg.element("g", *_housing(), data_turns="housing"),
            svg.element("g", *needle(), data_turns="needle"),
            svg.element("circle", r=3, klass="hub"),
            *index(),
            data_turns="whole",
        ),
        svg.element("g", data_turns="around"),
        klass="compass",
    )


def plate():
    """The plate with its direction-of-travel arrow."""
    yield svg.element("rect", x=-108, y=-176, width=216, height=296, rx=14, klass="plate")
    yield svg.line(0, -HOUSING - 4, 0, -148, klass="travel")
    yield svg.element("polygon", points="0,-162 -9,-144 9,-144", klass="travel-head")


def index():
    """The line at which the number is read."""
    yield svg.line(0, -HOUSING - 4, 0, -HOUSING + 9, klass="index")


def _housing():
    yield from floor()
    for degree in range(0, 360, 2):
        depth = 9 if degree % 10 == 0 else 5
        yield svg.line(
            *svg.polar(degree, HOUSING),
            *svg.polar(degree, HOUSING - depth),
            klass="tick" if degree % 10 else "tick tick-ten",
        )
    for degree in range(0, 360, 30):
        yield printed(degree)


def floor():
    """The dial's ring and its floor, N up: the orienting arrow and the lines beside it."""
    yield svg.element("circle", r=HOUSING, klass="ring")
    yield svg.element("circle", r=SCALE - 13, klass="face")
    for x in (-36, -18, 18, 36):
        yield svg.line(x, -50, x, 50, klass="orienting-line")
    yield svg.element("path", d="M-9 50V-40H-16L0 -62L16 -40H9V50Z", klass="orienting-arrow")


def printed(degree):
    """The number or letter that is printed at a degree, its foot towards the middle."""
    x, y = svg.polar(degree, SCALE)
    return svg.text(
        told(CARDINALS[degree]) if degree in CARDINALS else str(degree),
        x,
        y,
        klass="cardinal" if degree in CARDINALS else "figure",
        text_anchor="middle",
        dominant_baseline="central",
        transform=f"rotate({degree} {svg.number(x)} {svg.number(y)})",
    )


def needle():
    """The needle, its marked end up."""
    yield svg.element("polygon", points=f"0,{-NEEDLE + 4} -7,0 7,0", klass="needle-red")
    yield svg.element("polygon", points=f"0,{NEEDLE - 4} -7,0 7,0", klass="needle-white")
    yield svg.text(told(CARDINALS[0]), 0, -16, klass="needle-mark", text_anchor="middle")
