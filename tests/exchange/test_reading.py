"""Files of points, friendly and hostile. Formats: GPX 1.1 (topografix), KML 2.2 (OGC 12-007r2),
GeoJSON (RFC 7946), GEO URI (RFC 5870).
"""

import io
import json
import time
import zipfile

import openpyxl
import pytest
from hypothesis import given, settings, strategies as st

from exercises.exchange.reading import read_csv, read_file
from exercises.exchange.sheet import MOST_ROWS, BadFile, Sheet

GPX = (
    '<?xml version="1.0" encoding="UTF-8"?><gpx xmlns="http://www.topografix.com/GPX/1/1" '
    'version="1.1" creator="t">{}</gpx>'
)
KML = (
    '<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>{}</Document></kml>'
)


def xlsx(*rows, sheets=1):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    for number in range(1, sheets):
        book.create_sheet(f"other {number}")
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def refused(data, name="points"):
    with pytest.raises(BadFile) as error:
        read_file(name, data if isinstance(data, bytes) else data.encode()).even()
    return str(error.value)


@pytest.mark.parametrize(
    "text",
    [
        "code,lat,lon\nA,-45.13,170.1\n",
        "code;lat;lon\nA;-45.13;170.1\n",
        "code\tlat\tlon\nA\t-45.13\t170.1",
        "code|lat|lon\nA|-45.13|170.1",
        "\ufeffcode,lat,lon\r\nA,-45.13,170.1\r\n\r\n",
    ],
)
def test_csv_is_read_whatever_parts_its_cells(text):
    sheet = read_file("points.csv", text.encode())

    assert (sheet.format, sheet.columns, sheet.rows, sheet.lines) == (
        "csv",
        ("code", "lat", "lon"),
        (("A", "-45.13", "170.1"),),
        (2,),
    )


def test_a_byte_order_mark_and_utf_16_are_understood():
    assert read_file("p.csv", "code,lat,lon\nÑ,1,2".encode("utf-16")).rows == (("Ñ", "1", "2"),)


def test_decimal_commas_between_semicolons_stay_in_their_cells():
    assert read_file("p.csv", b"code;lat;lon\nA;-45,13;170,1").rows == (("A", "-45,13", "170,1"),)


def test_pasted_places_may_have_a_name_before_them():
    sheet = read_csv(
        "Gate: 45.13 S, 170.1 E\n"
        "Post\t59GML2922602214\n"
        "geo:-45.1,170.1\n"
        "https://m.example/?q=-45.130,170.100\n"
        "\n"
        "-45.1, 170.1"
    )

    assert sheet.rows == (
        ("Gate", "45.13 S, 170.1 E"),
        ("Post", "59GML2922602214"),
        ("", "geo:-45.1,170.1"),
        ("", "https://m.example/?q=-45.130,170.100"),
        ("", "-45.1, 170.1"),
    )
    assert sheet.lines == (1, 2, 3, 4, 6)


def test_a_workbook_is_read_with_its_lines_and_all_digits():
    sheet = read_file(
        "p.xlsx",
        xlsx(
            ["code", "lat", "lon", "ok"],
            ["A", -45.1302000001, 170, True],
            [None, None, None, None],
            ["B", "45°07.8'S", 170.25, False],
        ),
    )

    assert sheet.rows == (("A", "-45.1302000001", "170", "yes"), ("B", "45°07.8'S", "170.25", "no"))
    assert sheet.lines == (2, 4)


def test_only_the_first_sheet_is_read_and_that_is_said():
    assert (
        "first of 3 sheets"
        in read_file("p.xlsx", xlsx(["code", "lat", "lon"], ["A", 1, 2], sheets=3)).note
    )


def test_waypoints_are_read_and_tracks_are_not():
    sheet = read_file(
        "p.gpx",
        GPX.format(
            '<wpt lat="-45.13" lon="170.1"><ele>412.5</ele><name>A '
            'Gate</name><desc>peg</desc></wpt><trk><trkseg><trkpt lat="1" lon="2"/></trkseg></trk>'
        ).encode(),
    )

    assert sheet.rows == (("A Gate", "-45.13", "170.1", "412.5", "peg", ""),)
    assert sheet.note == "Tracks and routes are left out."


