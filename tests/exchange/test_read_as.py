"""What the preview of an import says of how a place was read, and of its datum."""

import pytest

from exercises.domain.earth.geodesy import Position, apart_m
from exercises.exchange.columns import guess_columns
from exercises.exchange.reading import read_csv, read_file
from exercises.exchange.rows import Settings, interpret

HERE = Position(-45.13, 170.10)


def read(text, near=HERE, epsg=None):
    return meant(read_csv(text), near, epsg)


def meant(sheet, near=HERE, epsg=None):
    settings = Settings(guess_columns(sheet.columns), epsg, accuracy_m=3.0, method="receiver")
    return interpret(sheet, settings, [], near)


def test_which_of_two_readings_was_taken_is_said_in_the_row():
    (row,) = read("code;place\nA;30S 500000 4000000", Position(36.14, -3.0))

    assert row.action == "new"
    assert row.remarks == (
        "This lies near the site; it could also be read as 54.14810° S, 3.00000° W.",
    )


def test_without_a_site_near_either_reading_the_row_is_refused():
    (row,) = read("code;place\nA;30S 500000 4000000")

    assert (row.action, row.position if row.place else None) == ("refused", None)
    assert "can be read as" in row.problem


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ("170.10100, -45.13000", "The longitude was read first"),
        ("45.13000 S, 170.10100 E, 412 m", "412 m was read as its height."),
        ("-45.13000, 170.10100 ± 2 m", "± 2 m was read as its accuracy."),
        ("The gate https://m.example.org/@-45.13000,170.10100,17z", "Passed over: “The gate”."),
    ],
)
def test_what_was_decided_is_said_in_the_row(place, said):
    (row,) = read(f"code;place\nA;{place}")

    assert apart_m(row.position, Position(-45.13, 170.101)) < 0.01
    assert row.remarks[0].startswith(said)


def test_a_height_that_stands_in_the_place_is_the_height_of_the_point():
    (row,) = read("code;place\nA;45.13000 S, 170.10100 E, 412 m")

    assert row.elevation_m == 412.0


def test_two_heights_of_one_row_are_refused():
    (row,) = read("code;place;ele\nA;45.13000 S, 170.10100 E, 412 m;400")

    assert row.problem.startswith("The place says 412 m of height, the column of heights 400 m.")


def test_two_columns_that_name_two_places_are_refused():
    (row,) = read("code;place;lat;lon\nA;45.13000 S 170.10100 E;-45.14000;170.10100")

    assert row.problem.startswith("The columns of this row name two places, 1111 m apart.")


def test_two_columns_that_name_one_place_are_understood():
    (row,) = read("code;place;lat;lon\nA;59G 429304 5002215;-45.13000;170.10098")

    assert row.action == "new"


def test_an_old_datum_that_cannot_be_turned_is_refused_row_by_row():
    # Taken as it stands, TWD67 lies some 850 m off.
    (row,) = read("code,x,y\nA,250000,2650000", Position(23.95, 121.0), epsg=3828)

    assert row.action == "refused"
    assert "EPSG 3828 (TWD67 / TM2 zone 121) is on the datum Taiwan Datum 1967." in row.problem


def test_a_datum_without_a_stated_accuracy_says_so_and_counts_in_the_uncertainty():
    (row,) = read("code,x,y\nA,116.40000,39.90000", Position(39.9, 116.4), epsg=4490)

    assert row.accuracy_m == 5.0  # 3 m of the point, 4 m assumed: root sum of squares
    assert row.remarks == (
        "Taken for WGS 84 as it stands: China Geodetic Coordinate System 2000. How well the two "
        "agree is not stated; 4 m is assumed.",
    )


def test_places_may_be_pasted_as_receivers_show_them():
    rows = read("MGRS 59G ML 29226 02214\nzone 59G, 429326 5002214\nHuso 59G X=429426 Y=5002214")

    assert [row.action for row in rows] == ["new"] * 3
    assert apart_m(rows[0].position, rows[2].position) == pytest.approx(200.0, abs=1.5)


@pytest.mark.parametrize(("numbers", "height_m"), [("", None), (",412", 412.0), (",412,", 412.0)])
def test_a_placemark_has_a_height_or_none(numbers, height_m):
    (row,) = meant(read_file("p.kml", placemark(numbers)))

    assert (row.action, row.elevation_m) == ("new", height_m)


def test_a_number_after_the_height_of_a_placemark_is_not_dropped():
    (row,) = meant(read_file("p.kml", placemark(",412,7")))

    assert row.problem.startswith("“412 7” is not a number.")


def placemark(numbers):
    point = f"<Point><coordinates>170.10000,-45.13000{numbers}</coordinates></Point>"
    return f"<kml><Placemark><name>A</name>{point}</Placemark></kml>".encode()
