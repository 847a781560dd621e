"""Numbers as people of every language write them: a comma or a point, and shown with the mark of
their language.
"""

import pytest

from exercises.models import Course, Person, Point, Site, Task
from tests import cast

POINT = {
    "code": "T9",
    "name": "the mast",
    "latitude": "-45.131",
    "longitude": "170,101",
    "elevation_m": "400,5",
    "accuracy_m": "1,5",
    "method": "receiver",
    "mark": "",
    "is_target": "on",
}


@pytest.fixture(params=["en", "es"])
def reader(client, ines, request):
    client.force_login(ines)
    client.defaults["HTTP_ACCEPT_LANGUAGE"] = request.param
    return client


@pytest.mark.parametrize("mark", [".", ","])
def test_a_site_is_placed_with_either_decimal_mark(reader, mark):
    reader.post(
        "/sites/new/",
        {
            "name": "Tarn",
            "place": f"44{mark}7; -63{mark}9",
            "grid_epsg": "",
            "cautions": "",
            "keep": "yes",
        },
    )

    assert (Site.objects.get().latitude, Site.objects.get().longitude) == (44.7, -63.9)


def test_the_numbers_of_a_point_may_be_typed_in_both_ways_at_once(reader, ines):
    site = cast.site_of(ines)
    reader.post(f"/sites/{site.pk}/points/new/", POINT)

    point = Point.objects.get(code="T9")
    assert (point.latitude, point.longitude, point.elevation_m, point.accuracy_m) == (
        -45.131,
        170.101,
        400.5,
        1.5,
    )


@pytest.mark.parametrize("mark", [".", ","])
def test_the_numbers_of_a_task_are_understood_with_either_mark(reader, ines, mark):
    site = cast.site_of(ines)
    course = Course.objects.create(site=site, name="Round")
    station = site.points.get(code="A").pk

    reader.post(
        f"/courses/{course.pk}/",
        {
            "kind": "convert",
            "station": station,
            "north": "true",
            "given_north": "magnetic",
            "given_deg": f"100{mark}5",
            "preset": "",
            "full_credit_deg": f"2{mark}5",
            "part_credit_deg": "4",
        },
    )

    task = Task.objects.get()
    assert (task.given_deg, task.full_credit_deg, task.part_credit_deg) == (100.5, 2.5, 4)


@pytest.mark.parametrize("mark", [".", ","])
def test_a_wider_band_is_understood_with_either_mark(reader, open_class, mia, mark):
    reader.post(f"/classes/{open_class.pk}/people/{mia.pk}/band/", {"wider_band_deg": f"7{mark}5"})

    assert Person.objects.get().wider_band_deg == 7.5


@pytest.mark.parametrize(
    "typed", ["abc", "4,4,7", "44.7.1", "44,7.1", "1,234.5", "44;7", "nan", "inf", ",", "95,5"]
)
def test_what_is_no_number_is_refused_and_stays_typed(reader, typed):
    answer = reader.post(
        "/sites/new/",
        {"name": "Tarn", "place": f"{typed}; -63,9", "grid_epsg": "", "keep": "yes"},
    )

    assert (answer.status_code, Site.objects.count()) == (200, 0)
    assert f'value="{typed}; -63,9"' in answer.content.decode()


@pytest.mark.parametrize(
    ("language", "place", "band"),
    [("en", "-45.130000, 170.100000", "7.5"), ("es", "-45,130000; 170,100000", "7,5")],
)
def test_a_number_is_shown_with_the_mark_of_the_reader_and_taken_back_unchanged(
    desk, open_class, mia, language, place, band
):
    Person.objects.filter(pk=mia.pk).update(wider_band_deg=7.5)
    site = open_class.course.site

    form = desk.get(
        f"/sites/{site.pk}/edit/", headers={"accept-language": language}
    ).content.decode()
    page = desk.get(
        f"/classes/{open_class.pk}/", headers={"accept-language": language}
    ).content.decode()
    desk.post(
        f"/sites/{site.pk}/edit/",
        {
            "name": site.name,
            "place": place,
            "grid_epsg": "2193",
            "cautions": "",
            "keep": "yes",
        },
        headers={"accept-language": language},
    )

    assert f'value="{place}"' in form
    assert f'value="{band}"' in page
    assert Site.objects.get().latitude == -45.13


def test_the_keys_of_a_phone_have_a_minus_where_a_number_may_be_negative(desk, open_class):
    page = desk.get(f"/sites/{open_class.course.site_id}/points/new/").content.decode()

    assert page.count('inputmode="text"') == 3
    assert page.count('inputmode="decimal"') == 1
