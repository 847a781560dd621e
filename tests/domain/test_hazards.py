"""What bends needles and what is dangerous: published distances, and walks that go wrong."""

import datetime

import pytest

from exercises.domain.earth.geodesy import Position, destination
from exercises.domain.planning import course_check, hazards
from exercises.domain.planning.hazards import BadShape, Hazard, astray, crossed, too_near
from exercises.domain.tasks import key
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.site import Point, Site, Task
from exercises.presenting.findings import what_is
from tests import published

MIDDLE = Position(-45.13, 170.10)
DAY = datetime.date(2026, 10, 3)  # declination 25.6 degrees east there


def at(bearing, distance):
    return destination(MIDDLE, bearing, distance)


def wall(bearing, distance, half_width=60.0, kind="water", name="the tarn"):
    """A line across a bearing at a distance."""
    middle = at(bearing, distance)
    return Hazard(
        kind,
        name,
        (
            destination(middle, bearing - 90, half_width),
            destination(middle, bearing + 90, half_width),
        ),
    )


SITE = Site(
    {
        "A": Point("A", "gate", MIDDLE, 0.5, "peg"),
        "B": Point("B", "stone", at(90, 200), 0.5, "cross"),
        "T": Point("T", "tree", at(70, 200), 0.5),
    },
    grid_epsg=2193,
)


def answer(kind="follow", north="true"):
    (found,) = key.compute([Task("1", kind, "A", "T", north, Band(5, 10))], SITE, DAY)
    return found


@pytest.mark.parametrize(
    ("kind", "row"),
    [
        ("power_line", "high_tension_power_lines"),
        ("vehicles", "field_gun_truck_tank"),
        ("steel", "field_gun_truck_tank"),
        ("fence", "telegraph_telephone_wires_barbed_wire"),
        ("iron", "machine_gun"),
        ("road", "field_gun_truck_tank"),
    ],
)
def test_the_distances_are_the_field_manuals(kind, row):
    # FM 3-25.26 ch. 9, compass handling, as in handbook.csv
    (published_row,) = published.rows("handbook", topic="metal_distance", id=row)

    assert hazards.KINDS[kind].keep_away_m == float(published_row["expected"])


@pytest.mark.parametrize(
    ("distance", "kind", "is_near"),
    [
        (54.9, "power_line", True),
        (55.1, "power_line", False),
        (9.9, "fence", True),
        (10.1, "fence", False),
        (1.0, "water", False),
    ],
)
def test_a_station_within_the_published_distance_is_flagged(distance, kind, is_near):
    found = too_near(SITE, [wall(0, distance, kind=kind)])

    assert [near.point for near in found] == (["A"] if is_near else [])
    assert all(near.distance_m == pytest.approx(distance, abs=0.01) for near in found)


def test_a_point_that_nobody_stands_on_may_be_anywhere():
    beside_tree = destination(at(70, 200), 0, 3)

    assert too_near(SITE, [Hazard("steel", "shed", (beside_tree,))]) == []


def test_the_nearest_in_proportion_comes_first():
    found = too_near(
        SITE, [wall(0, 50, kind="power_line"), wall(180, 2, kind="fence", name="wire")]
    )

    assert [(near.point, near.hazard.name) for near in found][:2] == [
        ("A", "wire"),
        ("A", "the tarn"),
    ]


def test_inside_an_area_the_distance_is_nothing():
    yard = Hazard(
        "vehicles",
        "car park",
        tuple(at(bearing, 30) for bearing in (0, 90, 180, 270)),
        is_area=True,
    )

    assert too_near(SITE, [yard])[0].distance_m == 0.0


@pytest.mark.parametrize(
    ("bearing", "cause"),
    [
        pytest.param(70, "ok", id="the line itself"),
        pytest.param(250, "reversed", id="its reverse"),
        pytest.param(
            70 + 25.6,
            "declination_ignored",
            id="declination left out: the body turns to the bearing as if it were magnetic",
        ),
        pytest.param(70 + 51.2, "declination_wrong_way", id="the wrong way: twice it"),
        pytest.param(70 - 25.6, "declination_twice", id="twice"),
    ],
)
def test_a_danger_is_flagged_with_the_mistake_that_leads_there(bearing, cause):
    # From geometry, no outside source: follow, given true, ignored +D, wrong way +2D, set twice -D.
    found = astray(answer(), MIDDLE, [wall(bearing, 150, half_width=12)])

    assert [way.cause for way in found] == [cause]
    assert found[0].distance_m == pytest.approx(150, abs=2)


