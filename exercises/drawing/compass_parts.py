"""A baseplate compass whose parts have letters, to be named in words beside it; and what the two
ends of a needle may look like.
"""

from ..domain.words import say
from ..languages import tell, told
from . import svg
from .baseplate import HOUSING, floor, index, needle, plate, printed
from .dial import CARDINALS

TURNED_DEG = 40  # of the needle, so that it does not hide the arrow beneath
SIDE, RADIUS = 142.0, 17.0  # where letters stand, and how large

# Parts by code, from the top down: the letter, the place that it points at, and the letter's side
# and height. No letter is one of the dial's own, in any language (E, and further on N, O, S, W).
PARTS = {
    "travel_arrow": ("A", (5.0, -140.0), (1, -150.0)),
    "index_line": ("B", (0.0, -94.0), (-1, -120.0)),
    "dial": ("C", svg.polar(62, HOUSING - 4), (1, -70.0)),
    "needle": ("D", svg.polar(TURNED_DEG, 48), (1, -16.0)),
    "orienting_arrow": ("F", (-12.0, -45.0), (-1, -40.0)),
    "orienting_lines": ("G", (-36.0, 30.0), (-1, 34.0)),
    "baseplate": ("H", (92.0, 104.0), (1, 92.0)),
}


def letter_of(part):
    """The letter of a part."""
    return PARTS[part][0]


def compass_parts(*parts):
    """The compass with the letters of these parts; of all, where none is named."""
    shown = parts or tuple(PARTS)
    letters = ", ".join(letter_of(part) for part in shown)
    return svg.drawing(
        tell("A compass from above, with letters at its parts: {letters}.", letters=letters),
        (-166, -184, 332, 312),
        *plate(),
        *_housing(),
        svg.element("g", *needle(), transform=f"rotate({TURNED_DEG})"),
        svg.element("circle", r=3, klass="hub"),
        *index(),
        *(mark for part in shown for mark in _letter(*PARTS[part])),
        klass="compass",
    )


def _housing():
    """The dial in short: a tick every ten degrees, in one path, and the four letters."""
    ticks = "".join(
        f"M{_pair(degree, HOUSING)}L{_pair(degree, HOUSING - 9)}" for degree in range(0, 360, 10)
    )
    yield from floor()
    yield svg.element("path", d=ticks, klass="tick-ten")
    yield from map(printed, CARDINALS)


def _pair(bearing_deg, radius):
    x, y = svg.polar(bearing_deg, radius)
    return f"{x:.1f} {y:.1f}"


def _letter(letter, at, stands):
    x, y = stands[0] * SIDE, stands[1]
    yield svg.line(x - stands[0] * RADIUS, y, *at, klass="leader")
    yield svg.element("circle", cx=at[0], cy=at[1], r=3.5, klass="leader-end")
    yield svg.element("circle", cx=x, cy=y, r=RADIUS, klass="letter-ring")
    yield svg.text(letter, x, y, klass="letter", text_anchor="middle", dominant_baseline="central")


def boxed(number_deg=60):
    """The compass with its needle in the arrow of the dial, a number at the index line."""
    return svg.drawing(
        tell(
            "A compass from above. The marked end of the needle lies in the arrow of the dial, and "
            "{number}° stands at the index line.",
            number=number_deg,
        ),
        (-116, -184, 232, 312),
        *plate(),
        svg.element("g", *_housing(), *needle(), transform=f"rotate({-number_deg})"),
        svg.element("circle", r=3, klass="hub"),
        *index(),
        klass="compass",
    )


def needle_ends():
    """Three needles: the end that is marked, up, is red, or white, or has an N."""
    return svg.drawing(
        tell(
            "Three needles, the marked end up: red on the first, white on the second, with an N on "
            "the third."
        ),
        (-170, -100, 340, 200),
        *_one_needle(-110, "needle-red", "needle-white"),
        *_one_needle(0, "needle-white", "needle-dark"),
        *_one_needle(110, "needle-white", "needle-white", told(say("N"))),
        klass="needles",
    )


def _one_needle(x, marked, other, letter=""):
    yield svg.element("polygon", points=f"{x},-88 {x - 16},0 {x + 16},0", klass=marked)
    yield svg.element("polygon", points=f"{x},88 {x - 16},0 {x + 16},0", klass=other)
    yield svg.element("circle", cx=x, cy=0, r=4, klass="hub")
    if letter:
        yield svg.text(letter, x, -14, klass="letter", text_anchor="middle")
