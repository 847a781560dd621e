"""How each kind of hazard is drawn on a map, so that it is known in a grey copy: a sign along a
line or round an area, in a small frame for a spot, and as a sample in the legend.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from ..drawing import clipping

SAMPLE_MM = 10.0
SPOT_MM = 4.6  # the frame of a spot
WAVE_MM, WAVE_HIGH_MM, WAVE_STEPS = 3.0, 0.5, 8


@dataclass(frozen=True)
class Sign:
    """A line of a width in millimetres and a dash, `core_mm` white inside it; a stamp each so many
    millimetres; waves instead of a straight line; the grey of an area's ground, if it has any.
    """

    line_mm: float
    dash: tuple[float, ...] = ()
    core_mm: float = 0.0
    stamp: Callable | None = None
    every_mm: float = 4.0
    has_waves: bool = False
    ground: float | None = 0.93

    def along(self, pdf, places):
        """The sign along a line through places, which closes where it ends as it begins."""
        drawn, closed = _waved(places) if self.has_waves else places, places[0] == places[-1]
        pdf.polygon(drawn, line=self.line_mm, closed=closed, dash=self.dash)
        if self.core_mm:
            pdf.polygon(drawn, line=self.core_mm, grey=1.0, closed=closed)
        if self.stamp:
            for number, (x, y, way) in enumerate(along(places, self.every_mm)):
                self.stamp(pdf, x, y, way, number)

    def within(self, pdf, corners):
        """The ground of an area; its outline is drawn with `along`."""
        if corners and self.ground is not None:
            pdf.polygon(corners, line=0, fill=self.ground)
        if self.has_waves:
            for left, right, y in clipping.level_strokes(corners, 3.2):
                if right - left > WAVE_MM:
                    pdf.polygon(_waved([(left, y), (right, y)]), line=0.2, grey=0.35, closed=False)

    def spot(self, pdf, x, y):
        """A thing of one place: the sign in a frame."""
        half = SPOT_MM / 2
        pdf.box(x - half, y - half, SPOT_MM, SPOT_MM, line=0.25, fill=1.0)
        self.along(pdf, [(x - half + 0.5, y), (x + half - 0.5, y)])

    def sample(self, pdf, x, y):
        """Its look in the legend, from a place to the right."""
        self.along(pdf, [(x, y), (x + SAMPLE_MM, y)])


def along(places, every):
    """Places along a line, evenly apart, each with the unit vector of the line there."""
    long = sum(math.dist(start, end) for start, end in pairwise(places))
    number = max(1, round(long / every))
    wanted, passed = [(step + 0.5) * long / number for step in range(number)], 0.0
    for start, end in pairwise(places):
        part = math.dist(start, end)
        while wanted and part and wanted[0] <= passed + part:
            share = (wanted.pop(0) - passed) / part
            way = (end[0] - start[0]) / part, (end[1] - start[1]) / part
            yield (
                start[0] + share * (end[0] - start[0]),
                start[1] + share * (end[1] - start[1]),
                way,
            )
        passed += part


def _waved(places):
    """A line as waves about it."""
    waved = [places[0]]
    for number, (x, y, (dx, dy)) in enumerate(along(places, WAVE_MM / WAVE_STEPS)):
        off = WAVE_HIGH_MM * math.sin((number + 0.5) * 2.0 * math.pi / WAVE_STEPS)
        waved.append((x - off * dy, y + off * dx))
    return [*waved, places[-1]]


def _across(pdf, x, y, way, number):
    """A tick across a line."""
    dx, dy = way
    pdf.line(x + 1.5 * dy, y - 1.5 * dx, x - 1.5 * dy, y + 1.5 * dx, width=0.4)


def _cross(pdf, x, y, way, number):
    """A small cross on a line."""
    for turn in (math.pi / 4, -math.pi / 4):
        angle = math.atan2(way[1], way[0]) + turn
        dx, dy = 0.9 * math.cos(angle), 0.9 * math.sin(angle)
        pdf.line(x - dx, y - dy, x + dx, y + dy, width=0.3)


def _tooth(pdf, x, y, way, number):
    """A tooth, to either side in turn: on which side it falls away is not surveyed."""
    (dx, dy), side = way, 1.0 if number % 2 else -1.0
    tip = x - side * 1.6 * dy, y + side * 1.6 * dx
    pdf.polygon([(x - 0.8 * dx, y - 0.8 * dy), (x + 0.8 * dx, y + 0.8 * dy), tip], line=0, fill=0.0)


def _block(pdf, x, y, way, number):
    """A full square."""
    pdf.box(x - 0.8, y - 0.8, 1.6, 1.6, line=0, fill=0.0)


def _open_block(pdf, x, y, way, number):
    """An empty square."""
    pdf.box(x - 0.9, y - 0.9, 1.8, 1.8, line=0.3, fill=1.0)


def _ring(pdf, x, y, way, number):
    """A ring."""
    pdf.circle(x, y, 0.7, line=0.3, fill=1.0)


SIGNS = {
    "power_line": Sign(0.3, stamp=_across, every_mm=5.0),
    "vehicles": Sign(0.3, stamp=_open_block, every_mm=4.0),
    "steel": Sign(0.5, stamp=_block, every_mm=4.0, ground=0.8),
    "fence": Sign(0.25, stamp=_cross, every_mm=4.5),
    "iron": Sign(0.2, dash=(0.8, 0.8), stamp=_ring, every_mm=3.4),
    "road": Sign(1.8, core_mm=1.2, ground=None),
    "water": Sign(0.35, has_waves=True),
    "drop": Sign(0.4, stamp=_tooth, every_mm=2.2),
    "boundary": Sign(0.7, dash=(4.0, 1.0, 0.7, 1.0), ground=None),
}
