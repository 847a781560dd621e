"""What is wrong with one row refuses that row alone, at the cell that is wrong, and what was typed
over a cell is read by the same rules.
"""

import pytest
from hypothesis import given, settings, strategies as st

from exercises.domain.earth.geodesy import Position
from exercises.exchange.columns import guess_columns, unused
from exercises.exchange.reading import read_csv
from exercises.exchange.sheet import LONGEST_CELL, BadFile, Sheet
from tests.exchange.test_rows import read, text

GOOD = "A,-45.13001,170.10001"


def actions(rows):
    return [(row.code, row.action, row.wrong) for row in rows]


def test_one_decimal_comma_among_points_refuses_its_row_alone():
    rows = text("code;lat;lon\nA;-45.13001;170.1001\nB;-45.14001;170.1001\nC;-45,13001;170.1001")

    assert actions(rows) == [("A", "new", ()), ("B", "new", ()), ("C", "refused", ("latitude",))]
    assert rows[2].problem == (
        "“-45,13001” has a decimal comma where line 2 has a decimal point. Write it in the same "
        "way."
    )


def test_one_decimal_point_among_commas_refuses_its_row_alone():
    rows = text("code;lat;lon\nA;-45.14001;170,1001\nB;-45,13001;170,1001\nC;-45,131;170,1001")

    assert actions(rows) == [("A", "refused", ("latitude",)), ("B", "new", ()), ("C", "new", ())]
    assert "decimal point where line 3 has a decimal comma" in rows[0].problem


def test_a_comma_that_was_taken_for_a_separator_is_put_back_where_only_one_way_is_left():
    rows = text(f"code,lat,lon\n{GOOD}\nB,-45,13101,170,10101\nC,-45.13201,170,10201")

    assert [row.cells["longitude"] for row in rows] == ["170.10001", "170,10101", "170,10201"]
    assert actions(rows)[1:] == [
        ("B", "refused", ("latitude", "longitude")),
        ("C", "refused", ("longitude",)),
    ]
    assert "This line has 5 cells where the first line has 3." in rows[1].remarks[0]


def test_what_is_too_much_stays_together_in_the_last_cell():
    sheet = read_csv("code,lat,lon,mark\nA,-45.13,170.1,stone, north side\nB,-45.13,170.1,")

    assert (sheet.rows[0][3], sheet.uneven) == ("stone, north side", ((2, 5),))


def test_a_row_of_an_uneven_line_is_read_but_is_for_a_person_to_look_at():
    short, even = text("code,lat,lon,mark\nA,-45.13001,170.10001\nB,-45.13101,170.10101,peg")

    assert (short.action, short.is_doubtful, even.is_doubtful) == ("new", True, False)


def test_an_uneven_line_is_even_once_it_was_typed_over():
    sheet = read_csv(f"code,lat,lon,mark\n{GOOD}\nB,-45.131,170.1,peg")

    mended = sheet.with_cells({(2, 3): "stone"})

    assert (mended.rows[0][3], mended.uneven) == ("stone", ())
    assert sheet.with_cells({(2, 3): " "}).uneven == sheet.uneven == ((2, 3),)
    with pytest.raises(BadFile, match="Line 2 has 3 cells where the first line has 4"):
        sheet.even()


@pytest.mark.parametrize(
    ("row", "wrong"),
    [
        ("AAAAA1,-45.13,x,,", ("longitude",)),
        ("A,x,170.1,,", ("latitude",)),
        ("A,-45.13,,,", ("longitude",)),
        ("A,,,,", ("latitude", "longitude")),
        ("A,45.13,170.1,,", ("latitude", "longitude")),
        ("A,-45.13,170.1,high,", ("elevation_m",)),
        ("A,-45.13,170.1,,500", ("accuracy_m",)),
    ],
)
def test_the_cells_that_are_wrong_are_named(row, wrong):
    (found,) = text(f"code,lat,lon,ele,accuracy\n{row}")

    assert (found.action, found.wrong) == ("refused", wrong)


def test_a_code_that_stands_twice_is_wrong_at_its_code():
    assert actions(text(f"code,lat,lon\n{GOOD}\nA,-45.13101,170.10101"))[1][2] == ("code",)


@pytest.mark.parametrize(
    ("first", "second"),
    [("170.10100", "-45.13100"), ("170.10100", "45.13100"), ("170.10100 N", "45.13100 E")],
)
def test_an_exchange_is_offered_where_latitude_and_longitude_look_exchanged(first, second):
    (found,) = text(f"code,lat,lon\nX,{first},{second}")

    assert found.action == "refused"
    exchanged = {**found.cells, **found.exchanged}
    latitude = exchanged["latitude"].split()[0]
    assert abs(float(latitude)) == 45.131


