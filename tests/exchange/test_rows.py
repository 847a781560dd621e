"""What rows mean for a site: round trips through every format, guessed columns, and refusals with
their reason.
"""

import io
import json

import openpyxl
import pytest

from exercises.domain.earth.geodesy import Position, apart_m, destination
from exercises.exchange import writing
from exercises.exchange.columns import guess_columns
from exercises.exchange.reading import read_csv, read_file
from exercises.exchange.rows import Known, Settings, interpret
from exercises.exchange.sheet import BadFile
from tests import published

HERE = Position(-45.13, 170.10)
POINTS = [
    writing.Out(
        "A",
        "Gate, old “post”",
        -45.13012345,
        170.10054321,
        410.25,
        0.02,
        "surveyed",
        "brass pin; north-west",
        True,
        "T1 T2",
    ),
    writing.Out("T1", "=cmd|' /C calc'!A0", -45.1312, 170.1013, -3.0, 3.0, "map", "", True, ""),
    writing.Out("T2", "ñandú <b>&\t", -45.13, 170.1, 0.0, 12.5, "receiver", "", True, ""),
]
KNOWN = [
    Known(
        one.code,
        one.name.strip(),
        Position(one.latitude, one.longitude, one.elevation_m),
        one.accuracy_m,
        one.mark,
        one.is_target,
    )
    for one in POINTS
]


def read(sheet, known=(), *, near=HERE, **more):
    return interpret(
        sheet,
        Settings(
            **{
                "columns": guess_columns(sheet.columns),
                "epsg": None,
                "accuracy_m": 3.0,
                "method": "receiver",
                **more,
            }
        ),
        known,
        near,
    )


def text(content, **more):
    return read(read_csv(content), **more)


@pytest.mark.parametrize("form", writing.FORMATS)
def test_what_is_written_is_read_back_as_the_same_points(form):
    sheet = read_file(f"points.{form}", writing.write(form, POINTS, "Test ground"))

    assert [(row.code, row.action, row.problem) for row in read(sheet, KNOWN)] == [
        ("A", "same", ""),
        ("T1", "same", ""),
        ("T2", "same", ""),
    ]


@pytest.mark.parametrize("form", writing.FORMATS)
def test_what_is_written_makes_the_same_points_on_an_empty_site(form):
    found = read(read_file(f"points.{form}", writing.write(form, POINTS, "Test ground")))

    assert [(row.code, row.name) for row in found] == [
        (one.code, one.name.strip()) for one in POINTS
    ]
    for row, one in zip(found, POINTS, strict=True):
        assert apart_m(row.position, Position(one.latitude, one.longitude)) < 0.002
        assert row.position.elevation_m == pytest.approx(one.elevation_m, abs=0.01)
        assert (row.mark or "") == one.mark


@pytest.mark.parametrize("form", [form for form in writing.FORMATS if form != "gpx"])
def test_formats_with_room_keep_accuracy_method_and_what_is_seen(form):
    row = read(read_file(f"points.{form}", writing.write(form, POINTS, "Test ground")))[0]

    assert (row.accuracy_m, row.method, row.is_target, row.sees) == (
        0.02,
        "surveyed",
        True,
        ("T1", "T2"),
    )


def test_a_spreadsheet_program_sees_numbers_and_no_formula():
    # openpyxl reads what xlsxwriter wrote: another program's eyes.
    sheet = openpyxl.load_workbook(io.BytesIO(writing.write("xlsx", POINTS, "x"))).active

    assert [cell.value for cell in sheet[1]] == list(writing.COLUMNS)
    assert (sheet["C2"].value, sheet["C2"].data_type, sheet["B3"].data_type) == (
        -45.13012345,
        "n",
        "s",
    )


def test_a_spreadsheet_that_opens_the_csv_runs_nothing():
    lines = writing.write("csv", POINTS, "x").decode("utf-8-sig").splitlines()

    assert lines[2].startswith("T1,'=cmd|")


def test_geojson_is_a_collection_of_points_with_longitude_first():
    data = json.loads(writing.write("geojson", POINTS, "x"))

    assert data["type"] == "FeatureCollection"
    assert data["features"][0]["geometry"] == {
        "type": "Point",
        "coordinates": [170.10054321, -45.13012345, 410.25],
    }  # RFC 7946, 3.1.1


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        (
            ("ID", "Lat", "Lon", "Ele (m)"),
            {"code": 0, "latitude": 1, "longitude": 2, "elevation_m": 3},
        ),
        (
            ("Punto", "Nombre", "Latitud", "Longitud"),
            {"code": 0, "name": 1, "latitude": 2, "longitude": 3},
        ),
        (("X", "Y", "name"), {"easting": 0, "northing": 1, "name": 2}),
        (("Easting [m]", "Northing [m]"), {"easting": 0, "northing": 1}),
        (("MGRS", "label"), {"place": 0, "name": 1}),
        (("foo", "bar"), {}),
    ],
)
def test_columns_are_guessed_by_their_names(names, expected):
    assert guess_columns(names) == expected


