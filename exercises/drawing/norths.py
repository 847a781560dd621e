"""The declination diagram and what stands beside it in words: the three norths from one foot.

Real angles are often too small to be seen or too large for the place, so that neighbours are drawn
at least and at most so far apart; the figures are written on it.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

from ..domain.words import say
from ..languages import tell, told
from . import svg

SHORT = {"true": say("TN"), "grid": say("GN"), "magnetic": say("MN")}
LEAST_APART_DEG, MOST_APART_DEG = 12.0, 32.0  # between neighbours, as they are drawn
OUTER_LENGTH = 0.78  # of the middle one's, above which its label has room
LETTER, LONG = 15.0, 110.0  # of the picture on a page, in its own units


@dataclass(frozen=True)
class Needle:
    """A north of the diagram, from a foot at (0, 0), y downwards: its tip, and where its label
    stands; `is_beside` whether the label has two lines beside the tip or one above it.
    """

    north: str
    tip: tuple[float, float]
    at: tuple[float, float]
    anchor: str
    is_beside: bool


@dataclass(frozen=True)
class Diagram:
    """Its needles from left to right, and whether they stand at their real angles."""

    needles: tuple[Needle, ...]
    is_to_scale: bool


def diagram(norths, upright, long, letter):
    """The norths as a `Diagram`, that of the sheet's own lines upright; `long` is the length of the
    longest needle, `letter` the height of capitals.
    """
    shown = norths.as_printed()
    names = sorted(("true", "grid", "magnetic"), key=shown.east_of_true)
    real = [shown.east_of_true(name) for name in names]
    drawn = [0.0]
    for left_deg, right_deg in pairwise(real):
        apart_deg = min(max(right_deg - left_deg, LEAST_APART_DEG), MOST_APART_DEG)
        drawn.append(drawn[-1] + apart_deg)
    turned_deg = drawn[names.index(upright)]
    needles = tuple(
        _needle(name, angle_deg - turned_deg, side, long, letter)
        for name, angle_deg, side in zip(names, drawn, (-1, 0, 1), strict=True)
    )
    is_to_scale = math.isclose(drawn[2], real[2] - real[0]) and math.isclose(
        drawn[1], real[1] - real[0]
    )
    return Diagram(needles, is_to_scale)


def _needle(name, angle_deg, side, long, letter):
    x, y = svg.polar(angle_deg, long * (OUTER_LENGTH if side else 1.0))
    at = (x + side * 0.8 * letter, y + 0.5 * letter) if side else (x, y - 0.9 * letter)
    return Needle(name, (x, y), at, {-1: "end", 0: "middle", 1: "start"}[side], bool(side))


def label_lines(needle, norths):
    """What is written at a needle: its name, and how far east or west of true north it lies."""
    name = told(SHORT[needle.north])
    if needle.north == "true":
        return (name,)
    figure = _short_figure(norths.as_printed().east_of_true(needle.north))
    return (name, figure) if needle.is_beside else (f"{name} {figure}",)


def _short_figure(degrees):
    return (
        tell("{degrees:.1f}° E", degrees=degrees)
        if degrees >= 0
        else tell("{degrees:.1f}° W", degrees=-degrees)
    )


def between(norths, north):
    """The angle between a north and the magnetic one, as it is written under the diagram."""
    return tell(
        "{magnetic}–{other} {degrees:.1f}°",
        magnetic=told(SHORT["magnetic"]),
        other=told(SHORT[north]),
        degrees=abs(norths.printed_correction(north, "magnetic")),
    )


def not_to_scale():
    """What is said where the needles do not stand at their real angles."""
    return tell("Not drawn to scale")


def norths_picture(norths):
    """The diagram for a page, true north upright."""
    made = diagram(norths, "true", LONG, LETTER)
    parts = []
    for needle in made.needles:
        parts.append(svg.line(0, 0, *needle.tip, klass=f"north north-{needle.north}"))
        for row, text in enumerate(label_lines(needle, norths)):
            x, y = needle.at[0], needle.at[1] + 1.4 * LETTER * row
            parts.append(svg.text(text, x, y, klass="plan-note", text_anchor=needle.anchor))
    below = [between(norths, "grid"), *([] if made.is_to_scale else [not_to_scale()])]
    for row, text in enumerate(below):
        y = (1.8 + 1.5 * row) * LETTER
        parts.append(svg.text(text, 0, y, klass="plan-note", text_anchor="middle"))
    return svg.drawing(norths_in_words(norths), (-170, -145, 340, 205), *parts, klass="norths")


def norths_in_words(norths):
    """The three norths in a sentence with figures that add up."""
    shown = norths.as_printed()
    return tell(
        "Magnetic north lies {magnetic} of true north, grid north {grid}; between grid and "
        "magnetic {angle:.1f}°, {whole:.0f}° in whole degrees.",
        magnetic=_east(shown.declination_deg),
        grid=_east(shown.convergence_deg),
        angle=abs(norths.printed_correction("grid", "magnetic")),
        whole=abs(norths.whole_correction("grid", "magnetic")),
    )


def true_and_magnetic_in_words(norths):
    """The same where the rule is that between true and magnetic north."""
    shown = norths.as_printed()
    return tell(
        "Magnetic north lies {magnetic} of true north, {whole:.0f}° in whole degrees; grid north "
        "{grid}.",
        magnetic=_east(shown.declination_deg),
        grid=_east(shown.convergence_deg),
        whole=abs(norths.whole_correction("true", "magnetic")),
    )


def _east(degrees):
    return (
        tell("{degrees:.1f}° east", degrees=degrees)
        if degrees >= 0
        else tell("{degrees:.1f}° west", degrees=-degrees)
    )
