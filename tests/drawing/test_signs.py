"""The signs of points on maps. What the outdoor sport's maps use is from memory of ISOM 2017: a
triangle is its start, a circle a control.
"""

import itertools
import math
from types import SimpleNamespace

import pytest
from shapely.affinity import rotate, scale
from shapely.geometry import Polygon
from shapely.ops import unary_union

from exercises.drawing.signs import FRAME, SIGNS, desk_sign_of, desk_signs, sign, sign_of


def outlines(code, x=0.0, y=0.0, size=1.0):
    """The outlines of a sign as areas."""
    return [Polygon(corners) for _, corners in SIGNS[code].drawn(x, y, size)]


def of_one(area):
    """An area about the origin, made as large as one."""
    times = 1.0 / math.sqrt(area.area)
    return scale(area, times, times, origin=(0, 0))


def regular(corners):
    """A triangle, or nearly a circle, as an area of one."""
    turns = [turn * math.tau / corners for turn in range(corners)]
    return of_one(Polygon([(math.sin(turn), math.cos(turn)) for turn in turns]))


def most_alike(one, other):
    """The share of two areas of one that they have in common, turned as they fit best."""
    return max(
        one.intersection(rotate(other, turn, origin=(0, 0))).area for turn in range(0, 360, 3)
    )


def ink(code):
    """The lines of a sign, a tenth of its size wide, as an area of one: what the eye sees."""
    return of_one(unary_union([area.exterior.buffer(0.05) for area in outlines(code)]))


@pytest.mark.parametrize(("one", "other"), list(itertools.combinations(SIGNS, 2)))
def test_no_turn_of_the_sheet_makes_one_sign_another(one, other):
    assert most_alike(ink(one), ink(other)) < 0.5


@pytest.mark.parametrize("code", SIGNS)
@pytest.mark.parametrize("corners", [3, 64], ids=["triangle", "circle"])
def test_no_outline_of_a_sign_is_a_triangle_or_a_circle(code, corners):
    for outline in map(of_one, outlines(code)):
        assert most_alike(outline, regular(corners)) < 0.95


@pytest.mark.parametrize("code", SIGNS)
def test_a_sign_stands_about_its_spot_and_marks_it(code):
    for outline in outlines(code, 40.0, 70.0, 9.0):
        assert (outline.centroid.x, outline.centroid.y) == pytest.approx((40.0, 70.0))
    assert 'cx="40" cy="70"' in sign(code, 40.0, 70.0, 9.0)


def test_a_point_has_the_sign_of_what_it_serves_as():
    roles = {"station": (True, False), "target": (False, True), "both": (True, True)}
    for code, (is_station, is_target) in roles.items():
        assert sign_of(SimpleNamespace(is_station=is_station, is_target=is_target)) == code


def test_a_station_without_a_line_has_a_frame_at_the_desk_and_others_have_none():
    ground = SimpleNamespace(visible={"A": ("T",)})
    points = {
        "A": SimpleNamespace(code="A", is_station=True, is_target=False),
        "B": SimpleNamespace(code="B", is_station=True, is_target=False),
        "C": SimpleNamespace(code="C", is_station=True, is_target=True),
        "T": SimpleNamespace(code="T", is_station=False, is_target=True),
    }

    codes = {code: desk_sign_of(point, ground) for code, point in points.items()}

    assert codes == {"A": "station", "B": "station_unlined", "C": "both_unlined", "T": "target"}
    framed = {code for code, drawing in desk_signs().items() if 'class="no-line"' in drawing}
    assert framed == {"station_unlined", "both_unlined"}


@pytest.mark.parametrize("code", ["station", "both"])
def test_the_frame_is_clear_of_the_sign_in_it_and_lies_in_its_drawing(code):
    ((_, corners),) = FRAME.drawn(0.0, 0.0, 9.0)
    frame = Polygon(corners)

    inside = unary_union(outlines(code, size=9.0))
    assert frame.contains(inside)
    assert frame.exterior.distance(inside) > 0.5
    assert max(abs(bound) for bound in frame.bounds) < 13.0 - 0.5  # half of the view, half a stroke
