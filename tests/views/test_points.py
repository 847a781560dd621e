"""Points at the desk: the importer's three steps, exports, moves on the map."""

import io
import json
import re

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from exercises.domain.earth.geodesy import Position
from exercises.exchange.writing import FORMATS
from exercises.models import Point, Survey
from tests import cast

MIDDLE = Position(-45.13, 170.10, 400)


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


def look(desk, site, content, name="points.csv"):
    data = content if isinstance(content, bytes) else content.encode()
    return desk.post(f"/sites/{site.pk}/import/", {"file": SimpleUploadedFile(name, data)})


def fields_of(answer, **changes):
    """What the preview's form would send: its hidden fields, columns and settings, and every
    row.
    """
    form, fields = answer.context["form"], {}
    for name in form.fields:
        value = form[name].value()
        fields[name] = "" if value is None else str(value)
    fields["again"] = fields["again"] or "combine"  # a select without a choice sends its first
    for one in answer.context["rows"]:
        fields[f"code-{one['row'].line}"], fields[f"name-{one['row'].line}"] = (
            one["row"].code,
            one["row"].name,
        )
        for cell in (*one["place_cells"], *one["cells"]):
            fields[cell["name"]] = cell["text"]
    fields["line"] = [str(one["row"].line) for one in answer.context["rows"] if one["takes"]]
    return {**fields, **changes}


def test_looking_at_a_file_stores_nothing(desk, site):
    answer = look(
        desk,
        site,
        "code,name,lat,lon\nX,mast,-45.13100,170.10100\nT1,new "
        "name,-45.12910,170.10360\nY,far,45.1,170.1",
    )

    assert Point.objects.count() == 5
    assert [(one["row"].code, one["action"]) for one in answer.context["rows"]] == [
        ("X", "new point"),
        ("T1", "survey again"),
        ("Y", "refused"),
    ]
    assert "Is the sign of the latitude wrong? South is negative." in answer.content.decode()


def test_what_is_ticked_is_brought_in(desk, site):
    answer = look(
        desk, site, "code,name,lat,lon\nX,mast,-45.13100,170.10100\nZ,post,-45.13200,170.10200"
    )

    desk.post(f"/sites/{site.pk}/import/", fields_of(answer, line=["3"], take="yes"))

    assert set(site.points.values_list("code", flat=True)) == {"A", "B", "T1", "T2", "T3", "Z"}


def test_codes_and_names_may_be_typed_over_before_they_are_stored(desk, site):
    answer = look(desk, site, "name,lat,lon\nThe mast,-45.13100,170.10100")

    desk.post(
        f"/sites/{site.pk}/import/",
        fields_of(answer, **{"code-2": "m1", "name-2": "the old mast", "take": "yes"}),
    )

    assert site.points.filter(code="M1", name="the old mast").exists()


def test_columns_may_be_chosen_anew_and_what_was_typed_stays(desk, site):
    answer = look(desk, site, "a,b,c\nX,-45.13100,170.10100")
    assert "Say which columns hold the position" in answer.content.decode()

    answer = desk.post(
        f"/sites/{site.pk}/import/",
        fields_of(
            answer, column_code="0", column_latitude="1", column_longitude="2", accuracy_m="1,5"
        ),
    )

    (one,) = answer.context["rows"]
    assert (one["row"].code, one["action"], one["row"].accuracy_m) == ("X", "new point", 1.5)


def test_swapped_columns_are_named_and_put_right_by_the_mapper(desk, site):
    answer = look(desk, site, "code,lat,lon\nX,170.10100,-45.13100")
    assert "latitude and longitude exchanged" in answer.content.decode()

    answer = desk.post(
        f"/sites/{site.pk}/import/",
        fields_of(
            answer, column_latitude="2", column_longitude="1", **{"code-2": "X", "name-2": "X"}
        ),
    )

    assert [one["action"] for one in answer.context["rows"]] == ["new point"]


def test_a_map_grid_is_turned_into_wgs_84_with_the_transformation_shown(desk, site):
    answer = look(desk, site, "code,easting,northing\nX,1372000,4998400")

    answer = desk.post(f"/sites/{site.pk}/import/", fields_of(answer, epsg="2193"))

    assert "New Zealand Transverse Mercator 2000" in answer.content.decode()


