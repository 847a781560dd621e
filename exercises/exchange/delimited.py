"""Tables as text: CSV, and places pasted one in each line."""

import csv
import io
import itertools
import re
from dataclasses import replace

from ..domain.earth.coordinates import is_place
from ..domain.words import say
from .columns import guess_columns, has_position
from .headerless import read_headerless
from .sheet import LONGEST_CELL, MOST_ROWS, BadFile, Sheet

DELIMITERS = ",;\t|"
BEGINS_A_PLACE = re.compile(  # no name of a column does
    r"\s*(?:(?:utm|mgrs|zone|zona|huso)\W+)?[NSEWO]?\s*[-+]?\d", re.IGNORECASE
)
LINK = re.compile(r"geo:|https?:", re.IGNORECASE)
# where a name may end: a comma between figures may be a decimal mark, `://` is of an address;
# blanks are gone over once (`*+`), from where they begin, else thousands of them take minutes
AFTER_A_NAME = re.compile(
    r"(?:(?:(?<!\s)\s++)?+(?:[:=]\s*+(?!//)|(?:(?<!\d)[,;]|[,;](?!\d))\s*+)"
    r"|(?<!\s)[^\S\t]*+\t\s*+(?!//))(?=\S)"
)
LONGEST_BEGINNING = 40  # characters of a cell that tell whether it begins a place
LONGEST_NAME, MOST_SEPARATORS = 80, 4
LIKE_AN_ANGLE = re.compile(r"[NSEWO]?\s*[-+]?\d[\d\s.,°'\"]*[NSEWO]?", re.IGNORECASE)
NUMBERED = re.compile(r"[NSEWO]?\d{1,3}", re.IGNORECASE)  # S3, though it looks like three degrees
WHOLE, DECIMALS = re.compile(r"\s*[-+]?\d{1,3}"), re.compile(r"\d+")  # of a number with a comma
MOST_DECIMAL_COMMAS = 4  # of a line, and three times as many places where one may be
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
        or any(map(_begins_a_place, lines[0].split(delimiter)))
        or is_place(name_and_place(lines[0].strip())[1])
    ):
        return _pasted(text)
    reader, uneven = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True), []
    try:
        header = next((row for row in reader if any(cell.strip() for cell in row)), [])
        rows = _evened(reader, len(header), delimiter, uneven)
        return replace(
            Sheet.checked("csv", header, rows, most_rows=most_rows), uneven=tuple(uneven)
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
    """The separator that stands in the first lines as often as in the line of names, or that parts
    names of which we know what they mean; the most frequent of several, None where there is none.
    """
    counts = [
        (lines[0].count(mark), mark)
        for mark in DELIMITERS
        if lines[0].count(mark)
        and (
            all(line.count(mark) >= lines[0].count(mark) or '"' in line for line in lines[1:4])
            or has_position(guess_columns(lines[0].split(mark)))
        )
    ]
    return max(counts, default=(0, None))[1]


def _evened(reader, columns, delimiter, uneven):
    """(line, cells) of a table, as many cells as there are columns. What had another number is
    noted in `uneven`, as (line, number of cells).
    """
    for cells in reader:
        if len(cells) == columns or not any(cell.strip() for cell in cells):
            yield reader.line_num, cells
        else:
            uneven.append((reader.line_num, len(cells)))
            yield reader.line_num, _squared(cells, columns, delimiter)


def _squared(cells, columns, delimiter):
    """The cells of a line that has too few or too many: filled up; with decimal commas joined that
    were taken for separators, where that can be done in one way; or the rest in the last one.
    """
    ways = list(_with_decimal_commas(cells, columns)) if delimiter == "," else []
    if len(ways) == 1:
        return ways[0]
    filled = [*cells, *[""] * (columns - len(cells))]
    return [*filled[: columns - 1], delimiter.join(filled[columns - 1 :])]


def _with_decimal_commas(cells, columns):
    """The ways to join so many pairs of neighbouring cells as are too many, each pair to a number
    with a decimal comma.
    """
    places = [
        place
        for place, (first, second) in enumerate(itertools.pairwise(cells))
        if WHOLE.fullmatch(first) and DECIMALS.fullmatch(second)
    ]
    surplus = len(cells) - columns
    if not 0 < surplus <= MOST_DECIMAL_COMMAS or len(places) > 3 * MOST_DECIMAL_COMMAS:
        return
    for joined in itertools.combinations(places, surplus):
        if all(after - before > 1 for before, after in itertools.pairwise(joined)):
            yield [
                f"{cell},{cells[place + 1]}" if place in joined else cell
                for place, cell in enumerate(cells)
                if place - 1 not in joined
            ]


def _begins_a_place(cell):
    return BEGINS_A_PLACE.match(cell.lstrip()[:LONGEST_BEGINNING])


def _pasted(text):
    """A place in each line, with a name before it, if there is one: `Gate 4: 45.13020 S, 170.10030
    E`. Each cell as it was typed.
    """
    numbered = enumerate(text.split("\n"), start=1)
    rows = ((number, name_and_place(line.strip())) for number, line in numbered)
    return Sheet.checked("pasted", ["name", "place"], rows)


def name_and_place(line):
    """The name and the place in a line: a whole line that is a place has no name, and a name ends
    where a place follows. Where no place can be read, the name ends at the first sign that is
    rather no part of a coordinate.
    """
    if len(line) > LONGEST_NAME + LONGEST_CELL or is_place(line):
        return "", line  # what is longer than both is refused for its length
    ends = [
        (line[: end.start()], line[end.end() :], end[0])
        for end in itertools.islice(AFTER_A_NAME.finditer(line), MOST_SEPARATORS)
        if _is_name(line[: end.start()], end[0])
    ]
    for name, place, _ in ends:
        if is_place(place):
            return name, place
    for name, place, sign in ends:
        if sign.strip() not in (",", ";") and not NUMBERED.fullmatch(name):
            return name, place
    return "", line


def _is_name(text, sign):
    """Whether what stands before a sign may be a name. What looks like an angle is one only where
    it is short, and a space follows as it does behind a name: `S3: ` but not `45:07`.
    """
    if not 0 < len(text) <= LONGEST_NAME or re.match(r"\w*", text)[0].lower() in NO_NAMES:
        return False
    if not LIKE_AN_ANGLE.fullmatch(text):
        return True
    is_parted = sign.strip() not in (",", ";") and sign[-1].isspace()
    return is_parted and NUMBERED.fullmatch(text) is not None