def test_placemarks_have_longitude_first():
    sheet = read_file(
        "p.kml",
        KML.format(
            "<Folder><Placemark><name>Gate</name><ExtendedData><Data "
            'name="code"><value>A</value></Data></ExtendedData><Point><coordinates> '
            "170.1,-45.13,400 </coordinates></Point></Placemark>"
            "<Placemark><name>Fence</name><LineString/></Placemark></Folder>"
        ).encode(),
    )

    assert sheet.columns == ("name", "latitude", "longitude", "elevation_m", "description", "code")
    assert sheet.rows == (("Gate", "-45.13", "170.1", "400", "", "A"),)
    assert sheet.note


def test_features_keep_the_digits_that_were_written():
    data = {
        "type": "FeatureCollection",
        "features": [
            {
                "type": "Feature",
                "geometry": {"type": "Point", "coordinates": [170.1, -45.13]},
                "properties": {"name": "Gate", "code": "A", "sees": ["T1", "T2"], "n": None},
            },
            {
                "type": "Feature",
                "geometry": {"type": "LineString", "coordinates": [[1, 2], [3, 4]]},
                "properties": {},
            },
        ],
    }
    sheet = read_file("p.geojson", json.dumps(data).replace("170.1", "170.1000000").encode())

    assert sheet.rows == (("Gate", "-45.13", "170.1000000", "", "", "A", "T1 T2", ""),)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        pytest.param(b"", "empty", id="nothing"),
        pytest.param(b" \n ", "empty", id="spaces"),
        pytest.param(b"code,lat\n\xff\xfe\x00", "not UTF-8", id="not text"),
        pytest.param(b"code,\x00lat\n1,2", "not text", id="zero bytes"),
        pytest.param(b"code,lat,lon\n", "no points", id="header alone"),
        pytest.param(b"code,lat,lat\nA,1,2", "Two columns are called", id="column twice"),
        pytest.param(b"code,lat,lon\nA,1,2,3", "Line 2 has 4 cells", id="cell too many"),
        pytest.param(b'code,lat,lon\n"A,1,2', "Line", id="open quote"),
        pytest.param(
            b'code,name,lat,lon\nA,=HYPERLINK("http://x"),1,2',
            "Line 2, name: “=HYPERLINK",
            id="formula in CSV",
        ),
        pytest.param(b"code,lat,lon\nA,@SUM(1),2", "is a formula", id="at sign"),
        pytest.param(
            b"code,name,lat,lon\n"
            + b"A,"
            + b"x" * 499
            + b",1,2\n" * 1
            + b"".join(b"B%d," % n + b"x" * 499 + b"," + b"y" * 499 + b",2\n" for n in range(400)),
            "characters",
            id="too much text",
        ),
        pytest.param(b"code,lat,lon\nA,-cmd|'/c calc'!A0,2", "is a formula", id="minus command"),
        pytest.param(b"code,lat,lon\nA,+SUM(A1),2", "is a formula", id="plus"),
        pytest.param(b"code,lat,lon\n" + b"A,1,2\n" * 501, "more than 500 points", id="501 rows"),
        pytest.param(
            b"code,lat,lon\n" + b"A,1,2\n" * 100_000, "more than 500 points", id="100,000 rows"
        ),
        pytest.param(
            b"code,lat,lon\n" + b"A,1.000000000001,2.000000000001\n" * 100_000,
            "up to 2 MB",
            id="3 MB",
        ),
        pytest.param(b"code,lat,lon\nA,1," + b"9" * 600, "longer than 500", id="long cell"),
        pytest.param(
            (",".join(f"c{n}" for n in range(60)) + "\n" + ",".join("1" * 60)).encode(),
            "60 columns",
            id="60 columns",
        ),
        pytest.param(b"{}", "no GeoJSON", id="no collection"),
        pytest.param(b'{"features": [}', "not complete JSON", id="broken JSON"),
        pytest.param(
            b'{"features": [{"geometry": {"type": "Point", "coordinates": [NaN, 1]}}]}',
            "not complete JSON",
            id="NaN",
        ),
        pytest.param(b"[" * 100_000, "not complete JSON", id="nested JSON"),
        pytest.param(
            b'{"features": [1, null, {"geometry": null}]}', "no single points", id="odd features"
        ),
        pytest.param(
            b'{"crs": {"name": "EPSG:2193"}, "features": []}',
            "coordinate system of its own",
            id="old crs",
        ),
        pytest.param(b"<html><body>x</body></html>", "neither GPX nor KML", id="a web page"),
        pytest.param(b"<gpx><wpt", "not complete XML", id="broken XML"),
        pytest.param(GPX.format("").encode(), "no waypoints", id="no waypoints"),
        pytest.param(
            KML.format("<Placemark><LineString/></Placemark>").encode(),
            "no placemarks",
            id="no placemarks",
        ),
        pytest.param(b"PK\x03\x04 nothing", "cannot be read", id="broken zip"),
    ],
)
def test_a_hostile_or_broken_file_is_refused_in_words(data, said):
    assert said in refused(data)


