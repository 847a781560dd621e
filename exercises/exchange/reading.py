"""Files of points as tables of text: CSV, XLSX, GPX waypoints, GeoJSON, KML, and pasted text.

Nothing here is believed: sizes are bounded before anything is unpacked, entities are refused,
formulas are refused, and every complaint says what to do.
"""

import csv
import io
import itertools
import json
import re
import zipfile
from dataclasses import asdict, dataclass
from xml.etree.ElementTree import ParseError

import openpyxl
from defusedxml import ElementTree
from defusedxml.common import DefusedXmlException

from ..domain.words import Words, say

LARGEST_FILE = 2_000_000  # bytes
MOST_ROWS = 500  # a site has dozens of points; more is another file
MOST_ANSWERS = 5000  # rows of a table of answers
MOST_COLUMNS = 40
LONGEST_CELL = 500
LARGEST_UNPACKED = 20_000_000  # bytes of an XLSX's parts together
MOST_PARTS = 200
DELIMITERS = ",;\t|"
MOST_TEXT = 300_000  # characters of a table's cells together: it travels with the page
FORMULA = re.compile(
    r"^\s*=|^\s*[@+-]\s*\w+\s*[(|!]"
)  # what a spreadsheet runs; “- left of the gate” is a text
UNPRINTABLE = re.compile("[\x00-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
BEGINS_A_PLACE = re.compile(r"\s*[NSEWO]?\s*[-+]?\d", re.IGNORECASE)  # no name of a column does
LINK = re.compile(r"geo:|https?:", re.IGNORECASE)
CODE_ALONE = re.compile(r"[A-Z0-9]{1,4}")
ARMED = re.compile(r"^'(?=[=+\-@])")  # what `tables.disarmed` put before a text


class BadFile(ValueError):
    """A file that cannot be used. The message says what is wrong, where, and what to do; nothing of
    it is taken in.
    """


@dataclass(frozen=True)
class Sheet:
    """A table of text: the format it came in, its columns' names, and its rows with the line that
    each stands in.
    """

    format: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    note: Words | str = ""

    def to_plain(self):
        """As lists, for JSON."""
        return {**asdict(self), "note": ""}

    @classmethod
    def from_plain(cls, plain):
        """The sheet that `to_plain` was given. Raises BadFile for anything else."""
        try:
            lines, rows = (
                [int(line) for line in plain["lines"]],
                [[str(cell) for cell in row] for row in plain["rows"]],
            )
            return _sheet(
                str(plain["format"]),
                [str(name) for name in plain["columns"]],
                zip(lines, rows, strict=True),
            )
        except (KeyError, TypeError, ValueError, OverflowError) as error:
            raise BadFile(
                say("The table that came with the page cannot be read. Choose the file once more.")
            ) from error


def read_file(name, data, most_rows=MOST_ROWS):
    """A file as a `Sheet`, by what is in it; its name is for the message. Raises BadFile, also for
    more than `most_rows` (CSV and XLSX; other formats hold points).
    """
    if len(data) > LARGEST_FILE:
        raise BadFile(
            say(
                "The file has {size:.1f} MB; up to {most:.0f} MB are read. Save the points alone.",
                size=len(data) / 1e6,
                most=LARGEST_FILE / 1e6,
            )
        )
    if not data.strip():
        raise BadFile(say("The file is empty."))
    if data[:5] == b"%PDF-" or data[:4] in (
        b"\x89PNG",
        b"\xff\xd8\xff\xe0",
        b"\xff\xd8\xff\xe1",
        b"\xd0\xcf\x11\xe0",
    ):
        raise BadFile(
            say(
                "“{name}” holds no table of points. Choose a CSV, XLSX, GPX, GeoJSON or KML file.",
                name=name[:60],
            )
        )
    if data[:2] == b"PK":
        return _xlsx(data, most_rows)
    text = _text(data)
    begin = text.lstrip()[:200].lower()
    if begin.startswith("<"):
        return _xml(text)
    if begin.startswith(("{", "[")):
        return _geojson(text)
    return read_csv(text, most_rows)


def _text(data):
    marks = {b"\xef\xbb\xbf": "utf-8-sig", b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}
    encoding = next(
        (encoding for mark, encoding in marks.items() if data.startswith(mark)), "utf-8"
    )
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        raise BadFile(
            say(
                "The file is not UTF-8 text (byte {byte}). Save it as “CSV UTF-8”, or as XLSX.",
                byte=error.start + 1,
            )
        ) from error
    if "\x00" in text:
        raise BadFile(say("The file is not text. Choose a CSV, XLSX, GPX, GeoJSON or KML file."))
    return text


def _sheet(kind, columns, numbered_rows, note="", most_rows=MOST_ROWS):
    """A sheet after the checks that all formats share. Rows are (line, cells); empty ones are left
    out.
    """
    columns = [
        UNPRINTABLE.sub(" ", str(name))[:LONGEST_CELL].strip() or f"({place})"
        for place, name in enumerate(columns, start=1)
    ]
    if len(columns) > MOST_COLUMNS:
        raise BadFile(
            say(
                "The table has {number} columns; up to {most} are read.",
                number=len(columns),
                most=MOST_COLUMNS,
            )
        )
    repeated = next((name for name in columns if columns.count(name) > 1), None)
    if repeated:
        raise BadFile(
            say("Two columns are called “{name}”. Give each a name of its own.", name=repeated[:40])
        )
    rows, lines = [], []
    for line, cells in numbered_rows:
        if not any(cell.strip() for cell in cells):
            continue
        if len(rows) == most_rows:
            raise BadFile(
                say(
                    "The file has more than {most} points. Take in those of this site alone.",
                    most=most_rows,
                )
                if most_rows == MOST_ROWS
                else say("The file has more than {most} rows.", most=most_rows)
            )
        if len(cells) != len(columns):
            raise BadFile(
                say(
                    "Line {line} has {number} cells where the first line has {columns}. Put a "
                    "text with a separator in it in quotes.",
                    line=line,
                    number=len(cells),
                    columns=len(columns),
                )
            )
        for name, cell in zip(columns, cells, strict=True):
            if len(cell) > LONGEST_CELL:
                raise BadFile(
                    say(
                        "Line {line}, {column}: the text is longer than {most} characters.",
                        line=line,
                        column=name[:40],
                        most=LONGEST_CELL,
                    )
                )
            if kind in ("csv", "pasted") and FORMULA.match(cell):
                raise BadFile(
                    say(
                        "Line {line}, {column}: “{cell}” is a formula. Copy the column and paste "
                        "its values, then save again.",
                        line=line,
                        column=name[:40],
                        cell=cell[:30],
                    )
                )
        rows.append(tuple(ARMED.sub("", UNPRINTABLE.sub(" ", cell).strip()) for cell in cells))
        lines.append(line)
    if not rows:
        raise BadFile(say("There are no points in it."))
    if sum(len(cell) for row in rows for cell in row) > MOST_TEXT:
        raise BadFile(
            say(
                "The table holds more than {most} characters. Take out the columns that are not "
                "needed.",
                most=MOST_TEXT,
            )
        )
    return Sheet(kind, tuple(columns), tuple(rows), tuple(lines), note)


def read_csv(text, most_rows=MOST_ROWS):
    """A CSV text with comma, semicolon, tab or bar between its cells; or pasted text with a place
    in each line. Raises BadFile.
    """
    text = re.sub(r"\r\n?", "\n", text.lstrip("\ufeff"))
    lines = [line for line in text.split("\n") if line.strip()]
    if not lines:
        raise BadFile(say("There is nothing in it."))
    delimiter = _delimiter(lines)
    if (
        delimiter is None
        or LINK.search(lines[0])
        or (len(lines) == 1 and re.search(r"\d", lines[0]))
        or any(BEGINS_A_PLACE.match(cell) for cell in lines[0].split(delimiter))
    ):
        return _pasted(text)
    reader = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
    try:
        header = next((row for row in reader if any(cell.strip() for cell in row)), [])
        return _sheet(
            "csv", header, ((reader.line_num, row) for row in reader), most_rows=most_rows
        )
    except csv.Error as error:
        raise BadFile(
            say(
                "Line {line}: this is not CSV ({reason}). Save it again as “CSV UTF-8”.",
                line=reader.line_num,
                reason=str(error),
            )
        ) from error


def _delimiter(lines):
    """The separator that stands equally often in the first lines, the most often first; None where
    none does.
    """
    found = [
        (lines[0].count(mark), mark)
        for mark in DELIMITERS
        if lines[0].count(mark)
        and all(line.count(mark) >= lines[0].count(mark) or '"' in line for line in lines[1:4])
    ]
    return max(found, default=(0, None))[1]


def _pasted(text):
    """A place in each line, with a name before a colon or a tab, if there is one: `Gate: 45.13020
    S, 170.10030 E`. Each cell as it was typed.
    """
    rows = []
    for number, line in enumerate(text.split("\n"), start=1):
        found = re.match(r"\s*([^\d:=\t]{1,80}?)\s*[:=\t]\s*(?=\S)(?!//)(.*)", line)
        name, place = (
            (found[1], found[2])
            if found
            and found[1].strip().lower() not in ("geo", "http", "https", "lat", "latitude", "utm")
            else ("", line.strip())
        )
        rows.append((number, [name, place]))
    return _sheet("pasted", ["name", "place"], rows)


def _xlsx(data, most_rows):
    """The first sheet of a workbook. Its parts are measured before one is unpacked, and counted
    again while they are.
    """
    archive = _unbroken(lambda: zipfile.ZipFile(io.BytesIO(data)))
    parts = archive.infolist()
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > LARGEST_UNPACKED:
        raise BadFile(
            say(
                "The workbook unpacks to more than {most:.0f} MB. Save the points alone in a new "
                "one.",
                most=LARGEST_UNPACKED / 1e6,
            )
        )
    if "[Content_Types].xml" not in archive.namelist():
        raise BadFile(
            say("This is a zip file, but no XLSX workbook. Unpack it and choose the file inside.")
        )
    return _book(
        _unbroken(
            lambda: openpyxl.load_workbook(
                io.BytesIO(data), read_only=True, data_only=False, keep_links=False
            )
        ),
        most_rows,
    )


def _unbroken(read):
    """What a library reads of a workbook. Of a broken or hostile one it may raise anything, so this
    holds its calls alone and none of ours.
    """
    try:
        return read()
    except Exception as error:
        raise BadFile(
            say(
                "The workbook cannot be read. Open it in a spreadsheet program and save it again "
                "as XLSX, or as CSV."
            )
        ) from error


def _lines_of(sheet):
    """(line, cells) of a worksheet, one by one as they are read."""
    lines = iter(_unbroken(lambda: sheet.iter_rows(max_col=MOST_COLUMNS + 1)))
    for line in itertools.count(1):
        cells = _unbroken(lambda: next(lines, None))
        if cells is None:
            return
        yield line, cells


def _book(book, most_rows):
    sheet = _unbroken(lambda: book.worksheets[0])
    _unbroken(sheet.reset_dimensions)  # what the file says of its own size is not believed
    rows, header = [], None
    for line, cells in _lines_of(sheet):
        for cell in cells:
            if cell.data_type == "f":
                raise BadFile(
                    say(
                        "Cell {cell} holds a formula. Copy the column and paste its values, then "
                        "save again.",
                        cell=cell.coordinate,
                    )
                )
        values = ["" if cell.value is None else _cell(cell.value) for cell in cells]
        if not any(value.strip() for value in values):
            if line > most_rows * 20:
                break
            continue
        if header is None:
            while values and not values[-1].strip():
                values.pop()
            header = values
            continue
        if any(value.strip() for value in values[len(header) :]):
            raise BadFile(
                say(
                    "Line {line} has {number} cells where the first line has {columns}. Put a "
                    "text with a separator in it in quotes.",
                    line=line,
                    number=len(values),
                    columns=len(header),
                )
            )
        rows.append((line, [*values, *[""] * len(header)][: len(header)]))
        if len(rows) > most_rows:
            break
    note = (
        say(
            "Only the first of {number} sheets is read: “{name}”.",
            number=len(book.worksheets),
            name=sheet.title,
        )
        if len(book.worksheets) > 1
        else ""
    )
    return _sheet("xlsx", header or [], rows, note, most_rows)


def _cell(value):
    """A value as it would be typed: numbers with as many digits as they have."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def _xml(text):
    """GPX or KML. Entities and document types are refused: no file of points needs them."""
    try:
        root = ElementTree.fromstring(re.sub(r"^\s*<\?xml[^>]*\?>", "", text), forbid_dtd=True)
    except DefusedXmlException as error:
        raise BadFile(
            say(
                "The file declares entities or a document type, which a file of points never "
                "needs: it is refused. Export it again."
            )
        ) from error
    except (ParseError, ValueError) as error:
        raise BadFile(
            say("The file is not complete XML ({reason}). Export it again.", reason=str(error)[:80])
        ) from error
    name = _local(root.tag)
    if name == "gpx":
        return _gpx(root)
    if name == "kml":
        return _kml(root)
    raise BadFile(say("This XML is neither GPX nor KML (it begins with “{name}”).", name=name[:30]))


def _local(tag):
    return tag.rpartition("}")[2].lower()


def _child(element, *names):
    """The text of the first child of one of these names, whatever its namespace."""
    for name in names:
        for child in element:
            if _local(child.tag) == name and child.text:
                return child.text.strip()
    return ""


def _gpx(root):
    """Waypoints: latitude, longitude, ele, name, desc. GPX 1.1, topografix.com/GPX/1/1. What a
    receiver states of a fix's quality is not an accuracy, and is left.
    """
    rows = [
        (
            number,
            [
                _child(point, "name"),
                point.get("lat", ""),
                point.get("lon", ""),
                _child(point, "ele"),
                _child(point, "desc"),
                code if CODE_ALONE.fullmatch(code := _child(point, "cmt")) else "",
            ],
        )
        for number, point in enumerate(
            (element for element in root if _local(element.tag) == "wpt"), start=1
        )
    ]
    others = sum(_local(element.tag) in ("trk", "rte") for element in root)
    if not rows:
        raise BadFile(
            say(
                "There are no waypoints in the file ({others} tracks and routes, which are not "
                "read).",
                others=others,
            )
        )
    return _sheet(
        "gpx",
        ["name", "latitude", "longitude", "elevation_m", "description", "code"],
        rows,
        say("Tracks and routes are left out.") if others else "",
    )


def _kml(root):
    """Placemarks that are points: `coordinates` are longitude, latitude, height. OGC 12-007r2."""
    rows, others = [], 0
    for placemark in (element for element in root.iter() if _local(element.tag) == "placemark"):
        point = next((child for child in placemark if _local(child.tag) == "point"), None)
        if point is None:
            others += 1
            continue
        parts = [part.strip() for part in _child(point, "coordinates").split(",")]
        extra = {
            data.get("name", ""): _child(data, "value")
            for data in placemark.iter()
            if _local(data.tag) == "data"
        }
        rows.append(
            (
                len(rows) + 1,
                [
                    _child(placemark, "name"),
                    *_lat_lon_height(parts),
                    _child(placemark, "description"),
                    extra,
                ],
            )
        )
    if not rows:
        raise BadFile(
            say(
                "There are no placemarks of single points in the file ({others} of other kinds).",
                others=others,
            )
        )
    return _with_properties(
        "kml", rows, say("Placemarks that are no points are left out.") if others else ""
    )


def _geojson(text):
    """Features that are points: longitude, latitude, height in WGS 84. RFC 7946."""
    try:
        data = json.loads(text, parse_int=str, parse_float=str, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise BadFile(say("The file is not complete JSON. Export it again.")) from error
    features = data.get("features") if isinstance(data, dict) else None
    if not isinstance(features, list):
        raise BadFile(say("This JSON is no GeoJSON collection of features."))
    if (
        "crs" in data
        and "CRS84" not in json.dumps(data["crs"])
        and "4326" not in json.dumps(data["crs"])
    ):
        raise BadFile(
            say(
                "The file names a coordinate system of its own, which GeoJSON no longer allows. "
                "Export it in WGS 84, or as CSV with its EPSG code."
            )
        )
    rows, others = [], 0
    for feature in features:
        geometry = feature.get("geometry") if isinstance(feature, dict) else None
        if (
            not isinstance(geometry, dict)
            or geometry.get("type") != "Point"
            or not isinstance(geometry.get("coordinates"), list)
        ):
            others += 1
            continue
        numbers = [str(number) for number in geometry["coordinates"]]
        properties = (
            feature.get("properties") if isinstance(feature.get("properties"), dict) else {}
        )
        properties = {str(key): _text_of(value) for key, value in properties.items()}
        rows.append(
            (
                len(rows) + 1,
                [
                    properties.pop("name", ""),
                    *_lat_lon_height(numbers),
                    properties.pop("description", ""),
                    properties,
                ],
            )
        )
    if not rows:
        raise BadFile(
            say("There are no single points in the file ({others} of other kinds).", others=others)
        )
    return _with_properties(
        "geojson", rows, say("Features that are no points are left out.") if others else ""
    )


def _lat_lon_height(numbers):
    """KML and GeoJSON put the longitude first, and leave out a height that they do not know."""
    longitude, latitude, height, *_ = [*numbers, "", "", ""]
    return latitude, longitude, height


def _no_constant(text):
    raise ValueError(text)


def _text_of(value):
    return (
        ""
        if value is None
        else "yes"
        if value is True
        else "no"
        if value is False
        else " ".join(map(str, value))
        if isinstance(value, list)
        else str(value)
    )


def _with_properties(kind, rows, note):
    """Rows whose last cell holds further properties by name, with a column for each."""
    names = list(
        dict.fromkeys(
            name
            for _, cells in rows[:MOST_ROWS]
            for name in cells[-1]
            if name and name not in ("name", "latitude", "longitude", "elevation_m", "description")
        )
    )
    return _sheet(
        kind,
        ["name", "latitude", "longitude", "elevation_m", "description", *names[:MOST_COLUMNS]],
        (
            (line, [*cells[:-1], *(cells[-1].get(name, "") for name in names[:MOST_COLUMNS])])
            for line, cells in rows
        ),
        note,
    )