@pytest.mark.parametrize("epsg", ["4978", "99999", "3", "abc"])
def test_a_grid_that_is_none_is_refused_in_words(desk, site, epsg):
    answer = look(desk, site, "code,easting,northing\nX,1372000,4998400")

    answer = desk.post(f"/sites/{site.pk}/import/", fields_of(answer, epsg=epsg, take="yes"))

    assert answer.status_code == 200
    assert Point.objects.count() == 5


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("p.csv", "code,name,lat,lon\nX,=1+1,1,2", "is a formula"),
        ("p.csv", "code,lat,lon\n" + "X,1,2\n" * 100_000, "more than 500 points"),
        ("p.gpx", '<!DOCTYPE x [<!ENTITY a "b">]><gpx>&a;</gpx>', "entities"),
        ("p.xlsx", "PK\x03\x04xx", "cannot be read"),
        ("p.csv", "", "empty"),
    ],
)
def test_a_hostile_file_is_refused_and_nothing_is_written(desk, site, name, content, said):
    answer = look(desk, site, content, name)

    assert said in answer.content.decode()
    assert (Point.objects.count(), Survey.objects.count()) == (5, 0)


def test_neither_a_file_nor_a_text_is_asked_for(desk, site):
    assert (
        "Choose a file, or paste places."
        in desk.post(f"/sites/{site.pk}/import/", {}).content.decode()
    )


@pytest.mark.parametrize(
    "sheet",
    [
        "",
        "x",
        "{}",
        json.dumps({"format": "csv", "columns": ["a"], "rows": [["1", "2"]], "lines": [1]}),
        "[" * 10_000,
    ],
)
def test_a_table_that_comes_back_changed_is_refused(desk, site, sheet):
    answer = desk.post(f"/sites/{site.pk}/import/", {"sheet": sheet, "take": "yes"}, follow=True)

    assert "Choose the file once more" in answer.content.decode()
    assert Point.objects.count() == 5


def test_pasted_places_come_in(desk, site):
    answer = desk.post(
        f"/sites/{site.pk}/import/", {"text": "Gate: 45.13100 S, 170.10100 E\n59GML2932602214"}
    )

    desk.post(f"/sites/{site.pk}/import/", fields_of(answer, take="yes"))

    assert list(site.points.filter(code__startswith="P").values_list("code", "name")) == [
        ("P1", "Gate"),
        ("P2", "P2"),
    ]


@pytest.mark.parametrize("form", FORMATS)
def test_an_export_read_again_changes_nothing(desk, site, form):
    data = desk.get(f"/sites/{site.pk}/points.{form}").content

    answer = look(desk, site, data, f"points.{form}")

    assert [one["action"] for one in answer.context["rows"]] == ["left as it is"] * 5
    assert "There is nothing to bring in." in answer.content.decode()


def test_an_export_is_a_file_with_everything_of_a_point(desk, site):
    answer = desk.get(f"/sites/{site.pk}/points.xlsx")

    sheet = openpyxl.load_workbook(io.BytesIO(answer.content)).active
    assert answer["Content-Disposition"] == f'attachment; filename="points-{site.pk}.xlsx"'
    assert [sheet["A2"].value, sheet["B2"].value, sheet["J2"].value] == [
        "A",
        "the A thing",
        "T1 T2 T3",
    ]


def move(desk, site, moves, accuracy="3"):
    return desk.post(
        f"/sites/{site.pk}/move/", {"moves": json.dumps(moves), "accuracy_m": accuracy}, follow=True
    )


def test_points_moved_on_the_map_are_stored_together(desk, site):
    answer = move(desk, site, [["T1", -45.129, 170.1036], ["T2", -45.1315, 170.1025]])

    assert "2 points moved. Their earlier surveys are kept, set aside." in answer.content.decode()
    assert [site.points.get(code=code).method for code in ("T1", "T2")] == ["map", "map"]


@pytest.mark.parametrize(
    ("moves", "accuracy", "said"),
    [
        ([["T1", 45.129, 170.1036]], "3", "would be far from the site"),
        ([["T1", -45.129]], "3", "cannot be read"),
        ([["T1", None, 2]], "3", "cannot be read"),
        ("x", "3", "cannot be read"),
        ([["T1", 1e9, 2]], "3", "cannot be read"),
        ([["ZZ", -45.129, 170.1036]], "3", "no point “ZZ”"),
        ([["T1", -45.129, 170.1036]], "0", "greater than or equal"),
    ],
)
def test_a_move_that_cannot_be_moves_nothing(desk, site, moves, accuracy, said):
    answer = move(desk, site, moves, accuracy)

    assert said in answer.content.decode()
    assert Survey.objects.count() == 0


def test_the_map_gets_everything_it_draws(desk, site):
    page = desk.get(f"/sites/{site.pk}/").content.decode()

    data = json.loads(
        re.search(r'<script id="map" type="application/json">(.*?)</script>', page)[1]
    )
    assert [(point["code"], point["sign"]) for point in data["points"]] == [
        ("A", "station"),
        ("B", "station"),
        ("T1", "target"),
        ("T2", "target"),
        ("T3", "target"),
    ]
    assert data["points"][0]["ellipse"] == [
        pytest.approx(0.5 * 2.4477, abs=1e-3),
        pytest.approx(0.5 * 2.4477, abs=1e-3),
        0.0,
    ]
    assert data["lines"][0] == ["A", "T1"]
    assert data["tiles"] is None


