"""Checking the ground at the desk: bearings read, the sun's shadow, hazards, and the key beside
them.
"""

import uuid

import pytest

from exercises.models import Hazard, ObservedBearing
from tests import cast


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


def line(desk, site, start="A", end="B", fore="066", back="246", **changes):
    pk = dict(site.points.values_list("code", "pk"))
    return desk.post(
        f"/sites/{site.pk}/ground/",
        {
            "what": "line",
            "client_id": str(uuid.uuid4()),
            "start": pk[start],
            "end": pk.get(end, ""),
            "fore_deg": fore,
            "back_deg": back,
            "north": "magnetic",
            "compass": "1",
            "on": "2026-10-02",
            **changes,
        },
    )


def shadow(desk, site, **changes):
    pk = dict(site.points.values_list("code", "pk"))
    return desk.post(
        f"/sites/{site.pk}/ground/",
        {
            "what": "shadow",
            "client_id": str(uuid.uuid4()),
            "station": pk["A"],
            "bearing_deg": "238",
            "north": "magnetic",
            "compass": "1",
            "on": "2026-10-02",
            "time": "09:30:00",
            "time_zone": "Pacific/Auckland",
            "clock_s": "30",
            **changes,
        },
    )


def test_fore_and_back_are_noted_with_their_disagreement(desk, site):
    line(desk, site, fore="066", back="255")

    page = desk.get(f"/sites/{site.pk}/ground/").content.decode()
    assert ObservedBearing.objects.count() == 2
    assert "do not agree: one end or both bend the needle" in page
    assert "+9.0°" in page


def test_a_form_that_is_sent_twice_is_stored_once(desk, site):
    one = str(uuid.uuid4())
    for _ in range(2):
        line(desk, site, client_id=one)

    assert ObservedBearing.objects.count() == 2


def test_one_end_alone_is_enough(desk, site):
    line(desk, site, back="")

    assert list(ObservedBearing.objects.values_list("station__code", "bearing_deg")) == [
        ("A", 66.0)
    ]


def test_local_attraction_is_found_and_said(desk, site):
    # D is 25.6 east there on 2026-10-02: A to B is 064.4 magnetic; B reads 9 degrees too much to
    # everything.
    norths, _ = site.as_domain().north_of(site.as_domain().point("A").position, cast.DAY)
    for start, end, bend in (
        ("A", "B", 0),
        ("A", "T1", 0),
        ("A", "T2", 0),
        ("A", "T3", 0),
        ("B", "T1", 9),
        ("B", "T2", 9),
        ("B", "T3", 9),
        ("B", "A", 9),
    ):
        right = norths.turn(site.as_domain().sight_line(start, end).bearing_deg, "true", "magnetic")
        line(desk, site, start, end, fore=f"{(right + bend) % 360:.1f}", back="")

    stations = {
        row["station"]: row for row in desk.get(f"/sites/{site.pk}/ground/").context["stations"]
    }
    assert (stations["A"]["said"], stations["B"]["said"]) == ("Free.", "Local attraction.")


def read_all(desk, site, off_deg=0.0, lines=(("A", "B"), ("B", "A"), ("A", "T1"), ("B", "T1"))):
    """Lines read some degrees off what they are, magnetic."""
    plain = site.as_domain()
    norths, _ = plain.north_of(plain.point("A").position, cast.DAY)
    for start, end in lines:
        right = norths.turn(plain.sight_line(start, end).bearing_deg, "true", "magnetic")
        line(desk, site, start, end, fore=f"{(right + off_deg) % 360:.0f}", back="")


def test_a_compass_that_was_set_but_noted_as_not_set_is_said_to_be(desk, site):
    plain = site.as_domain()
    norths, _ = plain.north_of(plain.point("A").position, cast.DAY)
    read_all(desk, site, norths.declination_deg)

    page = desk.get(f"/sites/{site.pk}/ground/")
    assert "Set, but noted as not set?" in page.content.decode()
    assert {row["said"] for row in page.context["stations"]} == {"Free."}


def test_one_press_notes_a_compasss_bearings_otherwise(desk, site):
    read_all(desk, site)
    line(desk, site, "A", "T2", fore="100", back="", compass="2")

    desk.post(f"/sites/{site.pk}/ground/compass/", {"compass": "1", "north": "magnetic"})

    assert set(ObservedBearing.objects.values_list("compass", "north")) == {
        ("1", "true"),
        ("2", "magnetic"),
    }


