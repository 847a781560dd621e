"""Tables as text: CSV, and places pasted one in each line."""

import csv
import io
import re

from ..domain.words import say
from .headerless import read_headerless
from .sheet import MOST_ROWS, BadFile, Sheet

DELIMITERS = ",;\t|"
BEGINS_A_PLACE = re.compile(  # no name of a column does
    r"\s*(?:(?:utm|mgrs|zone|zona|huso)\W+)?[NSEWO]?\s*[-+]?\d", re.IGNORECASE
)
LINK = re.compile(r"geo:|https?:", re.IGNORECASE)
NAMED_PLACE = re.compile(r"\s*([^\d:=\t]{1,80}?)\s*[:=\t]\s*(?=\S)(?!//)(.*)")
NO_NAMES = {"geo", "http", "https", "lat", "latitude", "latitud", "utm", "mgrs"} | {
    "zone",
    "zona",
    "huso",
}


def read_csv(text, most_rows=MOST_ROWS):
    """A CSV text with comma, semicolon, tab or bar between its cells; a points file without a line
    of names; or pasted text with a place in each line. Raises BadFile.
    """
    text = re.sub(r"\r\n?", "\n", text.lstrip("\ufeff"))
    lines = [line for line in text.split("\n") if line.strip()]
    if not lines:
        raise BadFile(say("There is nothing in it."))
    if headerless := read_headerless(text, most_rows):
        return headerless
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
        return Sheet.checked(
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
    counts = [
        (lines[0].count(mark), mark)
        for mark in DELIMITERS
        if lines[0].count(mark)
        and all(line.count(mark) >= lines[0].count(mark) or '"' in line for line in lines[1:4])
    ]
    return max(counts, default=(0, None))[1]


def _pasted(text):
    """A place in each line, with a name before a colon or a tab, if there is one: `Gate: 45.13020
    S, 170.10030 E`. Each cell as it was typed.
    """
    rows = []
    for number, line in enumerate(text.split("\n"), start=1):
        named = NAMED_PLACE.match(line)
        if named and named[1].strip().lower() not in NO_NAMES:
            rows.append((number, [named[1], named[2]]))
        else:
            rows.append((number, ["", line.strip()]))
    return Sheet.checked("pasted", ["name", "place"], rows)
