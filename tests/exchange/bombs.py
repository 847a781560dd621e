"""Files that are small to send and large to read: one for each trick."""

import io
import itertools
import zipfile

import openpyxl

TWO_MB = 1_990_000  # just below `reading.LARGEST_FILE`
GPX = '<gpx xmlns="http://www.topografix.com/GPX/1/1">{}</gpx>'
KML = '<kml xmlns="http://www.opengis.net/kml/2.2">{}</kml>'
FEATURES = '{{"type":"FeatureCollection","features":[{}]}}'
OPEN_FEATURES = '{"type":"FeatureCollection","features":[{}0]}'
POINT = '{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":%s}'
SHEET = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{}'
    "</sheetData></worksheet>"
)


def _workbook(**replaced):
    """An XLSX workbook of one point, with some of its parts (their names without folder and ending)
    replaced by other text.
    """
    book, plain, bomb = openpyxl.Workbook(), io.BytesIO(), io.BytesIO()
    book.active.append(["name", "lat", "lon"])
    book.active.append(["Gate", -45.1, 170.1])
    book.save(plain)
    with (
        zipfile.ZipFile(plain) as source,
        zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as target,
    ):
        for part in source.namelist():
            name = part.rpartition("/")[2].partition(".")[0]
            target.writestr(part, replaced.get(name) or source.read(part))
    return bomb.getvalue()


def workbook_of(rows, columns):
    """An XLSX workbook with short texts in all cells."""
    book, file = openpyxl.Workbook(), io.BytesIO()
    book.active.append([f"column {number}" for number in range(columns)])
    for number in range(rows):
        book.active.append([f"{number}"] * columns)
    book.save(file)
    return file.getvalue()


def _rows(row, times):
    return SHEET.format(row * times)


def _filled(text, around="{}"):
    """A text repeated within another up to the largest file that is looked at."""
    return around.replace("{}", text * ((TWO_MB - len(around)) // len(text))).encode()


def _nested(begin, end, depth, around, inner=""):
    return around.replace("{}", begin * depth + inner + end * depth).encode()


def _styles():
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return f'<styleSheet xmlns="{main}"><cellXfs>{"<xf/>" * 3_000_000}</cellXfs></styleSheet>'


def _names():
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    name = "<definedName name='a'>A1</definedName>"
    return f'<workbook xmlns="{main}"><definedNames>{name * 200_000}</definedNames></workbook>'


def _lying_about_its_size():
    data = bytearray(_workbook(sheet1=_rows("<row><c><v>1</v></c></row>", 800_000)))
    with zipfile.ZipFile(io.BytesIO(bytes(data))) as archive:
        size = archive.getinfo("xl/worksheets/sheet1.xml").file_size
    return bytes(data.replace(size.to_bytes(4, "little"), (1000).to_bytes(4, "little")))


BOMBS = {
    "a workbook of 20 MB of cells": lambda: _workbook(
        sheet1=_rows("<row>" + "<c/>" * 40 + "</row>", 110_000)
    ),
    "a workbook of cells under another prefix": lambda: _workbook(
        sheet1=_rows("<row><c/></row>", 700_000)
        .replace("<", "<x:")
        .replace("<x:/", "</x:")
        .replace("xmlns=", "xmlns:x=")
    ),
    "a workbook of one wide row": lambda: _workbook(
        sheet1=_rows("<row>" + "<c><v>1</v></c>" * 1_200_000 + "</row>", 1)
    ),
    "a workbook of empty rows": lambda: _workbook(sheet1=_rows("<row/>", 3_000_000)),
    "a workbook of a million styles": lambda: _workbook(styles=_styles()),
    "a workbook of many names": lambda: _workbook(workbook=_names()),
    "a workbook that lies about its size": _lying_about_its_size,
    "a workbook that unpacks to 100 MB": lambda: _workbook(sheet1=" " * 100_000_000),
    "a CSV of a million columns": lambda: _filled(","),
    "a CSV of a million named columns": lambda: _filled("lat,"),
    "a CSV of one wide row": lambda: _filled(",", "name,lat,lon\n{}"),
    "a CSV of quotes": lambda: _filled('"', "name,lat,lon\n{}"),
    "a CSV of half a million short lines": lambda: _filled("a\n", "name,lat,lon\n{}"),
    "lines of brackets": lambda: _filled("([", "name,lat,{}\n"),
    "places in half a million lines": lambda: _filled("1\n"),
    "a points file of many rows": lambda: _filled("1,5002214,429226\n"),
    "a points file of one wide row": lambda: _filled(",9", "1,5002214,429226{}"),
    "a long number": lambda: _filled("9"),
    "a long number in a points file": lambda: _filled("9", "1,{},429226\n"),
    "a GPX of deep elements": lambda: _nested("<a>", "</a>", 70_000, GPX),
    "a GPX of a million empty elements": lambda: _filled("<a/>", GPX),
    "a GPX of many waypoints": lambda: _filled("<wpt/>", GPX),
    "a GPX of one waypoint of many names": lambda: _filled("<a/>", GPX.format("<wpt>{}</wpt>")),
    "a GPX of many attributes": lambda: GPX.format(
        "<wpt " + " ".join(f"a{number}='1'" for number in range(150_000)) + "/>"
    ).encode(),
    "a KML of placemarks within placemarks": lambda: _nested(
        "<Placemark><Point/>", "</Placemark>", 45_000, KML
    ),
    "a KML of many placemarks": lambda: _filled("<Placemark><Point/></Placemark>", KML),
    "a KML of entities": lambda: (
        b'<!DOCTYPE kml [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]><kml>&b;</kml>'
    ),
    "a KML of an entity from elsewhere": lambda: (
        b'<!DOCTYPE kml [<!ENTITY a SYSTEM "file:///etc/hostname">]><kml>&a;</kml>'
    ),
    "a KML in many namespaces": lambda: KML.format(
        "".join(f"<a xmlns='u:{number}'/>" for number in range(70_000))
    ).encode(),
    "GeoJSON of deep lists": lambda: _nested("[", "]", 900_000, OPEN_FEATURES),
    "GeoJSON of lists as deep as are read": lambda: FEATURES.format(
        POINT % ('{"a":' + "[" * 480 + "]" * 480 + "}")
    ).encode(),
    "GeoJSON of a system of deep lists": lambda: _nested("[", "]", 980, '{"features":[],"crs":{}}'),
    "GeoJSON of many features": lambda: _filled("0,", OPEN_FEATURES),
    "GeoJSON of many points": lambda: _filled((POINT % "{}") + ",", OPEN_FEATURES),
    "GeoJSON of many properties": lambda: FEATURES.format(
        POINT % ("{" + ",".join(f'"a{number}":1' for number in range(150_000)) + "}")
    ).encode(),
    "GeoJSON of a long number": lambda: (
        FEATURES.format(POINT % "{}").replace("[1,2]", "[" + "9" * 1_900_000 + ",2]").encode()
    ),
}
READABLE = {
    "a CSV of a million empty lines": lambda: _filled("\n", "name,lat,lon\n{}a,1,2"),
    "GeoJSON of a name given many times": lambda: FEATURES.format(
        POINT % ("{" + ",".join(itertools.repeat('"a":1', 300_000)) + "}")
    ).encode(),
}