def test_a_mark_is_preferred_to_a_description():
    assert guess_columns(("description", "mark", "lat", "lon"))["mark"] == 1


def test_published_utm_coordinates_come_in_by_their_epsg_code():
    # Veness geodesy library tests: Sydney Opera House.
    (row,) = [row for row in published.rows("coordinates") if row["id"] == "Sydney Opera House"]
    (found,) = text(
        f"code,x,y\nA,{row['easting_m']},{row['northing_m']}",
        epsg=int(row["epsg"]),
        near=Position(-33.85, 151.2),
    )

    assert apart_m(found.position, Position(float(row["lat_deg"]), float(row["lon_deg"]))) < 0.01


def test_eastings_without_a_code_are_of_the_sites_utm_zone():
    (found,) = text("code,easting,northing\nA,429226,5002214")

    assert apart_m(found.position, HERE) < 1.5


def test_a_transformation_is_named_with_its_stated_accuracy_which_counts():
    # Caister Water Tower, OS guide annexe A; the transformation without the shift grid states 2 m.
    (found,) = text(
        "code,x,y,accuracy\nA,651409.804,313177.450,1.5", epsg=27700, near=Position(52.66, 1.72)
    )

    assert "OSGB36 to WGS 84 (6), good to 2 m" in found.remarks[0]
    assert found.accuracy_m == pytest.approx(2.5)  # root of 1.5 and 2 squared


def test_what_is_written_coarsely_is_no_better_than_that_and_says_so():
    (found,) = text("code,lat,lon\nA,-45.130,170.100")

    assert found.accuracy_m == pytest.approx(111.32 / 2 / 3**0.5, rel=1e-3)
    assert "Written to 111 m only" in found.remarks[0]


def test_the_uncertainty_of_a_link_counts_where_the_sheet_states_none():
    (found,) = text("Gate: geo:-45.13000,170.10000;u=12")

    assert found.accuracy_m == 12.0


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ("170.10,-45.13", "exchanged"),
        ("45.13,170.10", "Is the sign of the latitude wrong"),
        ("-45.13,-170.10", "Is the sign of the longitude wrong"),
        ("-46.9,170.10", "km from the site"),
        ("x,170.1", "not a latitude"),
        (",", "Nothing here"),
    ],
)
def test_a_row_that_leads_astray_is_refused_with_the_likely_slip(cells, said):
    (row,) = text(f"code,lat,lon\nA,{cells}")

    assert (row.action, row.place is None or row.problem != "") == ("refused", True)
    assert said in row.problem


def test_swapped_columns_are_suspected_where_both_numbers_could_be_either():
    (row,) = text("code,lat,lon\nA,12.5,47.3", near=Position(47.3, 12.5))

    assert "Are latitude and longitude exchanged?" in row.problem


def test_decimal_commas_alone_are_understood():
    (found,) = text("code;lat;lon\nA;-45,13012;170,10034")

    assert apart_m(found.position, Position(-45.13012, 170.10034)) < 0.001


def test_a_code_that_stands_twice_refuses_the_second():
    first, second = text("code,lat,lon\nA,-45.13001,170.10001\na,-45.13101,170.10101")

    assert (first.action, second.action) == ("new", "refused")
    assert "Line 2 has the code “A” too" in second.problem


def test_rows_without_a_code_get_free_ones():
    found = text(
        "name,lat,lon\nThe gate,-45.13001,170.10001\nThe tree,-45.13101,170.10101",
        known=[Known("P1", "x", Position(-45.2, 170.1), 1, "", True)],
    )

    assert [(row.code, row.name) for row in found] == [("P2", "The gate"), ("P3", "The tree")]
    assert "No code: “P2” is proposed." in found[0].remarks


def test_a_code_no_point_can_have_is_replaced_and_becomes_the_name():
    (found,) = text("code,lat,lon\nWPT-0017,-45.13001,170.10001")

    assert (found.code, found.name) == ("P1", "WPT-0017")


def test_a_code_and_a_name_that_were_typed_over_hold():
    (found,) = text(
        "name,lat,lon\nThe gate,-45.13001,170.10001",
        named={2: {"code": " g1 ", "name": "Old gate", "mark": "brass pin"}},
    )

    assert (found.code, found.name, found.mark, found.action) == (
        "G1",
        "Old gate",
        "brass pin",
        "new",
    )


def test_a_typed_code_that_no_point_can_have_is_refused():
    typed = {"code": "gate 1", "name": "x", "mark": ""}
    (found,) = text("name,lat,lon\nThe gate,-45.13001,170.10001", named={2: typed})

    assert (found.action, found.problem) == (
        "refused",
        "“GATE 1” is no code. Use one to four capital letters or digits.",
    )