def test_an_entity_bomb_is_refused_unexpanded():
    bomb = (
        '<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY a "aaaaaaaaaa">'
        + "".join(f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9))
        + "]><gpx><wpt lat='1' lon='2'><name>&j;</name></wpt></gpx>"
    )
    begin = time.monotonic()

    assert "entities or a document type" in refused(bomb)
    assert time.monotonic() - begin < 5  # expanded it would be 10 GB


def test_an_external_entity_is_refused():
    assert "entities or a document type" in refused(
        '<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]><gpx><wpt lat="1" '
        'lon="2"><name>&e;</name></wpt></gpx>'
    )


def test_a_zip_bomb_is_refused_before_it_is_unpacked():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 30_000_000)

    assert "unpacks to more than 20 MB" in refused(stream.getvalue())


def test_a_zip_bomb_that_lies_of_its_size_is_refused():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/workbook.xml", b" " * 5_000_000)
    data = stream.getvalue().replace((5_000_000).to_bytes(4, "little"), (100).to_bytes(4, "little"))

    assert "cannot be read" in refused(data)


def test_a_zip_that_is_no_workbook_is_said_to_be_so():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("doc.kml", "<kml/>")

    assert "no XLSX workbook" in refused(stream.getvalue())


def test_a_formula_in_a_workbook_is_named_by_its_cell():
    assert "Cell B3 holds a formula" in refused(
        xlsx(["code", "lat", "lon"], ["A", 1, 2], ["B", "=1+1", 2])
    )


def test_a_workbook_of_100_000_rows_is_refused_without_reading_it_all():
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet()
    for _ in range(20_000):
        sheet.append(["A", 1, 2])
    stream = io.BytesIO()
    book.save(stream)

    assert "more than 500 points" in refused(stream.getvalue())


def test_an_armed_text_that_was_disarmed_comes_back():
    assert read_file("p.csv", b"code,name,lat,lon\nA,'=not a formula,1,2").rows == (
        ("A", "=not a formula", "1", "2"),
    )


def test_a_sheet_survives_the_way_through_a_page():
    sheet = read_file("p.csv", "code,name,lat,lon\nA,“x” <b>,1,2".encode())

    assert Sheet.from_plain(json.loads(json.dumps(sheet.to_plain()))) == sheet


@pytest.mark.parametrize(
    "plain",
    [
        {},
        {"format": "csv", "columns": ["a"], "rows": [["1", "2"]], "lines": [2]},
        {"format": "csv", "columns": ["a"], "rows": [["1"]], "lines": []},
        {"format": "csv", "columns": ["a"], "rows": [["1"]] * 501, "lines": [1] * 501},
        [],
        None,
    ],
)
def test_a_table_that_a_page_sends_back_is_not_believed(plain):
    with pytest.raises(BadFile, match="Choose the file once more"):
        Sheet.from_plain(plain)


@settings(max_examples=300)
@given(st.binary(max_size=400))
def test_any_bytes_are_a_sheet_or_refused(data):
    try:
        sheet = read_file("x", data)
    except BadFile:
        return
    assert 0 < len(sheet.rows) <= MOST_ROWS
