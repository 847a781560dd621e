"""Files of points as tables of text: CSV, XLSX, GPX waypoints, GeoJSON, KML, and pasted text.

Nothing here is believed: sizes are bounded before anything is unpacked, entities are refused,
formulas are refused, and every complaint says what to do.
"""

from ..domain.words import say
from .delimited import read_csv
from .geojson import read_geojson
from .markup import read_xml
from .sheet import MOST_ROWS, BadFile
from .workbook import read_xlsx

LARGEST_FILE = 2_000_000  # bytes
MOST_ANSWERS = 5000  # rows of a table of answers
BYTE_ORDER_MARKS = {b"\xef\xbb\xbf": "utf-8-sig", b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}
NO_TABLES = (  # PDF, PNG, two of JPEG, and what Office wrote before XLSX
    b"%PDF-",
    b"\x89PNG",
    b"\xff\xd8\xff\xe0",
    b"\xff\xd8\xff\xe1",
    b"\xd0\xcf\x11\xe0",
)


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
    if data.startswith(NO_TABLES):
        raise BadFile(
            say(
                "“{name}” holds no table of points. Choose a CSV, XLSX, GPX, GeoJSON or KML file.",
                name=name[:60],
            )
        )
    if data[:2] == b"PK":
        return read_xlsx(data, most_rows)
    text = _text(data)
    begin = text.lstrip()[:200].lower()
    if begin.startswith("<"):
        return read_xml(text)
    if begin.startswith(("{", "[")):
        return read_geojson(text)
    return read_csv(text, most_rows)


def _text(data):
    encoding = next(
        (encoding for mark, encoding in BYTE_ORDER_MARKS.items() if data.startswith(mark)), "utf-8"
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
