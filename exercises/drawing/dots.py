"""The errors of one task on a straight scale about its answer."""

import math
from collections import Counter
from functools import lru_cache

from ..languages import tell_many
from . import svg

HALF_WIDTH = 300.0
REACH_DEG = 180.0
COLUMN = 9  # width and height of a dot with its margin
MARKS = (-180, -90, -45, -20, -10, -5, 0, 5, 10, 20, 45, 90, 180)
UNLABELLED = 5  # its figure would touch those beside it


def errors(errors_deg, band, others=()):
    """Dots of signed errors, reading minus answer, on a scale that is fine near the answer and
    coarse far away; `others` are (code, degrees from the answer) of other targets, marked below.

    The scale is the square root of the error, so that two degrees can be seen beside a reversal at
    180.
    """
    columns = Counter(_column(error_deg) for error_deg in errors_deg)
    bottom = 64 if others else 44
    top = -max([74, *(COLUMN * height for height in columns.values())]) - 6
    label = tell_many(
        "{number} reading about the answer.", "{number} readings about the answer.", len(errors_deg)
    )
    return svg.drawing(
        label,
        (-HALF_WIDTH - 20, top, 2 * HALF_WIDTH + 40, bottom - top),
        *_others(others),
        *_band(band),
        *_scale(),
        *_dots(errors_deg, band),
        klass="dots",
    )


def _band(band):
    for limit_deg, klass in (
        (band.part_credit_deg, "band-part"),
        (band.full_credit_deg, "band-full"),
    ):
        half = _place(limit_deg)
        yield svg.element("rect", x=-half, y=-74.0, width=2 * half, height=84.0, klass=klass)


def _scale():
    yield svg.line(-HALF_WIDTH, 10, HALF_WIDTH, 10, klass="axis")
    for mark in MARKS:
        yield svg.line(_place(mark), 10, _place(mark), 16, klass="axis")
        if abs(mark) != UNLABELLED:
            sign = "+" if mark > 0 else "−" if mark < 0 else ""
            figure = f"{sign}{abs(mark)}"
            yield svg.text(figure, _place(mark), 32, klass="axis-label", text_anchor="middle")


def _dots(errors_deg, band):
    """A dot for each error, one on another where they fall into one column."""
    heights = Counter()
    for error_deg in sorted(errors_deg):
        column = _column(error_deg)
        heights[column] += 1
        klass = "dot" if abs(error_deg) <= band.part_credit_deg else "dot dot-far"
        yield _dot(column, heights[column], klass)


@lru_cache(maxsize=4096)
def _dot(column, height, klass):
    """A dot, the highest so far of its column: the same again in the drawing of each task."""
    return svg.element(
        "circle", cx=column * float(COLUMN), cy=float(10 - COLUMN * height), r=3.6, klass=klass
    )


def _column(error_deg):
    return round(_place(error_deg) / COLUMN)


def _place(error_deg):
    return math.copysign(math.sqrt(abs(error_deg) / REACH_DEG) * HALF_WIDTH, error_deg)


def _others(others):
    """Other targets as small triangles below the scale, their codes under them; where two would
    overlap the later steps aside.
    """
    last = -math.inf
    for code, turn_deg in sorted(others, key=lambda pair: pair[1]):
        x = _place(turn_deg)
        last = at = max(x, last + 24)
        yield svg.polygon(((x, 12), (x - 5, 21), (x + 5, 21)), klass="other-target")
        yield svg.text(code, at, 52, klass="axis-label", text_anchor="middle")
