"""Answers that are places: what is right, how they are read and graded, and which mistake put them
where they are.
"""

import json
import math
from dataclasses import replace
from types import SimpleNamespace

import pytest
from hypothesis import given, settings, strategies as st

from exercises.domain.earth import geodesy
from exercises.domain.earth.geodesy import Position
from exercises.domain.surveying.traverse import Leg
from exercises.domain.tasks import key, map_references
from exercises.domain.tasks.answer import NoAnswer
from exercises.domain.tasks.forms.place import NotASpot, Placed
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.site import Point, Site
from tests.places import DAY, INTERSECTION, MIDDLE, RESECTION, SPOTS, WALK, answer_of, site, task


@pytest.mark.parametrize(
    ("asked", "sought"),
    [(RESECTION, "A"), (INTERSECTION, "T2"), (WALK, "T2")],
    ids=["fix", "intersect", "walk"],
)
def test_the_right_place_is_where_it_was_surveyed(asked, sought):
    (answer,) = answer_of(asked)

    assert geodesy.apart_m(answer.form.position, site().point(sought).position) < 0.001


def test_the_lines_of_a_fix_meet_in_the_right_place():
    (answer,) = answer_of(RESECTION)

    sound = next(iter(kind_of("fix").landings(answer)))

    assert math.hypot(sound.east_m - answer.form.east_m, sound.north_m - answer.form.north_m) < 0.01


def test_the_legs_of_a_walk_end_within_their_rounding_of_the_marker():
    """The last leg is reckoned, to a whole degree and metre: half a degree of its length, half a
    metre.
    """
    (answer,) = answer_of(WALK)
    last = answer.form.legs[-1]

    sound = next(iter(kind_of("walk").landings(answer)))

    assert math.hypot(
        sound.east_m - answer.form.east_m, sound.north_m - answer.form.north_m
    ) <= math.hypot(last.distance_m * math.radians(0.5), 0.5)
    assert [
        (round(leg.bearing_deg, 6), leg.distance_m) for leg in kind_of("walk").given_legs(answer)
    ][:2] == [(20.0, 180.0), (110.0, 200.0)]


@pytest.mark.parametrize(
    ("asked", "complaint"),
    [
        (task(), "two or three different points"),
        (task(more=("T1",)), "two or three different points"),
        (task(more=("A",)), "two or three different points"),
        (task(more=("T2", "T3", "T4")), "two or three different points"),
        (task("intersect", target="T2", more=()), "two or three different points"),
        (replace(WALK, legs=(Leg(80, 400),)), "The last leg would be"),
        (
            task("walk", target="T2", legs=tuple(Leg(270, 2000) for _ in range(2)), north="true"),
            "The last leg would be",
        ),
    ],
)
def test_a_place_that_cannot_be_asked_is_refused_in_words(asked, complaint):
    with pytest.raises(NoAnswer, match=complaint):
        if asked.kind == "walk" and len(asked.legs) == 1:  # a leg that leads to the target itself
            line = site().sight_line("A", "T2")
            norths, _ = site().north_of(MIDDLE, DAY)
            asked = replace(
                asked,
                legs=(Leg(norths.turn(line.bearing_deg, "true", "magnetic"), line.distance_m),),
            )
        answer_of(asked)


def test_known_points_in_one_line_are_refused():
    ground = site(T5=(120, 800))

    with pytest.raises(NoAnswer, match="other directions"):
        key.compute([task(more=("T5",))], ground, DAY)


@pytest.mark.parametrize("asked", [RESECTION, INTERSECTION, WALK], ids=["fix", "intersect", "walk"])
def test_a_key_keeps_a_place_through_json(asked):
    answers = answer_of(asked)

    assert key.from_plain(json.loads(json.dumps(key.to_plain(answers)))) == answers


def test_spots_are_lettered_from_west_to_east_and_no_letter_stands_twice():
    answers = answer_of(
        RESECTION, replace(INTERSECTION, label="2"), replace(RESECTION, label="3", station="B")
    )
    codes = [spot.code for answer in answers for spot in answer.form.spots]

    assert len(set(codes)) == len(codes) > 9
    assert not set(codes) & set(SPOTS)
    assert all(
        [spot.east_m for spot in answer.form.spots]
        == sorted(spot.east_m for spot in answer.form.spots)
        for answer in answers
    )


