"""What is said of lines of position that say too little, or whose triangle closes falsely: circles
and cuts by constructions that share no code with the check.
"""

import cmath
import math
from dataclasses import replace

import pytest

from exercises.domain.earth import geodesy
from exercises.domain.earth.norths import Norths
from exercises.domain.planning import course_check, hazards, position_geometry
from exercises.domain.planning.position_geometry import common_error, near_circle
from exercises.domain.surveying.position_lines import PositionLine
from exercises.domain.tasks import key
from exercises.presenting.findings import cure_of, what_is
from exercises.presenting.position_findings import towards
from tests.places import DAY, MIDDLE, answer_of, site, task

RADIUS_M = 300.0


def on_circle(turn_deg, off_m=0.0):
    """A point near the circle through the mark A at the origin, its centre 300 m north of it."""
    turn = math.radians(turn_deg)
    return (
        round((RADIUS_M + off_m) * math.sin(turn), 6),
        round(RADIUS_M + (RADIUS_M + off_m) * math.cos(turn), 6),
    )


CIRCLE = {"C1": on_circle(60), "C2": on_circle(-50), "C3": on_circle(5)}
ON_CIRCLE = task(target="C1", more=("C2", "C3"))


def line(at, sigma_deg=2.0):
    return PositionLine(str(at), *at, math.degrees(math.atan2(-at[0], -at[1])) % 360, sigma_deg)


def found(asked, ground, dangers=(), *codes):
    return [
        one
        for one in course_check.findings_on_site([asked], ground, DAY, dangers)
        if one.code in (codes or ("danger_circle", "closes_falsely", "wide_place", "middle_spoilt"))
    ]


@pytest.mark.parametrize("off_m", [0.0, 12.0, -25.0])
def test_the_danger_circle_is_measured_from_the_place(off_m):
    lines = [line(at) for at in CIRCLE.values()]

    near = near_circle(lines, (0.0, -off_m))

    assert (near.radius_m, near.off_m) == pytest.approx((RADIUS_M, abs(off_m)), abs=1e-4)


def test_a_place_well_off_the_circle_is_not_near_it():
    lines = [line(at) for at in CIRCLE.values()]

    assert near_circle(lines, (0.0, -31.0)) is None
    assert near_circle(lines[:2], (0.0, 0.0)) is None
    assert near_circle([line((0, 100)), line((50, 100)), line((200, 100))], (0, 0)) is None


@pytest.mark.parametrize("turn_deg", [-24.0, -3.0, 2.0, 12.0])
def test_on_the_danger_circle_a_common_error_closes_the_triangle_elsewhere_on_it(turn_deg):
    """Euclid III.20: a turn of the lines by an angle moves the place by twice that round the
    centre, 2 R sin(turn) along the chord, and the lines still meet in one place.
    """
    error = common_error([line(at) for at in CIRCLE.values()], turn_deg)

    assert error.side_m == pytest.approx(0.0, abs=1e-6)
    assert error.moved_m == pytest.approx(2 * RADIUS_M * abs(math.sin(math.radians(turn_deg))))
    assert error.is_hidden


def test_with_known_points_all_round_a_common_error_opens_the_triangle():
    """Three points 500 m away, 120 degrees apart, lines turned by 3: each passes 500 sin 3 = 26.2 m
    from the place, so that the triangle's sides are 2 sqrt(3) times that, and its middle stays.
    """
    around = [cmath.rect(500.0, math.radians(turn)) for turn in (90, 210, 330)]
    error = common_error([line((point.real, point.imag)) for point in around], 3.0)

    assert error.side_m == pytest.approx(2 * math.sqrt(3) * 500 * math.sin(math.radians(3)))
    assert error.moved_m == pytest.approx(0.0, abs=1e-6)
    assert not error.is_hidden


def test_two_lines_have_no_triangle():
    assert common_error([line((0, 300)), line((300, 0))], 3.0) is None


def test_a_fix_on_the_danger_circle_is_found_with_what_two_degrees_do():
    """2 * 300 m * sin 2 degrees = 20.9 m."""
    (finding,) = found(ON_CIRCLE, site(**CIRCLE), (), "danger_circle")

    assert finding.values["points"] == ("C1", "C2", "C3")
    assert finding.values["moved_m"] == pytest.approx(20.94, abs=0.1)
    assert "0 m from the danger circle through C1, C2, C3 (radius 300 m)" in what_is(finding)
    assert "all 2° off put it 21 m off" in what_is(finding)


def test_a_declination_left_out_is_told_with_the_circle():
    """The grid stands 22 degrees off the field here: 2 * 300 m * sin of that."""
    (finding,) = found(ON_CIRCLE, site(**CIRCLE), (), "danger_circle", "closes_falsely")
    (answer,) = key.compute([ON_CIRCLE], site(**CIRCLE), DAY)
    angle_deg = answer.norths.grid_magnetic_deg
    moved_m = 2 * RADIUS_M * math.sin(math.radians(angle_deg))

    assert finding.values["left_out"].moved_m == pytest.approx(moved_m, rel=0.01)
    assert f"a declination of {angle_deg:.0f}° left out {moved_m:.0f} m" in what_is(finding)


