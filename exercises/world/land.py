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
def outlines() -> list[tuple[Corners, Box, bool]]:
    """The outlines of all land, and after them those of the Caspian and its like, as lists of
    (longitude, latitude), degrees, each with the box that holds it (west, south, east, north) and
    whether it is land. One that the antimeridian runs through goes on beyond 180.
    """
    polygons = json.loads(LAND.read_text(encoding="utf-8"))
    land = [(*_boxed(_unrolled(outer)), True) for outer, *_ in polygons]
    return land + [(*_boxed(_unrolled(hole)), False) for _, *holes in polygons for hole in holes]


def _unrolled(steps: Sequence[int]) -> Corners:
    """The corners that steps lead to: x, y, x, y ... each from the corner before."""
    xs, ys = itertools.accumulate(steps[::2]), itertools.accumulate(steps[1::2])
    return [(x * HUNDREDTH, y * HUNDREDTH) for x, y in zip(xs, ys, strict=True)]


def _boxed(corners: Corners) -> tuple[Corners, Box]:
    longitudes, latitudes = zip(*corners, strict=True)
    return corners, (min(longitudes), min(latitudes), max(longitudes), max(latitudes))
