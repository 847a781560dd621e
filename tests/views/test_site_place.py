"""The place of a site: typed in any way, found by a town, said back, doubted, exchanged."""

import pytest

from exercises.models import Course, CourseClass, Site
from tests import cast

CAPE = "-42.1247, 146.2048"


def post(desk, place, address="/sites/new/", **more):
    sent = {"name": "Cape", "place": place, "grid_epsg": "", "cautions": "", "keep": "yes", **more}
    return desk.post(address, sent)


def page(answer):
    return " ".join(answer.content.decode().split())


@pytest.mark.parametrize(
    "place",
    [
        CAPE,
        "42.1247 S, 146.2048 E",
        "-42,1247; 146,2048",
        """42°07'28.9"S 146°12'17.3"E""",
        "55G 434263 5336071",
        "geo:-42.1247,146.2048;u=12",
    ],
)
def test_a_place_in_any_spelling_makes_a_site(desk, place):
    answer = post(desk, place)

    site = Site.objects.get()
    assert answer["Location"] == f"/sites/{site.pk}/"
    assert (site.latitude, site.longitude) == (
        pytest.approx(-42.1247, abs=2e-4),
        pytest.approx(146.2048, abs=2e-4),
    )


def test_a_site_says_where_it_lies_and_in_which_time_zone(desk):
    post(desk, CAPE)

    said = page(desk.get(f"/sites/{Site.objects.get().pk}/"))

    assert "42.1247° south, 146.2048° east: Australia, 101 km north-west of New Norfolk." in said
    assert "Time zone Australia/Hobart" in said


def test_a_place_is_said_back_in_the_language_of_the_reader(desk):
    answer = desk.get("/sites/place/", {"place": "40.4, -3.7"}, headers={"accept-language": "es"})

    assert "España" in page(answer)


def test_a_place_that_is_looked_at_is_said_back_and_drawn_and_not_stored(desk):
    sent = {"name": "Cape", "place": CAPE, "look": "yes"}

    answer = desk.post("/sites/new/", sent)

    assert Site.objects.count() == 0
    assert "101 km north-west of New Norfolk." in page(answer)
    assert "locator-land" in page(answer)
    assert 'value="-42.1247, 146.2048"' in page(answer)


def test_a_place_in_open_sea_is_stored_once_somebody_says_that_it_is_meant(desk):
    answer = post(desk, "42.1247, 146.2048")

    assert Site.objects.count() == 0
    assert "This lies in open sea. A sign looks wrong: south and west are negative." in page(answer)
    assert 'name="place_instead" value="-42.124700, 146.204800"' in page(answer)

    post(desk, "42.1247, 146.2048", place_is_meant="42.1247, 146.2048")

    assert Site.objects.get().latitude == 42.1247


def test_that_a_place_is_meant_holds_for_that_place_alone(desk):
    post(desk, "30, -40", place_is_meant="42.1247, 146.2048")

    assert Site.objects.count() == 0


def test_latitude_beyond_90_can_be_exchanged_with_one_button(desk):
    answer = post(desk, "146.2048, -42.1247")

    assert "Exchange latitude and longitude" in page(answer)
    assert 'name="place_instead" value="-42.124700, 146.204800"' in page(answer)

    answer = desk.post(
        "/sites/new/",
        {"name": "Cape", "place": "146.2048, -42.1247", "place_instead": "-42.124700, 146.204800"},
    )

    assert Site.objects.count() == 0
    assert 'value="-42.124700, 146.204800"' in page(answer)
    assert 'value="Cape"' in page(answer)


def test_who_is_at_home_where_the_exchanged_place_lies_is_asked(desk):
    # 44.65 north, 63.57 west is Halifax; 63.57 south, 44.65 east is the Southern Ocean, while
    # 9.0 north, 38.7 east (Addis Ababa) exchanged is 38.7 north, 9.0 east, off Sardinia
    answer = post(desk, "38.7, 9.0", own_zone="Africa/Addis_Ababa")

    assert Site.objects.count() == 0
    assert "Latitude and longitude look exchanged." in page(answer)
    assert 'name="place_instead" value="9.000000, 38.700000"' in page(answer)


def test_a_town_is_found_by_its_name_and_taken_with_a_button(desk):
    answer = post(desk, "new norfolk")

    assert Site.objects.count() == 0
    assert "New Norfolk, Australia, 25 km north-west of Hobart" in page(answer)
    assert 'name="place_instead" value="-42.780000, 147.060000"' in page(answer)


def test_a_name_that_no_town_has_is_refused_in_words(desk):
    answer = post(desk, "Nowhere at all")

    assert "No town of more than 5,000 people is called “Nowhere at all”." in page(answer)


def test_near_the_poles_there_is_no_site(desk):
    answer = post(desk, "-85, 10")

    assert "Near the poles neither a compass nor a UTM grid serves" in page(answer)
    assert Site.objects.count() == 0


