import datetime
import math
from types import SimpleNamespace

import pyproj
import pytest

from exercises.domain.earth.angle_units import DEGREES
from exercises.domain.earth.angles import Written
from exercises.domain.earth.geodesy import Position, destination, sight_line
from exercises.domain.earth.norths import UnknownNorth
from exercises.domain.mistakes.predictions import meant
from exercises.domain.tasks import key
from exercises.domain.tasks.answer import Other
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.forms import Target
from exercises.domain.tasks.forms.base import PLANE
from exercises.domain.tasks.forms.target import Chosen, NotATarget
from exercises.domain.tasks.kinds import REGISTER, UnknownKind, kind_of
from exercises.domain.tasks.kinds.base import Sighted
from exercises.domain.tasks.kinds.convert import NothingGiven
from exercises.domain.tasks.kinds.follow import OffTheLine
from exercises.domain.tasks.kinds.map_bearing import NotOnAMap
from exercises.domain.tasks.site import Compass, Point, Site, Task, UnknownPoint
from tests import published
from tests.ground import WORKED, answer, centres

# D = +8, C = +1, true 074, grid 073, magnetic 066; from geometry, no outside source.


@pytest.mark.parametrize(
    ("habit", "slip", "expected"),
    [
        ("ok", "ok", 74),
        ("reversed", "ok", 254),
        ("declination_ignored", "ok", 66),
        ("declination_wrong_way", "ok", 58),
        ("declination_twice", "ok", 82),
        ("convergence_ignored", "ok", 73),
    ],
)
def test_a_true_bearing_by_an_unset_compass_comes_out_as_in_the_worked_example(
    habit, slip, expected
):
    assert centres(answer())[habit, slip, "plain"] == {expected}


@pytest.mark.parametrize(
    ("slip", "among"),
    [
        ("mirrored", {302.0, 286.0}),
        ("quarter_turn", {164.0, 344.0}),
        ("counted_back", {62.0}),
        ("ten_off", {64.0, 84.0, 54.0, 94.0}),
    ],
)
def test_slips_act_on_the_dial_before_the_arithmetic(slip, among):
    # Needle-tip 302 and east/west 286; counted backwards from 60: dial 054, answer 062; wrong index
    # 164 and 344.
    assert among <= centres(answer())["ok", slip, "plain"]


def test_a_habit_and_a_slip_combine_in_the_order_of_the_stages():
    # Dial 066 mirrored is 294, reversed 246, and neither is turned by the declination.
    found = centres(answer())

    assert found["declination_ignored", "mirrored", "plain"] == {294.0}
    assert found["reversed", "declination_ignored", "plain"] == {246.0}


def test_with_the_declination_set_the_dial_shows_true_and_is_mirrored_there():
    assert centres(answer(), Compass(declination_is_set=True))["ok", "mirrored", "plain"] == {286.0}


def test_where_magnetic_is_asked_only_a_needless_correction_is_possible():
    found = centres(answer(north="magnetic"))

    assert found["declination_ignored", "ok", "plain"] == {74.0}
    assert ("declination_wrong_way", "ok", "plain") not in found


def test_between_grid_and_magnetic_it_is_the_grid_magnetic_angle_that_counts():
    found = centres(answer(north="grid"))

    assert (
        found["ok", "ok", "plain"],
        found["declination_ignored", "ok", "plain"],
        found["declination_wrong_way", "ok", "plain"],
    ) == ({73.0}, {66.0}, {59.0})


@pytest.mark.parametrize(
    ("habit", "expected"),
    [
        ("declination_ignored", 82),
        ("declination_wrong_way", 90),
        ("declination_twice", 66),
        ("reversed", 254),
    ],
)
def test_following_runs_the_stages_the_other_way_round(habit, expected):
    # Given true: ignored +D, wrong way +2D, twice -D; geometry, no outside source.
    assert centres(answer(kind="follow", given_deg=74.0, given_north="true"))[
        habit, "ok", "plain"
    ] == {expected}


