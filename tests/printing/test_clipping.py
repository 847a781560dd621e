"""Lines and areas cut off at a box, against shapely's own geometry."""

import pytest
from hypothesis import given, strategies as st
from shapely import LineString, MultiLineString, Polygon, box as shapely_box

from exercises.drawing import clipping

BOX = (20.0, 30.0, 120.0, 90.0)
PLACES = st.tuples(st.integers(-50, 200), st.integers(-50, 200)).map(
    lambda place: (float(place[0]), float(place[1]))
)


@given(st.lists(PLACES, min_size=2, max_size=6, unique=True))
def test_a_line_is_cut_as_shapely_cuts_it(corners):
    pieces = clipping.line(corners, BOX)
    cut = LineString(corners).intersection(shapely_box(*BOX))
    # a corner of the box that is only touched is a point: nothing is drawn there
    inside = MultiLineString([part for part in getattr(cut, "geoms", [cut]) if part.length > 1e-6])
    length = sum(LineString(piece).length for piece in pieces)

    # shapely counts what a line runs over twice once
    assert length >= inside.length - 1e-6
    assert MultiLineString([LineString(piece) for piece in pieces]).hausdorff_distance(
        inside
    ) < 1e-6 or (not pieces and inside.is_empty)


@given(st.lists(PLACES, min_size=3, max_size=6, unique=True))
def test_an_area_is_cut_as_shapely_cuts_it(corners):
    whole = Polygon(corners)
    if not whole.is_valid:
        return
    inside = clipping.area(corners, BOX)
    expected = whole.intersection(shapely_box(*BOX))

    assert (Polygon(inside).area if len(inside) >= 3 else 0.0) == pytest.approx(
        expected.area, abs=1e-6
    )


@given(st.lists(PLACES, min_size=3, max_size=6, unique=True), st.floats(1.0, 9.0))
def test_level_strokes_lie_inside_an_area_and_fill_it(corners, apart):
    whole = Polygon(corners)
    if not whole.is_valid or whole.area < 500:
        return
    strokes = clipping.level_strokes(corners, apart)
    length = sum(right - left for left, right, _ in strokes)

    for left, right, y in strokes:
        assert whole.buffer(1e-6).covers(LineString([(left, y), (right + 1e-9, y)]))
    expected = sum(
        LineString([(-60, y), (210, y)]).intersection(whole).length
        for y in sorted({y for _, _, y in strokes})
    )
    assert length == pytest.approx(expected, abs=1e-6)


def test_a_line_that_touches_no_box_leaves_nothing():
    assert clipping.line([(0.0, 0.0), (10.0, 100.0)], BOX) == []


def test_a_line_that_leaves_and_comes_back_is_two_pieces():
    assert clipping.line([(50.0, 50.0), (50.0, 100.0), (70.0, 100.0), (70.0, 50.0)], BOX) == [
        [(50.0, 50.0), (50.0, 90.0)],
        [(70.0, 90.0), (70.0, 50.0)],
    ]
