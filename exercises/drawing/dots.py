"""The errors of one task on a straight scale about its answer."""

import math

from ..languages import tell_many
from . import svg

HALF_WIDTH = 300.0
REACH_DEG = 180.0


def errors(errors_deg, band, others=()):
    """Dots of signed errors, reading minus answer, on a scale that is fine near the answer and
    coarse far away; `others` are (code, degrees from the answer) of other targets, marked below.

    The scale is the square root of the error, so that two degrees can be seen beside a reversal at
    180.
    """
    stacks, parts = {}, list(_others(others))
    for limit_deg, klass in (
        (band.part_credit_deg, "band-part"),
        (band.full_credit_deg, "band-full"),
    ):
        parts.append(
            svg.element(
                "rect",
                x=-_place(limit_deg),
                y=-74.0,
                width=2 * _place(limit_deg),
                height=84.0,
                klass=klass,
            )
        )
    parts.append(svg.line(-HALF_WIDTH, 10, HALF_WIDTH, 10, klass="axis"))
    for mark in (-180, -90, -45, -20, -10, -5, 0, 5, 10, 20, 45, 90, 180):
        parts.append(svg.line(_place(mark), 10, _place(mark), 16, klass="axis"))
        if abs(mark) not in (5,):
            parts.append(
                svg.text(
                    f"{'+' if mark > 0 else '−' if mark < 0 else ''}{abs(mark)}",
                    _place(mark),
                    32,
                    klass="axis-label",
                    text_anchor="middle",
                )
            )
    for error_deg in sorted(errors_deg):
        column = round(_place(error_deg) / 9)
        stacks[column] = stacks.get(column, 0) + 1
        parts.append(
            svg.element(
                "circle",
                cx=column * 9.0,
                cy=float(14 - 9 * stacks[column] - 4),
                r=3.6,
                klass="dot" if abs(error_deg) <= band.part_credit_deg else "dot dot-far",
            )
        )
    bottom = 64 if others else 44
    top = -max([74, *(9 * height for height in stacks.values())]) - 6
    label = tell_many(
        "{number} reading about the answer.", "{number} readings about the answer.", len(errors_deg)
    )
    return svg.drawing(
        label, (-HALF_WIDTH - 20, top, 2 * HALF_WIDTH + 40, bottom - top), *parts, klass="dots"
    )


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
        corners = ((x, 12), (x - 5, 21), (x + 5, 21))
        yield svg.element(
            "polygon",
            points=" ".join(f"{svg.number(a)},{svg.number(float(b))}" for a, b in corners),
            klass="other-target",
        )
        yield svg.text(code, at, 52, klass="axis-label", text_anchor="middle")