def test_exchanged_letters_of_a_pasted_place_are_put_right():
    (found,) = read(read_csv("Post: 10.21000 N, 45.13050 E"), near=Position(45.13, 10.21))

    assert found.exchanged == {"place": "10.21000 E, 45.13050 N"}
    (again,) = read(read_csv("Post: 10.21000 E, 45.13050 N"), near=Position(45.13, 10.21))
    assert (again.action, again.exchanged) == ("new", {})


def test_eastings_and_northings_are_exchanged_as_well():
    (found,) = text("code,easting,northing\nX,5002214,429226")

    assert found.exchanged == {"easting": "429226", "northing": "5002214"}


@pytest.mark.parametrize(
    "row", ["X,-45.13,x", "X,12.5,99.5", "X,45.131,170.101", "X,,170.1", "X,170.1 E,45.131 N"]
)
def test_no_exchange_is_offered_where_it_brings_nothing(row):
    (found,) = text(f"code,lat,lon\n{row}")

    assert (found.action, found.exchanged) == ("refused", {})


@settings(max_examples=60, deadline=None)
@given(st.floats(-0.02, 0.02), st.floats(-0.02, 0.02))
def test_two_coordinates_that_were_exchanged_come_back_to_where_they_are(north, east):
    latitude, longitude = f"{-45.13 + north:.6f}", f"{170.1 + east:.6f}"

    (found,) = text(f"code,lat,lon\nX,{longitude},{latitude}")

    assert found.exchanged == {"latitude": latitude, "longitude": longitude}


def test_columns_that_are_not_used_are_named_but_for_empty_ones():
    sheet = read_csv("code,lat,lon,tree,,owner\nA,-45.13,170.1,oak,,\nB,-45.13,170.1,,,Ada")

    assert unused(sheet, guess_columns(sheet.columns)) == ["tree", "owner"]


@pytest.mark.parametrize(
    ("known_mark", "typed", "mark"),
    [("", {"mark": ""}, None), ("", {"mark": " peg "}, "peg"), ("stone", {"mark": ""}, "")],
)
def test_an_empty_mark_says_nothing_where_the_sheet_has_no_marks(known_mark, typed, mark):
    header, row = ("code,lat,lon,mark", f"{GOOD},stone") if known_mark else ("code,lat,lon", GOOD)

    (found,) = text(f"{header}\n{row}", named={2: typed})

    assert found.mark == mark


def test_a_proposed_code_that_is_changed_does_not_become_the_name():
    (found,) = text(
        "lat,lon\n-45.13001,170.10001", named={2: {"code": "Q1", "name": "P1", "mark": ""}}
    )

    assert (found.code, found.name) == ("Q1", "Q1")


def test_what_is_typed_over_a_cell_is_bounded_and_printable():
    sheet = read_csv(f"code,lat,lon\n{GOOD}\nB,1,2")

    mended = sheet.with_cells({(2, 0): "x" * 10_000, (2, 1): " a\x00b\n", (9, 9): "nowhere"})

    assert mended.rows == (("x" * LONGEST_CELL, "a b", "170.10001"), ("B", "1", "2"))


plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner),
    max_leaves=12,
)


@settings(max_examples=150, deadline=None)
@given(
    st.fixed_dictionaries({key: plain for key in ("format", "columns", "rows", "lines", "uneven")})
    | plain
)
def test_a_table_that_comes_back_is_a_bounded_one_or_refused(sent):
    try:
        sheet = Sheet.from_plain(sent)
    except BadFile:
        return
    assert len(sheet.rows) == len(set(sheet.lines)) <= 500
    assert {len(cells) for cells in sheet.rows} == {len(sheet.columns)}


def test_a_sheet_comes_back_as_it_was_sent_formulas_of_its_own_export_included():
    sheet = read_csv("code,name,lat,lon\nA,'=not a formula,-45.13,170.1\nB,short")

    again = Sheet.from_plain(sheet.to_plain())

    assert (again.rows, again.lines, again.uneven) == (sheet.rows, sheet.lines, sheet.uneven)
    assert again.rows[0][1] == "=not a formula"


def test_lines_that_were_taken_leave_the_others_as_they_are():
    rest = read_csv(f"code,lat,lon\n{GOOD}\nB,x,2\nC,1").without({2})

    assert (rest.lines, rest.rows, rest.uneven) == (
        (3, 4),
        (("B", "x", "2"), ("C", "1", "")),
        ((4, 2),),
    )