@pytest.mark.parametrize("north", ["", "grid", "TRUE"])
def test_a_north_that_no_compass_is_noted_to_show_changes_nothing(desk, site, north):
    read_all(desk, site)

    desk.post(f"/sites/{site.pk}/ground/compass/", {"compass": "1", "north": north})

    assert set(ObservedBearing.objects.values_list("north", flat=True)) == {"magnetic"}


def test_a_station_that_was_read_from_once_is_not_settled_and_told_what_to_read(desk, site):
    read_all(desk, site, lines=(("A", "B"), ("A", "T1"), ("A", "T2"), ("B", "T1")))

    rows = desk.get(f"/sites/{site.pk}/ground/").context["stations"]
    (said,) = [row for row in rows if row["station"] == "B"]
    assert said["said"] == "Not settled: one sighting."
    assert said["next"].startswith("Next: read B → ")


def test_the_declination_that_the_shadow_shows_stands_beside_the_models(desk, site):
    for second, bearing in enumerate(("236", "237", "237", "238")):
        shadow(desk, site, bearing_deg=bearing, time=f"09:30:0{second}")

    said = desk.get(f"/sites/{site.pk}/ground/").context["declination"]
    assert said.startswith("Declination from 4 shadows at A: ")
    assert "the model says 25.6° E ± " in said


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"end": ""}, "required"),
        ({"fore": "", "back": ""}, "Type the bearing that you read"),
        ({"fore": "370"}, "full circle"),
        ({"fore": "north"}, "not a bearing"),
        ({"on": "2026-13-01"}, "valid date"),
        ({"north": "grid"}, "valid choice"),
    ],
)
def test_a_line_that_cannot_be_is_refused_in_words_and_stays_typed(desk, site, changes, said):
    answer = line(desk, site, **changes)

    assert said in answer.content.decode()
    assert ObservedBearing.objects.count() == 0


def test_a_line_from_a_point_to_itself_is_refused(desk, site):
    assert "a line has two ends" in line(desk, site, "A", "A").content.decode()


def test_a_shadow_is_noted_with_its_second(desk, site):
    shadow(desk, site, time="09:30:12")

    found = ObservedBearing.objects.get()
    assert (found.target, found.observed_at.isoformat(), found.clock_s) == (
        None,
        "2026-10-01T20:30:12+00:00",
        30.0,
    )
    assert "shadow of the sun" in desk.get(f"/sites/{site.pk}/ground/").content.decode()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"time": "23:00:00"}, "no usable shadow"),
        ({"time_zone": "Mars/Base"}, "is not a time zone"),
        ({"bearing_deg": ""}, "required"),
        ({"clock_s": "-1"}, "greater than or equal"),
        ({"time": "25:00"}, "valid time"),
    ],
)
def test_a_shadow_that_cannot_be_is_refused_in_words(desk, site, changes, said):
    answer = shadow(desk, site, **changes)

    assert said in answer.content.decode()
    assert ObservedBearing.objects.count() == 0


def test_the_page_says_never_to_look_at_the_sun(desk, site):
    assert (
        "Never look at the sun, and never aim at it."
        in desk.get(f"/sites/{site.pk}/ground/").content.decode()
    )


@pytest.mark.parametrize(
    ("on", "said"),
    [("2031-01-01", "has not come yet"), ("1999-01-01", "begins on"), ("0001-01-01", "begins on")],
)
def test_a_day_that_cannot_be_compared_is_refused(desk, site, on, said):
    assert said in line(desk, site, on=on).content.decode()
    assert said in shadow(desk, site, on=on).content.decode()
    assert ObservedBearing.objects.count() == 0


def test_a_reading_of_a_day_without_a_model_stays_on_the_page_and_can_be_taken_out(desk, site):
    line(desk, site, back="")
    with cast.unheld():  # noted before such days were refused
        ObservedBearing.objects.update(observed_at="1999-01-01T12:00Z")

    page = desk.get(f"/sites/{site.pk}/ground/")
    assert "066° magnetic" in page.content.decode()
    assert "Take out" in page.content.decode()


def test_two_readings_that_point_opposite_ways_break_nothing(desk, open_class):
    site = open_class.course.site
    line(desk, site, "A", "T1", fore="078", back="258")
    line(desk, site, "A", "T1", fore="258", back="")

    assert desk.get(f"/sites/{site.pk}/ground/").status_code == 200
    assert desk.get(f"/classes/{open_class.pk}/key/").status_code == 200