def test_a_bent_needle_moves_a_followed_bearing_the_other_way_and_a_mirrored_reading_too():
    signs = {
        (p.habit, p.slip): p.sign
        for p in kind_of("follow").predictions(
            answer(kind="follow", given_deg=74.0, given_north="true")
        )
    }
    sighted = {(p.habit, p.slip): p.sign for p in kind_of("sight").predictions(answer())}

    assert signs["ok", "ok"] == -1
    assert (sighted["ok", "ok"], sighted["ok", "counted_back"]) == (1, -1)


@pytest.mark.parametrize(
    ("given", "asked", "habit", "expected"),
    [
        ("magnetic", "true", "declination_ignored", 100),
        ("magnetic", "true", "declination_wrong_way", 92),
        ("magnetic", "true", "declination_twice", 116),
        ("magnetic", "grid", "convergence_ignored", 108),
        ("grid", "magnetic", "convergence_ignored", 92),
        ("true", "grid", "convergence_ignored", 100),
    ],
)
def test_converting_goes_wrong_by_its_angle(given, asked, habit, expected):
    # 100 degrees given; magnetic to true +8, magnetic to grid +7, grid to magnetic -7, true to grid
    # -1.
    true = WORKED.turn(100, given, "true")

    assert centres(
        answer(kind="convert", true_deg=true, north=asked, given_deg=100.0, given_north=given)
    )[habit, "ok", "plain"] == {expected}


def test_a_target_covers_the_sector_in_which_it_is_nearest():
    one = answer(
        kind="follow", given_deg=74.0, given_north="true", others=[("T2", 94.0), ("T3", 34.0)]
    )

    (way,) = one.form.meant(one, Chosen("T1"), next(iter(kind_of("follow").predictions(one))))

    assert (way.direction_deg, way.half_width_deg) == (69.0, 15.0)


def test_from_another_mark_the_target_named_is_seen_elsewhere():
    one = answer(
        kind="follow",
        given_deg=74.0,
        given_north="true",
        others=[("T2", 94.0)],
        stations=[Other("B", 120.0, 1.0, (("T1", 120.0), ("T2", 75.0)))],
    )
    other = next(p for p in kind_of("follow").predictions(one) if p.slip == "other_station")

    (way,) = one.form.meant(one, Chosen("T2"), other)

    assert (
        way.direction_deg - way.half_width_deg
        <= other.centre_deg
        <= way.direction_deg + way.half_width_deg
    )


def test_targets_are_offered_in_an_order_that_gives_nothing_away():
    one = answer(
        kind="follow", given_deg=74.0, given_north="true", others=[("T10", 94.0), ("T2", 34.0)]
    )

    assert one.form.choices(one) == ["T1", "T2", "T10"]


def test_a_target_that_is_not_there_is_refused():
    with pytest.raises(NotATarget, match="T1"):
        Target().parse(answer(kind="follow", given_deg=74.0), "T99")


@pytest.mark.parametrize(
    ("number", "others"), [(74, [47, 704]), (44, [404]), (233, [323]), (0, []), (260, [206, 620])]
)
def test_neighbouring_digits_exchanged_give_another_legal_number(number, others):
    assert DEGREES.swapped(number) == [other for other in others if other < 360]


def test_26_may_have_been_260():
    assert DEGREES.before_dropping(26)[260] >= 1
    assert 26 not in DEGREES.before_dropping(26)
    assert DEGREES.before_dropping(126) == {}


def test_half_degrees_and_stated_mils_have_no_exchanged_digits():
    assert meant(Written(74.5), "swapped") == []
    assert meant(Written(20.0, 356.0), "plain") == []


def test_every_kind_of_the_register_keeps_what_was_seen_through_its_columns():
    for kind in REGISTER.values():
        if kind.form.space == PLANE:
            continue  # test_places.py
        form = kind.form()
        seen = Written(74.0, None) if form.in_figures else Chosen("T1")
        kept = SimpleNamespace(
            **{"value_deg": None, "value_mils": None, "target": "", **form.columns(seen)}
        )
        assert form.restore(kept) == seen