@pytest.mark.parametrize(
    ("declination_deg", "said"),
    [(4.0, "Who leaves out the declination of 4°"), (0.2, "A compass that is off by 3°")],
)
def test_off_the_circle_a_declination_that_closes_the_triangle_is_told_first(declination_deg, said):
    ground = site(**{**CIRCLE, "C3": on_circle(5, 60.0)})
    (answer,) = key.compute([ON_CIRCLE], ground, DAY)
    elsewhere = replace(answer, norths=Norths(declination_deg, 0.0))

    (finding,) = [
        one for one in position_geometry.of_answer(elsewhere) if one.code == "closes_falsely"
    ]

    assert finding.values["triangle_m"] <= finding.values["usual_m"]
    assert said in what_is(finding)


def test_a_compass_that_is_off_is_named_where_the_circle_is_farther():
    ground = site(**{**CIRCLE, "C3": on_circle(5, 60.0)})

    assert [
        (one.code, one.values.get("is_declination"))
        for one in found(ON_CIRCLE, ground, (), "danger_circle", "closes_falsely")
    ] == [("closes_falsely", False)]


def test_the_known_point_that_opens_the_triangle_is_named_with_its_direction():
    (finding,) = found(ON_CIRCLE, site(**CIRCLE), (), "danger_circle")
    mend = finding.values["mend"]
    kept = [CIRCLE[code] for code in CIRCLE if code != mend.instead]
    lines = [line(at) for at in (*kept, (-60, -330))]  # T4
    opened = [common_error(lines, turn_deg).side_m for turn_deg in (3.0, -3.0)]

    assert mend.point == "T4"
    assert mend.triangle_m == pytest.approx(min(opened), rel=0.01)
    assert mend.triangle_m > 1.5 * mend.usual_m
    assert f"Take T4, to the south, instead of {mend.instead}" in cure_of(finding)


def test_one_known_point_that_mends_all_is_named_for_all():
    """T3 would open the triangle farther, but leave the ellipse as long as it is."""
    far = {"T1": (4000, 9000), "T2": (4000, 9100), "B": (4050, 9050)}
    ground = site(**CIRCLE, **far, T3=(0, -300), T4=(173, -100))

    mends = {one.code: one.values["mend"] for one in found(ON_CIRCLE, ground)}

    assert set(mends) == {"wide_place", "danger_circle"}
    assert mends["wide_place"] == mends["danger_circle"]
    assert (mends["wide_place"].point, mends["wide_place"].instead) == ("T4", "C3")


def test_a_line_that_spoils_the_middle_is_found_and_the_better_point_named():
    ground = site(C3=(160, 900))

    (finding,) = found(task(more=("T2", "C3")), ground)

    assert (finding.code, finding.values["point"], finding.values["other"]) == (
        "middle_spoilt",
        "C3",
        "T1",
    )
    assert finding.values["with_m"] > 1.5 * finding.values["without_m"]
    assert cure_of(finding).startswith("Take T3, to the north-west, instead of C3")


def test_without_another_point_the_line_is_to_be_left_out():
    far = {"C3": (160, 900), "T3": (4000, 9000), "T4": (-4000, -8000)}

    (finding,) = found(task(more=("T2", "C3")), site(**far), (), "middle_spoilt")

    assert cure_of(finding) == "Leave C3 out."


def test_lines_that_are_too_long_for_the_band_are_found():
    far = {"C1": (900, 0), "C2": (0, 1200), "C3": (-700, -600)}

    (finding,) = found(task(target="C1", more=("C2", "C3")), site(**far), (), "wide_place")

    assert finding.values["ellipse_m"] > finding.values["band_m"] == 15.0


def test_a_sound_fix_has_nothing_of_this():
    assert found(task(more=("T2", "T3")), site()) == []


def test_a_mark_beyond_a_danger_is_not_named():
    """Mark B is the nearest that sees T1; a drop lies between it and A."""
    asked = task("intersect", station="A", target="T1", more=("N",))
    ground = site(N=(-60, 40))
    points = {
        code: (
            point if code not in ("N", "B") else type(point)(code, code, point.position, 0.5, "peg")
        )
        for code, point in ground.points.items()
    }
    ground = type(ground)(points, grid_epsg=2193)
    drop = hazards.Hazard(
        "drop", "bank", tuple(geodesy.moved(MIDDLE, *at) for at in ((60, 60), (90, 30)))
    )

    def named(dangers):
        (finding,) = found(asked, ground, dangers, "poor_cut")
        return finding.values["mend"] and finding.values["mend"].point

    assert (named(()), named((drop,))) == ("B", None)


def test_answers_without_lines_have_no_geometry():
    (answer,) = answer_of(task("walk", target="T2", north="magnetic"))

    assert list(position_geometry.of_answer(answer)) == []


@pytest.mark.parametrize(
    ("bearing_deg", "words"),
    [(0, "to the north"), (359, "to the north"), (23, "to the north-east"), (200, "to the south")],
)
def test_directions_are_the_nearest_of_eight(bearing_deg, words):
    assert towards(bearing_deg) == words
