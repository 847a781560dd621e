"""Points files without a line of names, in both customary orders (common practice of data
collectors, no source). Tables are written here, their coordinates by pyproj itself.
"""

import pytest
from hypothesis import given, strategies as st
from pyproj import Transformer

from exercises.domain.earth.geodesy import Position, moved
from exercises.exchange.headerless import FORMAT, both_ways, columns_of
from exercises.exchange.reading import read_csv, read_file
from exercises.exchange.rows import Settings, interpret
from exercises.exchange.sheet import BadFile

HERE = Position(-45.13, 170.10)
PLACES = [moved(HERE, 35.0 * number, -20.0 * number) for number in range(5)]
UTM, NATIONAL = 32759, 2193


def table(order, between=",", *, epsg=UTM, height=True, description=True, comma=False):
    """The rows of a data collector."""
    turned = Transformer.from_crs(4326, epsg, always_xy=True)
    rows = []
    for number, place in enumerate(PLACES, start=101):
        east, north = turned.transform(place.longitude_deg, place.latitude_deg)
        pair = {"northing_first": (north, east), "easting_first": (east, north)}[order]
        cells = [str(number), *(f"{metres:.3f}" for metres in pair)]
        cells += ["401.25"] if height else []
        cells += [f"post {number} old"] if description else []
        line = between.join(cells)
        rows.append(line.replace(".", ",") if comma else line)
    return "\n".join(rows)


def settings(sheet, order, epsg=None):
    return Settings(columns_of(sheet, order), epsg, 0.02, "surveyed")


@pytest.mark.parametrize("between", [",", ";", "\t", " ", "   "])
@pytest.mark.parametrize("order", ["northing_first", "easting_first"])
@pytest.mark.parametrize(("height", "description"), [(1, 1), (1, 0), (0, 1), (0, 0)])
def test_every_order_is_told_by_where_the_site_lies(order, between, height, description):
    sheet = read_csv(table(order, between, height=height, description=description))

    found = both_ways(sheet, None, HERE)
    rows = interpret(sheet, settings(sheet, found.decided), [], HERE)

    assert (sheet.format, found.decided) == (FORMAT, order)
    assert [row.code for row in rows] == ["101", "102", "103", "104", "105"]
    assert [row.problem for row in rows] == [""] * 5
    assert all(
        abs(row.position.latitude_deg - place.latitude_deg) < 1e-7
        and abs(row.position.longitude_deg - place.longitude_deg) < 1e-7
        for row, place in zip(rows, PLACES, strict=True)
    )
    assert {row.position.elevation_m for row in rows} == {401.25 if height else None}
    assert rows[0].name == ("post 101 old" if description else "101")


@pytest.mark.parametrize("between", [";", "\t", " "])
def test_decimal_commas_stay_in_their_cells(between):
    sheet = read_csv(table("easting_first", between, comma=True))

    assert both_ways(sheet, None, HERE).decided == "easting_first"


def test_a_description_may_hold_separators_and_be_missing():
    lines = table("northing_first").split("\n")
    sheet = read_csv("\n".join([f"{lines[0]},by the gate, left", lines[1].rpartition(",")[0]]))

    assert [row[4] for row in sheet.rows] == ["post 101 old,by the gate,left", ""]


def test_a_file_is_recognised_as_a_pasted_text_is():
    assert read_file("job.txt", table("northing_first").encode()).format == FORMAT


def test_another_grid_is_tried_where_its_code_is_given():
    sheet = read_csv(table("northing_first", epsg=NATIONAL))

    assert both_ways(sheet, None, HERE).decided == ""
    assert both_ways(sheet, NATIONAL, HERE).decided == "northing_first"


def test_rows_that_lie_far_away_in_both_orders_speak_for_neither():
    sheet = read_csv("1,5000.00,5000.00,100.0,peg\n2,5020.00,5010.00,100.0,peg")

    found = both_ways(sheet, None, HERE)

    assert (found.decided, found.near) == ("", {"northing_first": 0, "easting_first": 0})
    assert all(reading.problem or not reading.is_near for reading in found.first[0][2].values())


def test_an_old_datum_that_cannot_be_turned_is_refused_in_words_in_both_orders():
    # TWD67 (EPSG 3828) has no shift that PROJ's wheel knows.
    sheet = read_csv("1,2600000.0,250000.0\n2,2600010.0,250010.0")

    found = both_ways(sheet, 3828, Position(23.5, 121.0))

    (_, _, readings), *_ = found.first
    assert "is on the datum" in str(readings["northing_first"].problem)


def test_where_both_orders_lie_near_neither_is_guessed():
    """On the false origin of a grid, easting and northing may be alike: here a site of the Web
    Mercator (EPSG 3857) on the line where they are.
    """
    turned = Transformer.from_crs(3857, 4326, always_xy=True)
    longitude, latitude = turned.transform(2_000_000, 2_000_000)
    sheet = read_csv("1,2000010.0,2000020.0\n2,2000030.0,2000040.0")

    found = both_ways(sheet, 3857, Position(latitude, longitude))

    assert (found.decided, found.near) == ("", {"northing_first": 2, "easting_first": 2})


def test_one_spoilt_row_is_refused_for_itself():
    lines = table("easting_first").split("\n")
    lines[2] = lines[2].replace(".", "x", 1)
    sheet = read_csv("\n".join(lines))

    rows = interpret(sheet, settings(sheet, both_ways(sheet, None, HERE).decided), [], HERE)

    assert [row.action for row in rows] == ["new", "new", "refused", "new", "new"]


@pytest.mark.parametrize(
    "text",
    [
        "59G 429226 5002214",
        "59G 429226 5002214\n59G 429256 5002234",
        "-45.13, 170.1",
        "A -45.13 170.10",
        "A,-45.13,170.10\nB,-45.14,170.11",
        "Gate: 45.13 S, 170.1 E",
        "45 07 48.7 S 170 06 01.1 E",
        "59GML2922602214",
        "Post\t59GML2922602214",
        "geo:-45.1,170.1",
    ],
)
def test_places_in_other_notations_are_not_taken_for_it(text):
    assert read_csv(text).format == "pasted"


def test_a_table_with_names_keeps_them():
    assert read_csv(f"point,north,east,z,desc\n{table('northing_first')}").format == "csv"


def test_a_line_that_is_too_long_for_csv_is_refused_in_words():
    with pytest.raises(BadFile, match="longer than"):
        read_csv(f'1,5002214.0,429226.0,400,"{"x" * 200_000}"\n')


def test_a_formula_in_a_description_is_refused():
    with pytest.raises(BadFile, match="is a formula"):
        read_csv("1,5002214.0,429226.0,400,=cmd()")


@given(
    st.sampled_from([",", ";", "\t", " "]),
    st.lists(
        st.tuples(
            st.floats(1000, 9_999_999).map(lambda metres: f"{metres:.3f}"),
            st.floats(-9_999_999, 9_999_999).map(lambda metres: f"{metres:.3f}"),
        ),
        min_size=1,
        max_size=8,
    ),
)
def test_numbers_come_through_as_they_were_written(between, pairs):
    lines = [between.join([f"P{place}", *pair]) for place, pair in enumerate(pairs)]

    sheet = read_csv("\n".join(lines))

    assert [row[1:3] for row in sheet.rows] == pairs
