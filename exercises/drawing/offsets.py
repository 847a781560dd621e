"""What each compass reads off by, side by side: those that agree lie in the band, one that does not
stands out.
"""

from ..languages import tell_many, tell_signed
from . import svg

STEP, TALL, MARGIN = 54.0, 130.0, 24.0
LEAST_REACH_DEG = 6.0  # of the scale to either side


def offsets(compasses, limit_deg):
    """Dots for (number, degrees, is at fault), in their order, about the band of `limit_deg` either
    way; a compass at fault has its degrees beside it.
    """
    reach_deg = max([LEAST_REACH_DEG, *(abs(degrees) for _, degrees, _ in compasses)])
    scale = TALL / reach_deg
    width = STEP * len(compasses)
    parts = [
        svg.element(
            "rect",
            x=0.0,
            y=-limit_deg * scale,
            width=width,
            height=2 * limit_deg * scale,
            klass="band-full",
        ),
        svg.line(0, 0, width, 0, klass="axis"),
    ]
    for place, compass in enumerate(compasses):
        parts += _compass((place + 0.5) * STEP, scale, *compass)
    label = tell_many(
        "{number} compass, and what it is off by.",
        "{number} compasses, and what each is off by.",
        len(compasses),
    )
    top = -TALL - 2 * MARGIN
    return svg.drawing(
        label, (-MARGIN, top, width + 2 * MARGIN, 2 * TALL + 5 * MARGIN), *parts, klass="offsets"
    )


def _compass(x, scale, number, degrees, is_off):
    """One compass over its number; clockwise is up."""
    y = -degrees * scale
    if is_off:
        yield svg.line(x, 0, x, y, klass="offset-line")
        above = y - 20 if degrees > 0 else y + 34
        yield svg.text(
            f"{tell_signed(degrees)}°", x, above, klass="offset-figure", text_anchor="middle"
        )
    yield svg.element(
        "circle", cx=x, cy=y, r=10.0, klass="offset-off" if is_off else "offset-sound"
    )
    yield svg.text(number, x, TALL + 2.6 * MARGIN, klass="offset-number", text_anchor="middle")
