"""The first sheet of an XLSX workbook. The only importer of openpyxl."""

import io
import itertools
import re
import zipfile

import openpyxl

from ..domain.words import say
from .sheet import MOST_COLUMNS, BadFile, Sheet, uneven

LARGEST_UNPACKED = 20_000_000  # bytes of an XLSX's parts together
MOST_PARTS = 200
# A cell with a text in it has up to six tags (it, its text, what is around, all closed again): so
# 100,000 cells, a table of 5,000 answers with 20 columns. As many empty ones take two seconds.
MOST_TAGS_OF_TABLE = 600_000
MOST_OTHER_TAGS = 20_000  # of styles and names, each ten times as slow; usually hundreds
IS_XML = re.compile(rb"\s*(?:\xef\xbb\xbf)?\s*<|\xff\xfe|\xfe\xff")
TABLE = re.compile(  # what a sheet or the texts of sheets begin with, before anything else
    rb"(?:\xef\xbb\xbf)?\s*(?:<\?[^>]*\?>)?\s*<(?:[\w.\-]+:)?(?:worksheet|sst)[\s>]"
)
BLANK_LINES = 20  # so many times the rows that are read, then the rest of a sheet is given up


def read_xlsx(data, most_rows):
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
    _count_tags(archive)
    return _sheet(
        _unbroken(
            lambda: openpyxl.load_workbook(
                io.BytesIO(data), read_only=True, data_only=False, keep_links=False
            )
        ),
        most_rows,
    )


def _count_tags(archive):
    """Raise BadFile where a part has more tags than are parsed in a second or two, whatever it says
    of itself: counting takes a hundredth of that.
    """
    for part in archive.infolist():
        content = _unbroken(lambda part=part: archive.read(part))
        most = MOST_TAGS_OF_TABLE if TABLE.match(content) else MOST_OTHER_TAGS
        if IS_XML.match(content) and content.count(b"<") > most:
            raise BadFile(
                say(
                    "The workbook has too many cells, formats or names to be read. Copy the points "
                    "alone into a new one."
                )
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


def _lines_of(worksheet):
    """(line, its values as texts) of a worksheet, one by one as they are read."""
    lines = iter(_unbroken(lambda: worksheet.iter_rows(max_col=MOST_COLUMNS + 1)))
    for line in itertools.count(1):
        cells = _unbroken(lambda: next(lines, None))
        if cells is None:
            return
        yield line, _texts(cells)


def _sheet(book, most_rows):
    worksheet = _unbroken(lambda: book.worksheets[0])
    _unbroken(worksheet.reset_dimensions)  # what the file says of its own size is not believed
    header, rows = _table(worksheet, most_rows)
    note = ""
    if len(book.worksheets) > 1:
        note = say(
            "Only the first of {number} sheets is read: “{name}”.",
            number=len(book.worksheets),
            name=worksheet.title,
        )
    return Sheet.checked("xlsx", header, rows, note, most_rows)


def _table(worksheet, most_rows):
    """The first line that is not blank, and the (line, cells) after it, as wide as the first."""
    header, rows = [], []
    for line, values in _lines_of(worksheet):
        if not any(value.strip() for value in values):
            if line > most_rows * BLANK_LINES:
                break
        elif not header:
            header = _without_blank_end(values)
        else:
            if any(value.strip() for value in values[len(header) :]):
                raise BadFile(uneven(line, len(values), len(header)))
            rows.append((line, [*values, *[""] * len(header)][: len(header)]))
            if len(rows) > most_rows:
                break
    return header, rows


def _without_blank_end(values):
    values = list(values)
    while values and not values[-1].strip():
        values.pop()
    return values


def _texts(cells):
    """The values of a line's cells as they would be typed. Raises BadFile for a formula."""
    for cell in cells:
        if cell.data_type == "f":
            raise BadFile(
                say(
                    "Cell {cell} holds a formula. Copy the column and paste its values, then "
                    "save again.",
                    cell=cell.coordinate,
                )
            )
    return ["" if cell.value is None else _text(cell.value) for cell in cells]


def _text(value):
    """A value as it would be typed: numbers with as many digits as they have."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