def test_wrong_spots_lie_well_apart_from_the_right_one():
    (answer,) = answer_of(RESECTION)
    where = answer.form

    assert (
        min(
            math.hypot(spot.east_m - where.east_m, spot.north_m - where.north_m)
            for spot in where.spots
            if spot.code != where.right
        )
        >= 4 * where.ellipse.major_m
    )


@pytest.mark.parametrize("asked", [RESECTION, INTERSECTION], ids=["fix", "intersect"])
def test_wrong_spots_lie_on_the_ground_that_the_map_shows(asked):
    """2026-11-27: a spot as far out as the known points made a map small, or too large."""
    (answer,) = answer_of(asked)
    easts, norths = zip(*SPOTS.values(), strict=True)
    where = answer.form
    station = SPOTS[asked.station]

    for spot in where.spots:
        assert min(easts) - 1 <= station[0] + spot.east_m <= max(easts) + 1
        assert min(norths) - 1 <= station[1] + spot.north_m <= max(norths) + 1


@pytest.mark.parametrize(
    "text",
    [
        "{figures}",
        "{joined}",
        "{full}",
        "{east:.0f}mE {north:.0f}mN",
        "E {east:.0f} N {north:.0f}",
        "{spaced}",
        "  {figures} ",
    ],
)
def test_a_grid_reference_is_read_in_the_ways_in_which_people_write_it(text):
    (answer,) = answer_of(RESECTION)
    east, north = geodesy.easting_northing(answer.form.position, 2193)
    figures = map_references.figures(answer.form)
    written = text.format(
        figures=figures,
        joined=figures.replace(" ", ""),
        full=f"{east:.0f} {north:.0f}",
        spaced=f"{east:,.0f} {north:,.0f}".replace(",", " "),
        east=east,
        north=north,
    )

    seen = map_references.read(answer.form, written)

    assert math.hypot(
        seen.east_m - answer.form.east_m, seen.north_m - answer.form.north_m
    ) <= math.sqrt(2) * max(seen.half_m, 0.5)


@pytest.mark.parametrize("count", [3, 4, 5])
def test_figures_name_the_square_with_the_place_in_it(count):
    """FM 3-25.26 4-4, from memory: 6 figures to 100 m, 8 to 10 m, 10 to 1 m, cut off and not
    rounded.
    """
    (answer,) = answer_of(RESECTION)
    side = 10.0 ** (5 - count)
    east, north = (
        metres % 100_000 for metres in geodesy.easting_northing(answer.form.position, 2193)
    )

    assert [int(part) * side for part in map_references.figures(answer.form, count).split()] == [
        east // side * side,
        north // side * side,
    ]


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("Z9", "neither a spot"),
        ("", "neither a spot"),
        ("4293 022", "neither a spot"),
        ("12", "neither a spot"),
        ("4293", "too large"),
        ("51.5000 N 0.1000 W", "km from here"),
        ("ab12345678", "neither a spot"),
        ("=1+1", "neither a spot"),
        ("9" * 40, "neither a spot"),
        ("-1 -2", "too large"),
        ("45.13 S 170.10 E", "too large"),
    ],
)
def test_what_is_no_place_is_refused_in_words(text, complaint):
    (answer,) = answer_of(RESECTION)

    with pytest.raises(NotASpot, match=complaint):
        map_references.read(answer.form, text)


@settings(max_examples=150)
@given(st.text(max_size=40))
def test_whatever_is_typed_is_read_or_refused(text):
    (answer,) = ANSWERS[:1]

    try:
        seen = map_references.read(answer.form, text)
    except NotASpot:
        return
    assert math.isfinite(seen.east_m) and math.isfinite(seen.north_m)


ANSWERS = answer_of(RESECTION)


@pytest.mark.parametrize("asked", [RESECTION, WALK], ids=["fix", "walk"])
def test_a_place_is_kept_through_its_columns(asked):
    (answer,) = answer_of(asked)
    form = answer.form
    for seen in (form.parse(answer, form.right.lower()), Placed("", 12.5, -3.0, 5.0)):
        kept = SimpleNamespace(
            **{"target": "", "east_m": None, "north_m": None, "half_m": None, **form.columns(seen)}
        )
        assert form.restore(kept) == seen


