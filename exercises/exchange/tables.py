"""CSV in and out. A complaint names file, line and column; cells that a spreadsheet would run are
disarmed.

Knows only the domain, so the batch command needs no database.
"""

import csv
import io
import re

from exercises.domain.earth import angles, geodesy
from exercises.domain.earth.angle_units import DEGREES, MIL_6400, UNITS
from exercises.domain.earth.position import PositionOutOfRange
from exercises.domain.surveying.traverse import BadLegs, parse_legs
from exercises.domain.tasks import wants
from exercises.domain.tasks.bands import PRESETS, BadBand, Band
from exercises.domain.tasks.kinds import UnknownKind, kind_of
from exercises.domain.tasks.site import FULL_CREDIT_M, PART_CREDIT_M, Point, Task

POINT_COLUMNS = ("point", "name", "latitude", "longitude", "elevation_m", "accuracy_m", "mark")
COURSE_COLUMNS = ("task", "kind", "from", "to", "north", "full_credit_deg", "part_credit_deg")
READING_COLUMNS = ("person", "task", "answer", "compass", "unit")
OPTIONAL = frozenset({"name", "elevation_m", "mark", "compass", "unit"})
# how a table names the unit of its compasses; an empty cell says degrees
UNIT_NAMES = {"": DEGREES, "degrees": DEGREES, "mil": MIL_6400, "mils": MIL_6400, **UNITS}
LONGEST_CELL = 500
NUMBER = re.compile(r"[-+]?\d+([.,]\d+)?")


class BadTable(ValueError):
    """A table that cannot be used. The message says file, line, column and what to do."""


class Row:
    """One row of a table, which knows where it stands and can complain."""

    def __init__(self, file, line, cells):
        self.file, self.line, self.cells = file, line, cells

    def __getitem__(self, column):
        return self.cells.get(column, "")

    def complaint(self, column, message):
        """An error that names this row and a column."""
        return BadTable(f"{self.file}, line {self.line}, {column}: {message}")

    def required(self, column):
        """The text of a cell that must not be empty."""
        if not self[column]:
            raise self.complaint(column, "nothing here. Fill it in.")
        return self[column]

    def number(self, column, default=None):
        """A finite number; a decimal comma is understood."""
        text = self[column]
        if not text and default is not None:
            return default
        if not re.fullmatch(r"[-+]?(\d+([.,]\d*)?|[.,]\d+)([eE][-+]?\d{1,3})?", text):
            raise self.complaint(column, f"“{text[:40]}” is not a number.")
        return float(text.replace(",", "."))

    def one_of(self, column, allowed):
        """A text that is one of those allowed, whatever its case."""
        text = self.required(column).lower()
        if text not in allowed:
            raise self.complaint(
                column, f"“{self[column][:40]}” is not one of: {', '.join(allowed)}."
            )
        return text


def rows(file, stream, columns):
    """The rows of a CSV text stream, one by one, for files of any size.

    Raises BadTable for text that is not UTF-8, a missing or repeated column, a row of another
    length, an overlong cell.
    """
    try:
        yield from _rows(file, csv.reader(stream, strict=True), columns)
    except UnicodeDecodeError as error:
        raise BadTable(
            f"{file}: this is not UTF-8 text (byte {error.start + 1} of what was being read). "
            "Save it as “CSV UTF-8” and try again."
        ) from error
    except csv.Error as error:
        raise BadTable(
            f"{file}: not a CSV file that can be read ({error}). Save it again as “CSV UTF-8”."
        ) from error


def _rows(file, reader, columns):
    header = _header(file, next(reader, []), columns)
    for cells in reader:
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) != len(header):
            raise BadTable(
                f"{file}, line {reader.line_num}: {len(cells)} cells where line 1 has "
                f"{len(header)}. "
                "Put a text with a comma in it in quotes."
            )
        row = Row(
            file,
            reader.line_num,
            {name: cell.strip() for name, cell in zip(header, cells, strict=True)},
        )
        for name, cell in row.cells.items():
            if len(cell) > LONGEST_CELL:
                raise row.complaint(name, f"the text is longer than {LONGEST_CELL} characters.")
        yield row


def _header(file, cells, columns):
    """The names in the first line. Raises BadTable where one of the columns is missing."""
    header = [name.strip().lower().lstrip("\ufeff") for name in cells]
    if not any(header):
        raise BadTable(
            f"{file}, line 1: the file is empty. The first line names the columns: "
            f"{', '.join(columns)}."
        )
    missing = [name for name in columns if name not in header and name not in OPTIONAL]
    if missing:
        raise BadTable(
            f"{file}, line 1: column {missing[0]} is missing. The columns are: "
            f"{', '.join(columns)}."
        )
    repeated = [name for name in columns if header.count(name) > 1]
    if repeated:
        raise BadTable(f"{file}, line 1: column {repeated[0]} stands there twice.")
    return header


