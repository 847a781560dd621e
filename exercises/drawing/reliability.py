"""How often judgements were right, by how sure they were."""

from ..languages import tell
from . import svg

SIDE = 200.0
MARKS = (0, 50, 100)


def reliability(bins):
    """A square with the share that was right, and its interval, over the probability that was said;
    `bins` are `domain.results.reliability.Bin`. On the slanting line the two agree.
    """
    return svg.drawing(
        tell("How often it was right, over how sure it was said."),
        (-46, -12, SIDE + 66, SIDE + 62),
        svg.line(0, SIDE, SIDE, SIDE, klass="axis"),
        svg.line(0, 0, 0, SIDE, klass="axis"),
        svg.line(0, SIDE, SIDE, 0, klass="sight-line"),
        *_marks(),
        *(part for one in bins for part in _bin(one)),
        klass="dots reliability",
    )


def _marks():
    for mark in MARKS:
        along = SIDE * mark / 100
        yield svg.text(f"{mark} %", along, SIDE + 18, klass="axis-label", text_anchor="middle")
        yield svg.text(f"{mark} %", -6, SIDE - along + 4, klass="axis-label", text_anchor="end")
    yield svg.text(tell("said"), SIDE / 2, SIDE + 38, klass="axis-label", text_anchor="middle")
    yield svg.text(tell("right"), 6, 4, klass="axis-label", text_anchor="start")


def _bin(one):
    """A dot with its interval."""
    across = SIDE * one.mean
    low, high = (SIDE * (1.0 - share) for share in (one.share_low, one.share_high))
    yield svg.line(across, low, across, high, klass="interval")
    yield svg.element(
        "circle", cx=across, cy=SIDE * (1.0 - one.right / one.number), r=5.0, klass="dot"
    )