def test_sight_lines_stand_in_a_table_with_every_north(desk, site):
    page = desk.get(f"/sites/{site.pk}/").content.decode()

    assert all(
        text in page for text in ("6 sight lines", "070.2° true", "068.1° grid", "044.5° magnetic")
    )


def test_the_declination_diagram_is_of_the_day_that_was_asked_for(desk, site):
    page = desk.get(f"/sites/{site.pk}/?on=2029-06-01").content.decode()

    assert "WMM2025, 1 June 2029" in page
    assert "ends on" in desk.get(f"/sites/{site.pk}/?on=2031-06-01").content.decode()


@pytest.mark.parametrize("points", [5, 35])
def test_a_site_is_shown_in_a_fixed_number_of_queries(
    desk, site, django_assert_num_queries, points
):
    for number in range(points - 5):
        Point.objects.create(
            site=site,
            code=f"N{number}",
            name="n",
            latitude=-45.131 + number * 1e-4,
            longitude=170.101,
            accuracy_m=1,
        )

    with django_assert_num_queries(12):
        desk.get(f"/sites/{site.pk}/")


def test_a_wrong_accuracy_loses_nothing_of_the_import(desk, site):
    answer = look(
        desk, site, "name,lat,lon\nThe mast,-45.13100,170.10100\nThe post,-45.13200,170.10200"
    )

    answer = desk.post(
        f"/sites/{site.pk}/import/",
        fields_of(
            answer,
            accuracy_m="x",
            line=["3"],
            take="yes",
            **{"code-3": "Q1", "name-3": "post", "mark-3": "beside it"},
        ),
    )

    page = answer.content.decode()
    assert Point.objects.count() == 5
    assert [(one["row"].code, one["row"].mark) for one in answer.context["rows"]] == [
        ("P1", None),
        ("Q1", "beside it"),
    ]
    assert answer.context["left_out"] == {2}
    assert "Enter a number." in page


def test_a_point_whose_numbers_are_long_can_be_renamed(desk, site):
    Point.objects.filter(site=site, code="T1").update(
        longitude=170.10012368653846153847, latitude=-45.130012368653846
    )

    answer = desk.post(
        f"/sites/{site.pk}/points/T1/",
        {
            "code": "T1",
            "name": "x",
            "latitude": "-45.130012368653846",
            "longitude": "170.01236865384615384",
            "elevation_m": "400",
            "accuracy_m": "1",
            "method": "map",
            "mark": "",
            "is_target": "on",
        },
    )

    assert answer.status_code == 302


def test_two_points_at_one_place_with_a_line_between_them_are_drawn(desk, site):
    a = site.points.get(code="A")
    site.points.filter(code="T1").update(latitude=a.latitude, longitude=a.longitude)

    assert desk.get(f"/sites/{site.pk}/").status_code == 200


@pytest.mark.parametrize("on", ["2024-02-30", "x", "9999-99-99"])
def test_a_day_that_is_none_is_today(desk, site, on):
    assert desk.get(f"/sites/{site.pk}/?on={on}").status_code == 200


@pytest.mark.parametrize("hostile", ["[" * 50_000, "[[" + "9" * 400 + ",1,1,1,1],[1,1,1,1,1]]"])
def test_hostile_moves_are_refused_in_words(desk, site, hostile):
    answer = move(desk, site, hostile)

    assert "cannot be read" in answer.content.decode()
    assert Survey.objects.count() == 0


def test_five_hundred_rows_pass_through_the_page(desk, site):
    content = "code,name,lat,lon\n" + "".join(
        f"{number:03d},point {number},{-45.13 + number * 1e-5:.5f},170.10000\n"
        for number in range(500)
    )
    answer = look(desk, site, content)

    answer = desk.post(
        f"/sites/{site.pk}/import/",
        {**fields_of(answer, take="yes"), **{f"mark-{line}": "" for line in range(2, 502)}},
        follow=True,
    )

    assert (
        "A site holds 500 points" in answer.content.decode()
    )  # five are there: told in words, and nothing is stored
    assert site.points.count() == 5


def test_names_with_control_characters_are_cleaned(desk, site):
    answer = look(desk, site, "code,name,lat,lon\nX,ba\x0bd \x7fname,-45.13100,170.10100")
    desk.post(f"/sites/{site.pk}/import/", fields_of(answer, take="yes"))

    assert site.points.get(code="X").name == "ba d  name"
    assert desk.get(f"/sites/{site.pk}/points.gpx").status_code == 200


def test_an_unusable_epsg_code_is_refused_row_by_row(desk, site):
    answer = desk.post(
        f"/sites/{site.pk}/import/",
        fields_of(look(desk, site, "code,easting,northing\nX,1372000,4998400"), epsg="3752"),
    )

    assert [one["action"] for one in answer.context["rows"]] == ["refused"]