def test_a_point_that_is_there_is_surveyed_again_and_says_how_far_off():
    (found,) = text("code,lat,lon\nT2,-45.13010,170.10000", known=KNOWN)

    assert (found.action, found.name) == ("survey", "ñandú <b>&")
    assert found.moved_m == pytest.approx(11.1, abs=0.1)


def test_two_points_at_one_place_are_remarked():
    found = text("code,lat,lon\nX,-45.13120,170.10130\nY,-45.12000,170.10000", known=KNOWN)

    assert "Point T1 stands at the same place." in found[0].remarks
    assert found[1].remarks == ()


@pytest.mark.parametrize(("metres", "is_there"), [(0.45, True), (0.55, False), (4.0, False)])
def test_the_same_place_is_within_half_a_metre(metres, is_there):
    beside = destination(HERE, 60.0, metres)
    found = text(
        f"code,lat,lon\nX,{HERE.latitude_deg:.8f},{HERE.longitude_deg:.8f}\n"
        f"Y,{beside.latitude_deg:.8f},{beside.longitude_deg:.8f}"
    )

    assert [row.is_doubtful for row in found] == [is_there, is_there]
    assert ("Point X stands at the same place." in found[1].remarks) == is_there


@pytest.mark.parametrize(
    ("columns", "cells", "said"),
    [
        ("accuracy", "-1", "not between"),
        ("accuracy", "x", "not a number"),
        ("ele", "99999", "height in metres: 99999 is not between"),
        ("target", "perhaps", "neither yes nor no"),
    ],
)
def test_an_odd_cell_refuses_its_row(columns, cells, said):
    (row,) = text(f"code,lat,lon,{columns}\nA,-45.13001,170.10001,{cells}")

    assert row.action == "refused"
    assert said in row.problem


def test_a_sheet_without_a_position_asks_for_the_columns():
    with pytest.raises(BadFile, match="Say which columns hold the position"):
        text("code,foo\nA,1")


def test_a_height_that_is_not_told_is_the_points_own_or_stays_unknown():
    new, again = text("code,lat,lon\nX,-45.13101,170.10101\nA,-45.13012,170.10054", known=KNOWN)

    assert (new.position.elevation_m, again.position.elevation_m) == (None, 410.25)


@pytest.mark.parametrize("form", writing.FORMATS)
@pytest.mark.parametrize("height_m", [None, 0.0, 410.0])
def test_an_unknown_height_and_a_height_of_zero_come_back_from_every_format(form, height_m):
    point = writing.Out(
        "A", "the thing", -45.13012, 170.10054, height_m, 1.0, "surveyed", "peg", True, ""
    )

    (row,) = read(read_file(f"p.{form}", writing.write(form, [point], "x")))

    assert row.elevation_m == height_m


def test_a_second_point_where_one_stands_is_marked_as_such():
    new, again = text("code,lat,lon\nX,-45.13120,170.10130\nT1,-45.13121,170.10131", known=KNOWN)

    assert (new.is_doubtful, again.is_doubtful) == (True, False)


@pytest.mark.parametrize("code", ["ABCD", "1A", "12AB", "A1B2", "GATE", "A", "T10"])
def test_every_code_comes_back_from_every_format(code):
    point = writing.Out(
        code, "the thing", -45.13012, 170.10054, 410.0, 1.0, "surveyed", "peg", True, ""
    )

    for form in writing.FORMATS:
        assert read(read_file(f"p.{form}", writing.write(form, [point], "x")))[0].code == code


def test_a_word_in_capitals_is_a_name_and_no_code():
    (found,) = text("name,lat,lon\nGATE POST,-45.13101,170.10101")

    assert (found.code, found.name) == ("P1", "GATE POST")


def test_small_numbers_of_a_workbook_keep_their_form():
    sheet = read_file(
        "p.xlsx",
        writing.write(
            "xlsx",
            [writing.Out("A", "a", 0.00002, 0.00003, 0, 1.0, "surveyed", "peg", True, "")],
            "x",
        ),
    )

    assert sheet.rows[0][2:4] == ("0.00002", "0.00003")


def test_a_new_name_at_the_same_place_is_no_survey():
    (found,) = text("code,name,lat,lon\nT1,a better name,-45.13120,170.10130", known=KNOWN)

    assert found.action == "named"


@pytest.mark.parametrize(
    "mark", ["- left of the gate", "@home, by the door", "+ cross on the rock"]
)
def test_a_text_that_begins_oddly_is_no_formula(mark):
    (found,) = text(f'code,lat,lon,mark\nX,-45.13101,170.10101,"{mark}"')

    assert found.mark == mark