def test_the_form_again_with_another_line_is_refused_in_words(desk, site):
    one = str(uuid.uuid4())
    line(desk, site, client_id=one, back="")

    assert (
        "has noted another bearing already"
        in line(desk, site, client_id=one, fore="067", back="").content.decode()
    )


def test_a_bearing_is_taken_out(desk, site):
    line(desk, site, back="")

    desk.post(f"/sites/{site.pk}/ground/{ObservedBearing.objects.get().pk}/delete/")

    assert ObservedBearing.objects.count() == 0


@pytest.mark.parametrize("times", [1, 30])
def test_the_ground_is_shown_in_a_fixed_number_of_queries(
    desk, site, django_assert_num_queries, times
):
    for _ in range(times):
        line(desk, site)

    with django_assert_num_queries(11):
        desk.get(f"/sites/{site.pk}/ground/")


HAZARD = {
    "kind": "water",
    "name": "The pond",
    "places": "45°07.8'S 170°06.06'E\nA\n-45.1312, 170.1002",
    "is_area": "on",
}


def test_a_hazard_is_drawn_with_places_in_any_notation_and_points_by_their_code(desk, site):
    desk.post(f"/sites/{site.pk}/hazards/new/", HAZARD)

    hazard = Hazard.objects.get()
    a = site.points.get(code="A")
    assert hazard.corners == [
        [-45.13, pytest.approx(170.101)],
        [a.latitude, a.longitude],
        [-45.1312, 170.1002],
    ]
    assert "The pond" in desk.get(f"/sites/{site.pk}/").content.decode()


def test_a_hazard_is_changed_and_deleted(desk, site):
    desk.post(f"/sites/{site.pk}/hazards/new/", HAZARD)
    pk = Hazard.objects.get().pk
    assert "-45.131200, 170.100200" in desk.get(f"/sites/{site.pk}/hazards/{pk}/").content.decode()

    desk.post(f"/sites/{site.pk}/hazards/{pk}/", {**HAZARD, "name": "The tarn"})
    assert Hazard.objects.get().name == "The tarn"

    desk.post(f"/sites/{site.pk}/hazards/{pk}/delete/")
    assert Hazard.objects.count() == 0


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"places": "A\nnowhere"}, "Corner 2: “nowhere” is not a place"),
        ({"places": "A\nB"}, "at least three corners"),
        ({"places": "45.13, 170.1"}, "South is negative"),
        ({"places": ""}, "required"),
        ({"kind": "dragon"}, "valid choice"),
        (
            {"places": "-45.13, 170.10\n-45.131, 170.101\n-45.13, 170.101\n-45.131, 170.10"},
            "crosses or touches itself",
        ),
        ({"places": "A\n" * 201, "is_area": ""}, "Up to 200 corners"),
    ],
)
def test_a_hazard_that_cannot_be_is_refused_in_words_and_stays_typed(desk, site, changes, said):
    answer = desk.post(f"/sites/{site.pk}/hazards/new/", {**HAZARD, **changes})

    assert said in answer.content.decode()
    assert Hazard.objects.count() == 0
    assert "The pond" in answer.content.decode()


def test_how_a_corner_was_read_is_said_where_there_was_a_choice(desk, site):
    answer = desk.post(
        f"/sites/{site.pk}/hazards/new/",
        {**HAZARD, "places": "170.10100, -45.13000", "is_area": ""},
        follow=True,
    )

    assert Hazard.objects.get().corners == [[-45.13, 170.101]]
    assert "Corner 1: The longitude was read first" in answer.content.decode()


def test_a_station_near_steel_is_flagged_on_the_site_and_in_the_check(desk, site):
    a = site.points.get(code="A")
    Hazard.objects.create(
        site=site, kind="steel", name="Shed", corners=[[a.latitude + 1e-4, a.longitude]]
    )
    course = cast.course_of(site)

    words = (
        "Station A is 11 m from “Shed” (Large steel: container, shed, bridge, gate): a "
        "compass should be 18 m away."
    )
    assert words in desk.get(f"/sites/{site.pk}/").content.decode()
    assert words in desk.get(f"/courses/{course.pk}/").content.decode()


def test_the_key_shows_what_was_observed_beside_what_was_computed(desk, open_class):
    site = open_class.course.site
    line(desk, site, "A", "T1", fore="050", back="")

    page = desk.get(f"/classes/{open_class.pk}/key/").content.decode()

    assert "observed 050.0° magnetic, 5.5° more than the key (1 reading)" in page
