"""The outline of all land, coarse: to find one's way on a small map, not to tell land from sea."""

import functools
import itertools
import json
from collections.abc import Sequence
from pathlib import Path

# the map of the browser reads the same file
LAND = Path(__file__).resolve().parent.parent / "static/exercises/vendor/world/land.json"
Corners = list[tuple[float, float]]
Box = tuple[float, float, float, float]
HUNDREDTH = 0.01  # of a degree: what a step in the file is worth


@functools.cache
def outlines() -> list[tuple[Corners, Box]]:
    """The outer outlines of all land as lists of (longitude, latitude), degrees, each with the box
    that holds it: west, south, east, north. Lakes as large as the Caspian are left out.
    """
    polygons = json.loads(LAND.read_text(encoding="utf-8"))
    return [_boxed(_unrolled(rings[0])) for rings in polygons]


def _unrolled(steps: Sequence[int]) -> Corners:
    """The corners that steps lead to: x, y, x, y ... each from the corner before."""
    xs, ys = itertools.accumulate(steps[::2]), itertools.accumulate(steps[1::2])
    return [(x * HUNDREDTH, y * HUNDREDTH) for x, y in zip(xs, ys, strict=True)]


def _boxed(corners: Corners) -> tuple[Corners, Box]:
    longitudes, latitudes = zip(*corners, strict=True)
    return corners, (min(longitudes), min(latitudes), max(longitudes), max(latitudes))