def test_an_unknown_kind_is_refused_with_those_there_are():
    with pytest.raises(UnknownKind, match="sight, follow, convert, back, map"):
        kind_of("guess")


MIDDLE = Position(-45.13, 170.1, 400)
POINTS = {
    code: Point(code, code, destination(MIDDLE, bearing, distance), 0.5, mark)
    for code, bearing, distance, mark in (
        ("A", 0, 1, "peg"),
        ("B", 90, 200, "peg"),
        ("T1", 70, 300, ""),
        ("T2", 110, 260, ""),
    )
}
SITE = Site(POINTS, {"A": ("T1", "T2")}, 2193)
DAY = datetime.date(2026, 10, 3)


def task(**changes):
    return Task(
        **{
            "label": "1",
            "kind": "sight",
            "station": "A",
            "target": "T1",
            "north": "grid",
            "band": Band(5, 10),
            **changes,
        }
    )


def test_a_key_holds_the_sight_line_in_all_three_norths():
    (one,) = key.compute([task()], SITE, DAY)
    line = sight_line(POINTS["A"].position, POINTS["T1"].position)

    assert one.bearings_deg["true"] == line.bearing_deg
    assert one.bearings_deg["magnetic"] == pytest.approx(
        line.bearing_deg - one.norths.declination_deg
    )
    assert one.expected_deg == pytest.approx(line.bearing_deg - one.norths.convergence_deg)
    assert [other.code for other in one.others] == ["T2"]


def test_a_key_survives_its_plain_form():
    answers = key.compute(
        [
            task(),
            task(label="2", kind="follow"),
            task(label="3", kind="convert", given_deg=10.0, given_north="true"),
        ],
        SITE,
        DAY,
    )

    assert (
        key.from_plain(__import__("json").loads(__import__("json").dumps(key.to_plain(answers))))
        == answers
    )


def test_a_followed_bearing_is_the_lines_own_to_the_degree_unless_another_is_given():
    own, other = key.compute(
        [task(kind="follow"), task(label="2", kind="follow", given_deg=50.0)], SITE, DAY
    )

    assert own.given_deg == round(own.expected_deg)
    assert other.given_deg == 50.0


@pytest.mark.parametrize(
    ("changes", "error"),
    [
        ({"target": "T9"}, UnknownPoint),
        ({"kind": "convert"}, NothingGiven),
        ({"kind": "convert", "given_deg": 5.0, "given_north": "grid"}, NothingGiven),
        ({"kind": "convert", "given_deg": 5.0, "given_north": ""}, UnknownNorth),
        ({"north": "up"}, KeyError),
        ({"kind": "map", "north": "magnetic"}, NotOnAMap),
    ],
)
def test_a_task_that_has_no_answer_is_refused(changes, error):
    with pytest.raises(error):
        assert key.compute([task(**changes)], SITE, DAY)[0].expected_deg is None


def following(given_deg, given_north, target="T1"):
    start = Position(-45.0, 170.0)
    points = {
        "A": Point("A", "peg", start, 0.5, "peg"),
        "T1": Point("T1", "mast", destination(start, 74, 300), 0.5),
        "T2": Point("T2", "tree", destination(start, 100, 300), 0.5),
    }
    task = Task("1", "follow", "A", target, "magnetic", Band(5, 10), given_deg, given_north)
    return kind_of("follow").answer(
        task, Site(points), datetime.date(2026, 10, 3), Sighted([("A", target)])
    )


def test_a_bearing_to_follow_given_in_another_north_is_turned_into_the_asked_one():
    # 2026-11-25: it was taken for one in the asked north.
    made = following(75, "true")

    assert (made.given_deg, made.given_north) == (
        pytest.approx((75 - made.norths.declination_deg) % 360),
        "magnetic",
    )