@pytest.mark.parametrize(("bearing", "distance"), [(160, 150), (340, 150), (70, 260)])
def test_a_danger_aside_or_far_beyond_is_not_flagged(bearing, distance):
    assert astray(answer(), MIDDLE, [wall(bearing, distance, half_width=12)]) == []


def test_people_walk_past_the_target():
    assert len(astray(answer(), MIDDLE, [wall(70, 240, half_width=12)])) == 1


def test_the_line_itself_is_named_before_any_mistake():
    all_round = Hazard(
        "road", "ring road", tuple(at(bearing, 150) for bearing in (*range(0, 360, 20), 0))
    )

    assert [way.cause for way in astray(answer(), MIDDLE, [all_round])] == ["ok"]


def test_who_sights_does_not_walk():
    assert astray(answer("sight"), MIDDLE, [wall(70, 150)]) == []


def test_a_fence_is_no_danger_to_walk_into():
    assert astray(answer(), MIDDLE, [wall(70, 150, kind="fence")]) == []


@pytest.mark.parametrize(("distance", "is_met"), [(400, False), (200, True)])
def test_of_a_boundary_all_round_only_the_edge_is_a_danger(distance, is_met):
    # the walk ends after 250 m, inside a square whose corners lie 400 m off, and beyond one of 200
    corners = tuple(at(bearing, distance) for bearing in (25, 115, 205, 295))
    found = astray(answer(), MIDDLE, [Hazard("boundary", "the fence line", corners, is_area=True)])

    assert bool(found) == is_met


def test_a_walk_must_stay_clear_of_a_danger_and_not_only_out_of_it():
    # beyond the end of the walk, at 250 m: an edge is known to 5 m, a car bends a needle at 18 m
    # (FM 3-25.26, ch. 9: truck)
    near = {
        kind: [bool(astray(answer(), MIDDLE, [wall(70, away, 12, kind)])) for away in (254, 257)]
        for kind in ("water", "drop", "road")
    }

    assert near == {"water": [True, False], "drop": [True, False], "road": [True, True]}
    (way,) = astray(answer(), MIDDLE, [wall(70, 254, 12)])
    assert way.gap_m == pytest.approx(4.0, abs=0.1)


def test_a_way_between_stations_that_crosses_a_danger_is_known():
    across, beside = wall(90, 100, name="beck"), wall(0, 100, name="pond")

    assert crossed(MIDDLE, at(90, 200), [across, beside]) == [across]


@pytest.mark.parametrize(
    ("corners", "is_area", "said"),
    [
        ((), False, "at least one place"),
        ((MIDDLE, at(0, 10)), True, "three corners"),
        ((at(0, 50), at(180, 50), at(90, 50), at(270, 50)), True, "crosses or touches itself"),
    ],
)
def test_a_shape_that_makes_no_sense_is_refused(corners, is_area, said):
    with pytest.raises(BadShape, match=said):
        Hazard("water", "pond", corners, is_area)


def test_the_check_says_where_a_mistake_would_lead_and_offers_another_target():
    tree = destination(MIDDLE, 200, 180)
    site = Site({**SITE.points, "U": Point("U", "post", tree, 0.5)}, {"A": ("T", "U")}, 2193)
    tasks = [Task("1", "follow", "A", "T", "magnetic", Band(5, 10))]

    (finding,) = [
        one
        for one in course_check.findings_on_site(tasks, site, DAY, [wall(250, 150, half_width=12)])
        if one.code == "leads_into_danger"
    ]

    assert (
        what_is(finding)
        == "Who makes the mistake “reversed” walks 250° true, into “the tarn” (Water) after 150 m."
    )
    assert [(change.verb, change.target) for change in finding.changes] == [
        ("retarget", "U"),
        ("drop", ""),
    ]