def test_a_site_with_points_that_is_moved_far_from_them_is_asked(desk, ines):
    site = cast.site_of(ines)
    address = f"/sites/{site.pk}/edit/"

    answer = post(desk, "45.13, 170.10", address, name=site.name, grid_epsg="2193")

    assert "This is far from the points of the site. A sign looks wrong" in page(answer)
    assert Site.objects.get().latitude == -45.13


def test_a_place_that_is_not_typed_anew_stays_to_the_last_digit(desk, ines):
    site = Site.objects.create(
        owner=ines, name="Cape", latitude=-42.123456789, longitude=146.987654321
    )
    address = f"/sites/{site.pk}/edit/"
    shown = desk.get(address).context["form"]["place"].value()

    post(desk, shown, address, cautions="Mind the tide.")

    site.refresh_from_db()
    assert (site.latitude, site.longitude, site.cautions) == (
        -42.123456789,
        146.987654321,
        "Mind the tide.",
    )


def test_the_part_of_a_place_knows_the_points_of_the_own_site_and_of_no_other(desk, ines):
    site, other = cast.site_of(ines), cast.site_of(cast.instructor("karl"))
    typed = {"place": "170.10, -45.13"}

    assert "45.1300° south, 170.1000° east" in page(
        desk.get("/sites/place/", {**typed, "site": site.pk})
    )
    assert desk.get("/sites/place/", {**typed, "site": other.pk}).status_code == 404


def test_a_class_begins_in_the_time_zone_of_its_place_and_the_next_in_the_one_chosen(desk, ines):
    course = Course.objects.create(site=cast.site_of(ines), name="Round")
    first = desk.get(f"/courses/{course.pk}/").context["class_form"]["time_zone"].value()

    CourseClass.objects.create(
        owner=ines,
        course=course,
        name="x",
        code="ABCDEF",
        date=cast.DAY,
        names_until=cast.DAY,
        time_zone="Pacific/Chatham",
    )
    then = desk.get(f"/courses/{course.pk}/").context["class_form"]["time_zone"].value()

    assert (first, then) == ("Pacific/Auckland", "Pacific/Chatham")


def test_the_towns_of_a_stretch_of_map_come_with_their_places(desk):
    box = {"south": "-44", "west": "144", "north": "-40", "east": "149"}

    answer = desk.get("/sites/towns/", box)

    assert answer.json() == {
        "towns": [
            ["Hobart", -42.88, 147.33],
            ["Launceston", -41.44, 147.13],
            ["Burnie", -41.06, 145.9],
        ]
    }


def test_a_point_whose_latitude_and_longitude_are_exchanged_is_put_right_with_a_button(desk, ines):
    site = Site.objects.create(owner=ines, name="Cove", latitude=44.5, longitude=-63.9)
    address = f"/sites/{site.pk}/points/new/"
    typed = {
        "code": "A",
        "name": "pin",
        "latitude": "-63.9001",
        "longitude": "44.5001",
        "elevation_m": "",
        "accuracy_m": "1",
        "method": "receiver",
        "mark": "peg",
    }

    refused = desk.post(address, typed)
    turned = desk.post(address, {**typed, "exchange": "yes"})

    assert "Exchange latitude and longitude" in page(refused)
    assert "44.5001° north, 63.9001° west." in page(refused)
    assert site.points.count() == 0
    assert [turned.context["form"][name].value() for name in ("latitude", "longitude", "name")] == [
        "44.5001",
        "-63.9001",
        "pin",
    ]
    assert turned.context["form"].errors == {}


@pytest.mark.parametrize(("latitude", "longitude"), [("95", "10"), ("44.9", "-60"), ("abc", "1")])
def test_exchanging_is_not_offered_where_it_is_no_cure(desk, ines, latitude, longitude):
    site = Site.objects.create(owner=ines, name="Cove", latitude=44.5, longitude=-63.9)

    answer = desk.post(
        f"/sites/{site.pk}/points/new/", {"latitude": latitude, "longitude": longitude}
    )

    assert "Exchange latitude and longitude" not in page(answer)


def test_a_new_point_is_said_back_by_its_nearest_neighbour(desk, ines):
    site = cast.site_of(ines)
    place = {"place": "-45.1300, 170.1018", "code": "N", "name": "new", "mark": "peg"}
    sent = {"client_id": "7c9e6679-7425-40de-944b-e07fc1f90ae7", "fixes": "", **place}

    answer = desk.post(f"/sites/{site.pk}/here/", {**sent, "typed": "yes"}, follow=True)

    # B is 200 m due east of the middle; 0.0018 degrees of longitude there are 141.6 m
    assert "45.130000° S, 170.101800° E, ± 3.2 m, 58 m west of B." in page(answer)