@pytest.mark.parametrize(
    ("given_deg", "words"),
    [
        pytest.param(95, "T2 lies nearer to it", id="another target lies nearer"),
        pytest.param(30, "44° from T1", id="too far for anybody to name it"),
    ],
)
def test_a_bearing_to_follow_that_does_not_lead_to_its_target_is_refused(given_deg, words):
    with pytest.raises(OffTheLine, match=words):
        following(given_deg, "true")


def back_of(given_deg, north="true"):
    (made,) = key.compute([task(kind="back", given_deg=given_deg, north=north)], SITE, DAY)
    return made


@pytest.mark.parametrize(
    "row",
    [row for row in published.rows("handbook", topic="back_azimuth") if row["input"].isdigit()],
    ids=lambda row: row["input"],
)
def test_a_bearing_turned_round_is_as_the_handbook_says(row):
    # FM 3-25.26 ch. 6 by fixtures/published/handbook.csv; of "0 or 360" the first is what this
    # project writes.
    assert back_of(float(row["input"])).expected_deg == float(row["expected"].split()[0])


def test_the_bearing_to_turn_round_is_the_lines_own_in_the_asked_north():
    (made,) = key.compute([task(kind="back", north="magnetic")], SITE, DAY)
    (line,) = key.compute([task(north="magnetic")], SITE, DAY)

    assert (made.given_deg, made.given_north) == (round(line.expected_deg), "magnetic")
    assert made.expected_deg == (made.given_deg + 180) % 360


@pytest.mark.parametrize(
    ("slip", "expected"),
    [("reversed", {250.0}), ("mirrored", {290.0, 110.0}), ("ten_off", {80.0, 60.0, 90.0, 50.0})],
)
def test_turning_a_bearing_round_goes_wrong_by_sign_and_by_carrying(slip, expected):
    # Back of 250 is 070; the same bearing back, 360 less either, a carry: common practice, no
    # source.
    assert centres(back_of(250.0))["ok", slip, "plain"] == expected


def test_a_bearing_off_the_map_is_the_plane_one_of_projected_coordinates():
    # Independent of the geodesic: Easting and Northing by pyproj in the site's grid (EPSG:2193),
    # bearing by atan2.
    (made,) = key.compute([task(kind="map")], SITE, DAY)
    to_grid = pyproj.Transformer.from_crs(4326, 2193, always_xy=True)
    (east, north), (there_east, there_north) = (
        to_grid.transform(POINTS[code].position.longitude_deg, POINTS[code].position.latitude_deg)
        for code in ("A", "T1")
    )

    assert made.expected_deg == pytest.approx(
        math.degrees(math.atan2(there_east - east, there_north - north)) % 360, abs=0.001
    )


@pytest.mark.parametrize(
    ("slip", "expected"),
    [
        ("reversed", {253.0}),
        ("quarter_turn", {163.0, 343.0}),
        ("convergence_ignored", {74.0}),
        ("declination_ignored", {66.0}),
        ("declination_twice", {80.0}),
        ("mirrored", {287.0}),
    ],
)
def test_measuring_on_the_map_goes_wrong_on_the_sheet(slip, expected):
    # The worked example, grid 073 and a grid-magnetic angle of 7: lines to south, along east and
    # west, the wrong north, the needle used, a needless sum, counted anticlockwise.
    assert centres(answer(kind="map", north="grid"))["ok", slip, "plain"] == expected


@pytest.mark.parametrize("kind", ["back", "map"])
def test_no_needle_moves_what_is_reckoned_or_measured(kind):
    (made,) = key.compute([task(kind=kind)], SITE, DAY)

    assert {prediction.sign for prediction in kind_of(kind).predictions(made)} == {0}
    assert kind_of(kind).shifted(made, 9.0, 1.0, with_others=True) == made


def test_a_measurement_on_the_map_is_as_sure_as_the_protractor():
    # Limits of 2 degrees and a scale of 2: 2 / sqrt(3) and 2 / sqrt(12), root sum of squares (GUM
    # 4.3.7, 5.1.2).
    (made,) = key.compute([task(kind="map")], SITE, DAY)

    assert made.budget.total_deg == pytest.approx((4 / 3 + 4 / 12) ** 0.5)
