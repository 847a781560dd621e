"""A table of text, whatever file it came in, after the checks that all formats share."""

import re
from dataclasses import asdict, dataclass, replace

from ..domain.words import Words, say

MOST_ROWS = 500  # a site has dozens of points; more is another file
MOST_COLUMNS = 40
LONGEST_CELL = 500
MOST_LINES = 10_000_000  # a line has one character or more, and a file 2 MB
MOST_TEXT = 300_000  # characters of a table's cells together: it travels with the page
FORMULA = re.compile(
    r"^\s*=|^\s*[@+-]\s*\w+\s*[(|!]"
)  # what a spreadsheet runs; “- left of the gate” is a text
UNPRINTABLE = re.compile("[\x00-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
ARMED = re.compile(r"^'(?=[=+\-@])")  # what `tables.disarmed` put before a text


class BadFile(ValueError):
    """A file that cannot be used. The message says what is wrong, where, and what to do; nothing of
    it is taken in.
    """


@dataclass(frozen=True)
class Sheet:
    """A table of text: the format it came in, its columns' names, and its rows with the line that
    each stands in. `uneven` holds (line, number of cells) of those that had another number of cells
    than there are columns: they are filled up, or what is too much stands in the last cell.
    """

    format: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    note: Words | str = ""
    uneven: tuple[tuple[int, int], ...] = ()

    def to_plain(self):
        """As lists, for JSON."""
        return {**asdict(self), "note": ""}

    @classmethod
    def from_plain(cls, plain):
        """The sheet that `to_plain` was given, whose cells a person may have typed over: nothing
        but its size is checked. Raises BadFile for anything else.
        """
        try:
            sheet = cls(
                str(plain["format"]),
                tuple(str(name) for name in plain["columns"]),
                tuple(tuple(tidy(str(cell)) for cell in row) for row in plain["rows"]),
                tuple(int(line) for line in plain["lines"]),
                uneven=tuple((int(line), int(number)) for line, number in plain["uneven"]),
            )
        except (KeyError, TypeError, ValueError, OverflowError) as error:
            raise _changed() from error
        if not sheet._is_bounded():
            raise _changed()
        return sheet

    def _is_bounded(self):
        """Whether it is a table of a size that `checked` lets pass. Its text may have grown by what
        was typed; what a page may send has a limit of its own.
        """
        return (
            0 < len(self.rows) == len(self.lines) == len(set(self.lines)) <= MOST_ROWS
            and 0 < len(self.columns) == len(set(self.columns)) <= MOST_COLUMNS
            and all(len(cells) == len(self.columns) for cells in self.rows)
            and all(0 <= line < MOST_LINES for line in self.lines)
        )

    def with_cells(self, texts):
        """The sheet with other texts in some of its cells, by (line, index of the column). A line
        is uneven no longer once it was typed over.
        """
        rows = tuple(
            tuple(tidy(texts.get((line, index), cell)) for index, cell in enumerate(cells))
            for line, cells in zip(self.lines, self.rows, strict=True)
        )
        as_before = {
            line
            for line, cells, new in zip(self.lines, self.rows, rows, strict=True)
            if cells == new
        }
        return replace(
            self, rows=rows, uneven=tuple(each for each in self.uneven if each[0] in as_before)
        )

    def without(self, lines):
        """The sheet without some of its lines."""
        kept = [
            (line, cells)
            for line, cells in zip(self.lines, self.rows, strict=True)
            if line not in lines
        ]
        return replace(
            self,
            lines=tuple(line for line, _ in kept),
            rows=tuple(cells for _, cells in kept),
            uneven=tuple(each for each in self.uneven if each[0] not in lines),
        )

    def even(self):
        """The sheet itself. Raises BadFile where a line has another number of cells than there are
        columns.
        """
        for line, number in self.uneven:
            raise BadFile(uneven(line, number, len(self.columns)))
        return self

    @classmethod
    def checked(cls, kind, columns, numbered_rows, note="", most_rows=MOST_ROWS):
        """A sheet of (line, cells) rows, of which empty ones are left out. Raises BadFile for what
        is too much, and for what is not as its columns say.
        """
        columns = _column_names(columns)
        rows, lines = [], []
        for line, cells in numbered_rows:
            if not any(cell.strip() for cell in cells):
                continue
            if len(rows) == most_rows:
                raise BadFile(_too_many(most_rows))
            if len(cells) != len(columns):
                raise BadFile(uneven(line, len(cells), len(columns)))
            for name, cell in zip(columns, cells, strict=True):
                _check_cell(kind, line, name, cell)
            rows.append(tuple(ARMED.sub("", UNPRINTABLE.sub(" ", cell).strip()) for cell in cells))
            lines.append(line)
        if not rows:
            raise BadFile(say("There are no points in it."))
        if sum(len(cell) for row in rows for cell in row) > MOST_TEXT:
            raise BadFile(
                say(
                    "The table holds more than {most} characters. Take out the columns that are "
                    "not needed.",
                    most=MOST_TEXT,
                )
            )
        return cls(kind, tuple(columns), tuple(rows), tuple(lines), note)


def tidy(text):
    """A cell that a person typed over, without what cannot be printed, and no longer than the field
    it was typed in.
    """
    return UNPRINTABLE.sub(" ", text).strip()[:LONGEST_CELL]


def _changed():
    """The refusal of a table that is none of those that a page sends."""
    return BadFile(
        say("The table that came with the page cannot be read. Choose the file once more.")
    )


def _column_names(names):
    """The names of a table's columns, each its own; one without a name gets its number."""
    columns = [
        UNPRINTABLE.sub(" ", str(name))[:LONGEST_CELL].strip() or f"({place})"
        for place, name in enumerate(names, start=1)
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
    return columns


def _too_many(most_rows):
    if most_rows == MOST_ROWS:
        return say(
            "The file has more than {most} points. Take in those of this site alone.",
            most=most_rows,
        )
    return say("The file has more than {most} rows.", most=most_rows)


def uneven(line, cells, columns):
    """Why a line with another number of cells than the first is refused."""
    return say(
        "Line {line} has {number} cells where the first line has {columns}. Put a text with a "
        "separator in it in quotes.",
        line=line,
        number=cells,
        columns=columns,
    )


def _check_cell(kind, line, column, cell):
    if len(cell) > LONGEST_CELL:
        raise BadFile(
            say(
                "Line {line}, {column}: the text is longer than {most} characters.",
                line=line,
                column=column[:40],
                most=LONGEST_CELL,
            )
        )
    if kind in ("csv", "pasted", "headerless") and FORMULA.match(cell):
        raise BadFile(
            say(
                "Line {line}, {column}: “{cell}” is a formula. Copy the column and paste its "
                "values, then save again.",
                line=line,
                column=column[:40],
                cell=cell[:30],
            )
        )