@pytest.mark.parametrize(("off_m", "credit"), [(14.9, 1.0), (15.1, 0.5), (29.9, 0.5), (30.1, 0.0)])
def test_credit_goes_by_the_band_in_metres(off_m, credit):
    (answer,) = answer_of(RESECTION)
    sharp = replace(
        answer,
        form=replace(answer.form, ellipse=replace(answer.form.ellipse, major_m=2.0, minor_m=2.0)),
    )

    assert sharp.grade(Placed("", answer.form.east_m, answer.form.north_m + off_m)).credit == credit


def test_within_the_95_percent_ellipse_of_sound_technique_credit_is_full():
    (answer,) = answer_of(RESECTION)
    wide = replace(
        answer,
        form=replace(
            answer.form,
            ellipse=replace(answer.form.ellipse, major_m=20.0, minor_m=5.0, azimuth_deg=0.0),
        ),
    )
    east, north = answer.form.east_m, answer.form.north_m

    assert [wide.grade(Placed("", east, north + off)).credit for off in (48.9, 49.0)] == [
        1.0,
        0.0,
    ]  # 2.448 times 20 m is 48.95 m
    assert wide.grade(Placed("", east, north + 40.0)).miss.units == pytest.approx(2.0)


def test_a_wrong_spot_earns_nothing_for_a_wide_ellipse():
    (answer,) = answer_of(RESECTION)
    wrong = next(spot.code for spot in answer.form.spots if spot.code != answer.form.right)
    wide = replace(
        answer,
        form=replace(
            answer.form, ellipse=replace(answer.form.ellipse, major_m=900.0, minor_m=900.0)
        ),
    )

    assert [
        wide.grade(wide.form.parse(wide, code)).credit for code in (wrong, answer.form.right)
    ] == [0.0, 1.0]


def test_a_walk_is_off_along_its_way_and_across_it():
    """Geometry: 30 m beyond the marker on the way from beginning to end, 40 m to the right of
    it.
    """
    (answer,) = answer_of(WALK)
    way = math.atan2(answer.form.east_m, answer.form.north_m)
    east = answer.form.east_m + 30 * math.sin(way) + 40 * math.cos(way)
    north = answer.form.north_m + 30 * math.cos(way) - 40 * math.sin(way)

    miss = answer.grade(Placed("", east, north)).miss

    assert (miss.error_m, miss.along_m, miss.across_m) == pytest.approx((50.0, 30.0, 40.0))


def test_close_known_points_still_leave_letters_to_choose_from():
    ground = site(N1=(30, 45), N2=(55, -10), N3=(-40, 30))

    (answer,) = key.compute([task(target="N1", more=("N2", "N3"))], ground, DAY)

    assert len(answer.form.spots) >= 3


def test_two_tasks_that_seek_one_place_share_its_letters():
    one, other = answer_of(RESECTION, replace(RESECTION, label="2", more=("T3", "T4")))

    assert (one.form.right, one.form.spots) == (other.form.right, other.form.spots)


def test_the_same_thing_sought_from_two_marks_is_one_cross():
    one, other = answer_of(INTERSECTION, replace(INTERSECTION, label="2", station="B", more=("A",)))
    places_of = [
        {
            spot.code: geodesy.moved(answer.form.origin, spot.east_m, spot.north_m)
            for spot in answer.form.spots
        }
        for answer in (one, other)
    ]

    assert places_of[0].keys() == places_of[1].keys()
    assert (
        max(geodesy.apart_m(places_of[0][code], places_of[1][code]) for code in places_of[0]) < 0.05
    )  # two flat sheets over 150 m


def test_across_the_edge_of_a_zone_the_sites_own_grid_is_read():
    """6 degrees east parts zones 31 and 32: the map has one grid, that of the middle."""
    middle = Position(50.0, 5.9995)
    points = {
        code: Point(code, code, geodesy.moved(middle, *place), 0.5, "peg" if code in "AB" else "")
        for code, place in SPOTS.items()
    }
    (answer,) = key.compute(
        [task(station="B", more=("T2", "T3"))], Site(points, middle=middle), DAY
    )

    assert geodesy.utm_epsg(points["B"].position) == 32632
    assert answer.form.epsg == 32631
    assert (
        answer.grade(map_references.read(answer.form, map_references.figures(answer.form))).credit
        == 1.0
    )
