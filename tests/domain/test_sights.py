"""Which targets a station is expected to see. Distances by GeographicLib's own direct problem, as
pyproj has it; heights by plane similar triangles.
"""

import pyproj
import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth.geodesy import Position
from exercises.domain.planning.sights import expected, sights, usual_reach_m
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.kinds import REGISTER, kind_of
from exercises.domain.tasks.site import Point, Site, Task

GEOD = pyproj.Geod(ellps="WGS84")
MIDDLE = (-45.13, 170.10)


def point(code, bearing, distance, height=0.0, *, mark="", is_target=True):
    """A point some way from the middle, by the direct problem."""
    longitude, latitude, _ = GEOD.fwd(MIDDLE[1], MIDDLE[0], bearing, distance)
    return Point(code, code, Position(latitude, longitude, height), 0.5, mark, None, is_target)


def ground(*points, visible=None):
    return Site({point.code: point for point in points}, visible or {})


STATION = point("A", 0, 0, 100.0, mark="peg", is_target=False)


def test_targets_come_nearest_first_and_nothing_that_cannot_be_sighted_does():
    site = ground(
        STATION,
        point("T1", 70, 300),
        point("T2", 130, 260),
        point("B", 10, 50, mark="stone", is_target=False),
        point("C", 200, 280, mark="pin"),
    )

    found = sights(site, "A")

    assert [sight.target for sight in found] == ["T2", "C", "T1"]
    assert [sight.line.distance_m for sight in found] == pytest.approx([260, 280, 300], abs=1e-6)
    assert [sight.line.bearing_deg for sight in found] == pytest.approx([130, 200, 70], abs=1e-6)


def test_a_station_that_can_be_sighted_is_no_target_of_its_own():
    assert sights(ground(point("C", 0, 0, mark="pin")), "C") == []


@given(
    metres=st.lists(st.floats(min_value=1.0, max_value=5000.0), min_size=1, max_size=8),
    reach=st.floats(min_value=10.0, max_value=5000.0),
)
def test_within_a_reach_is_what_is_no_farther_by_the_ellipsoid(metres, reach):
    # within a tenth of a millimetre either side is right
    targets = [point(f"T{at}", 37 * at, far) for at, far in enumerate(metres)]
    seen = expected(sights(ground(STATION, *targets), "A"), reach)

    assert {f"T{at}" for at, far in enumerate(metres) if far < reach - 1e-4} <= seen
    assert seen <= {f"T{at}" for at, far in enumerate(metres) if far < reach + 1e-4}


def test_what_stands_behind_a_rise_is_not_expected_and_the_rise_is_named():
    # eye 101.6, target 100: half way the line is at 100.8 m, and the rise is 104 m high
    site = ground(STATION, point("T", 90, 400, 100.0), point("P", 90, 200, 104.0))

    near, far = sights(site, "A")

    assert (near.target, near.rise) == ("P", None)
    assert (far.rise.point, far.rise.below_m) == ("P", pytest.approx(3.2, abs=0.01))
    assert expected([near, far], 1000) == {"P"}


def test_of_several_rises_the_highest_over_the_line_is_named():
    site = ground(
        STATION,
        point("T", 90, 400, 100.0),
        point("P", 90, 100, 103.0),
        point("Q", 90, 300, 108.0),
    )

    rises = {sight.target: sight.rise and sight.rise.point for sight in sights(site, "A")}

    # the line to T is at 101.2 m over P, at 100.4 m over Q; that to Q at 103.7 m over P
    assert rises == {"P": None, "Q": None, "T": "Q"}


def test_a_target_on_the_station_itself_has_no_line_and_is_not_expected():
    site = ground(STATION, point("T", 0, 0))

    (found,) = sights(site, "A")

    assert (found.line, expected([found], 1000)) == (None, set())


@pytest.mark.parametrize(
    ("visible", "reach_m"),
    [
        pytest.param({}, 500, id="nothing noted: the usual"),
        pytest.param({"A": ("N",)}, 150, id="up to a whole fifty metres"),
        pytest.param({"A": ("N", "M"), "B": ("N",), "C": ("S",)}, 350, id="the median station's"),
        pytest.param({"A": ("A2",)}, 500, id="only a target on the spot"),
    ],
)
def test_a_reach_is_offered_as_the_stations_of_the_site_see(visible, reach_m):
    # A sees 320 m far, B 101 m, C 4000 m
    site = ground(
        STATION,
        point("A2", 0, 0),
        point("B", 0, 0, mark="peg"),
        point("C", 0, 0, mark="peg"),
        point("N", 0, 101),
        point("M", 90, 320),
        point("S", 180, 4000),
        visible=visible,
    )

    assert usual_reach_m(site) == reach_m


@pytest.mark.parametrize(
    ("kind", "lines"),
    [
        ("sight", (("A", "T"),)),
        ("follow", (("A", "T"),)),
        ("face", (("A", "T"),)),
        ("convert", ()),
        ("back", ()),
        ("map", ()),
        ("walk", ()),
        ("fix", (("A", "T"), ("A", "P"), ("A", "Q"))),
        ("intersect", (("A", "T"), ("P", "T"), ("Q", "T"))),
    ],
)
def test_a_kind_needs_the_lines_along_which_somebody_looks(kind, lines):
    task = Task("1", kind, "A", "T", "true", Band(5, 10), more=("P", "Q"))

    assert kind_of(kind).lines_looked_along(task) == lines


def test_every_kind_has_been_asked_for_its_lines():
    asked = {"sight", "follow", "face", "convert", "back", "map", "walk", "fix", "intersect"}

    assert asked == set(REGISTER)