def read_points(file, stream):
    """Points by code. Raises BadTable, also for a code that stands twice and for positions out of
    range.
    """
    points = {}
    for row in rows(file, stream, POINT_COLUMNS):
        code = row.required("point")
        if code in points:
            raise row.complaint(
                "point", f"there is already a point “{code}”. Give each point a code of its own."
            )
        accuracy_m = row.number("accuracy_m")
        if not 0 <= accuracy_m <= 1000:
            raise row.complaint("accuracy_m", f"{accuracy_m:g} m is not between 0 and 1000.")
        try:
            position = geodesy.Position(
                row.number("latitude"),
                row.number("longitude"),
                row.number("elevation_m") if row["elevation_m"] else None,
            )
        except PositionOutOfRange as error:
            column = next(
                name for name in ("latitude", "longitude", "elevation") if name in str(error)
            )
            raise row.complaint(
                "elevation_m" if column == "elevation" else column, str(error)
            ) from error
        points[code] = Point(code, row["name"] or code, position, accuracy_m, row["mark"])
    return points


def read_course(file, stream, points):
    """Tasks in order, each with the row that it came from: [(Task, Row), ...]. Raises BadTable."""
    tasks, labels = [], set()
    for row in rows(file, stream, COURSE_COLUMNS):
        label = row.required("task")
        if label in labels:
            raise row.complaint("task", f"there is already a task “{label}”.")
        labels.add(label)
        try:
            kind = kind_of(row.required("kind").lower())
        except UnknownKind as error:
            raise row.complaint("kind", str(error)) from error
        station, north = _point(row, "from", points), row.one_of("north", kind.norths)
        fields = {"target": "", "band": PRESETS["usual"].band}  # where the kind wants none
        for part, read in PARTS.items():
            if part in kind.wants:
                fields |= read(row, points)
        tasks.append((Task(label, kind.code, station, north=north, **fields), row))
    return tasks


def _point(row, column, points):
    """The code of a point in a cell."""
    if row.required(column) not in points:
        raise row.complaint(column, f"there is no point “{row[column][:40]}”.")
    return row[column]


def _target(row, points):
    target = _point(row, "to", points)
    if target == row["from"]:
        raise row.complaint("to", "a station cannot be its own target.")
    return {"target": target}


def _given(row, _):
    """The given bearing, which may be left out, and its north."""
    given = {"given_deg": None, "given_north": row["given_north"].lower()}
    if row["given_deg"]:
        try:
            given["given_deg"] = angles.parse_bearing(row["given_deg"]).degrees
        except angles.NotABearing as error:
            raise row.complaint("given_deg", str(error)) from error
    return given


def _known_points(row, points):
    """Further known points, with spaces between them."""
    more = tuple(row["more"].split())
    for code in more:
        if code not in points:
            raise row.complaint("more", f"there is no point “{code[:40]}”.")
    return {"more": more}


def _legs(row, _):
    try:
        return {"legs": parse_legs(row["legs"])}
    except BadLegs as error:
        raise row.complaint("legs", str(error)) from error


def _degrees(row, _):
    try:
        return {"band": Band(row.number("full_credit_deg"), row.number("part_credit_deg"))}
    except BadBand as error:
        raise row.complaint("full_credit_deg", str(error)) from error


def _metres(row, _):
    full_m = row.number("full_credit_m", FULL_CREDIT_M)
    part_m = row.number("part_credit_m", PART_CREDIT_M)
    if not 0 < full_m <= part_m:
        raise row.complaint(
            "full_credit_m", "part credit must reach at least as far as full credit."
        )
    return {"full_credit_m": full_m, "part_credit_m": part_m}


# How each part of a task is read (`tasks.wants`).
PARTS = {
    wants.TARGET: _target,
    wants.DEGREES: _degrees,
    wants.METRES: _metres,
    wants.GIVEN: _given,
    wants.KNOWN_POINTS: _known_points,
    wants.LEGS: _legs,
}

RUNS = re.compile(r"^[=+\-@\t\r]")


def disarmed(value):
    """A cell that a spreadsheet shows as text and does not run; numbers stay as they are."""
    text = "" if value is None else str(value)
    return "'" + text if RUNS.match(text) and not NUMBER.fullmatch(text) else text


def write(stream, columns, records):
    """A CSV table with a header; each cell disarmed."""
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([disarmed(cell) for cell in record] for record in records)


def as_text(columns, records):
    """A CSV table as text."""
    stream = io.StringIO()
    write(stream, columns, records)
    return stream.getvalue()
