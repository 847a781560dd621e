"""The signs of points on maps. What the outdoor sport's maps use is from memory of ISOM 2017: a
triangle is its start, a circle a control.
"""

import itertools
import math

import pytest
from shapely.affinity import rotate, scale
from shapely.geometry import Polygon

from exercises.drawing.signs import SIGNS, sign


def shape_of(code):
    """A sign as an area of one, about its spot."""
    return shape(SIGNS[code].outline(0.0, 0.0, 1.0))


def regular(corners):
    """A triangle, or nearly a circle, as an area of one."""
    return shape(
        [
            (math.sin(turn * math.tau / corners), math.cos(turn * math.tau / corners))
            for turn in range(corners)
        ]
    )


def shape(points):
    """An outline as an area of one, about the origin."""
    outline = Polygon(points)
    times = 1.0 / math.sqrt(outline.area)
    return scale(outline, times, times, origin=(0, 0))


def most_alike(one, other):
    """The share of two areas of one that they have in common, turned as they fit best."""
    return max(
        one.intersection(rotate(other, turn, origin=(0, 0))).area for turn in range(0, 360, 3)
    )


@pytest.mark.parametrize(("one", "other"), list(itertools.combinations(SIGNS, 2)))
def test_no_turn_of_the_sheet_makes_one_sign_another(one, other):
    assert most_alike(shape_of(one), shape_of(other)) < 0.85


@pytest.mark.parametrize("code", SIGNS)
@pytest.mark.parametrize("corners", [3, 64], ids=["triangle", "circle"])
def test_no_sign_is_a_triangle_or_a_circle(code, corners):
    outline = shape_of(code)

    assert len(SIGNS[code].corners) not in (3, 64)
    assert most_alike(outline, regular(corners)) < 0.95


@pytest.mark.parametrize("code", SIGNS)
def test_a_sign_stands_about_its_spot_and_marks_it(code):
    outline = Polygon(SIGNS[code].outline(40.0, 70.0, 9.0))

    assert (outline.centroid.x, outline.centroid.y) == pytest.approx((40.0, 70.0))
    assert 'cx="40" cy="70"' in sign(code, 40.0, 70.0, 9.0)
