"""What the rows of a sheet mean for a site: each becomes a point, a survey of one that is there, or
a refusal with its reason.
"""

from dataclasses import dataclass, field, replace

from ..domain.earth import geodesy
from ..domain.earth.coordinates import Place
from ..domain.earth.ellipse import circle
from ..domain.earth.geodesy import Position
from ..domain.words import Words, say
from . import row_cells, slips
from .columns import FIELDS, check_columns, decimal_marks
from .exchanged import exchanged
from .neighbours import Neighbours
from .row_cells import WORST_M, WrongCell

SAME_M = 0.002  # a position that comes back from a file is the same to its eight decimals
CLOSE_M = 0.5
TAKEN = ("new", "survey", "named")  # actions of a row that brings something


@dataclass(frozen=True)
class Known:
    """A point that the site has already."""

    code: str
    name: str
    position: Position
    accuracy_m: float
    mark: str
    is_target: bool


@dataclass(frozen=True)
class Settings:
    """How a sheet is to be read: column of each field (index by key of FIELDS), EPSG of eastings
    and northings, and what holds where the sheet is silent.

    `named` holds code, name and mark by line, {line: {key of FIELDS: text}}, of rows that a person
    has typed over.
    """

    columns: dict
    epsg: int | None
    accuracy_m: float
    method: str
    named: dict = field(default_factory=dict)


@dataclass(frozen=True)
class Row:
    """What one row means. `action` is "new", "survey" (of a point that is there), "named" (its name
    or mark alone is other), "same" or "refused"; `problem` says why it is refused, `wrong` in which
    of its `cells` (both by keys of FIELDS), and `exchanged` what would stand in some of them if two
    coordinates were exchanged, where that looks right. `remarks` say what is odd.

    `is_doubtful` means that a person should look before it is taken: it would be a second point
    where one stands already, or its line was uneven. `sees` is None where the sheet does not say.
    """

    line: int
    cells: dict[str, str]
    code: str = ""
    name: str = ""
    place: Place | None = None
    elevation_m: float | None = None
    accuracy_m: float = 0.0
    method: str = ""
    mark: str | None = None
    is_target: bool | None = None
    sees: tuple[str, ...] | None = None
    moved_m: float | None = None
    action: str = "refused"
    is_doubtful: bool = False
    problem: Words | str = ""
    wrong: tuple[str, ...] = ()
    exchanged: dict[str, str] = field(default_factory=dict)
    remarks: tuple[Words, ...] = field(default=())

    @property
    def is_taken(self):
        """Whether it brings something."""
        return self.action in TAKEN

    @property
    def place_keys(self):
        """The keys of its cells in which its place can stand."""
        return [key for key in row_cells.POSITION if key in self.cells]

    @property
    def other_keys(self):
        """The keys of its cells besides those, and besides code, name and mark."""
        apart = ("code", "name", "mark", *row_cells.POSITION)
        return [key for key in FIELDS if key in self.cells and key not in apart]

    @property
    def position(self):
        """Where it is, with its height."""
        where = self.place.position
        return Position(where.latitude_deg, where.longitude_deg, self.elevation_m)

    @property
    def ellipse(self):
        """How well it is known."""
        return circle(self.accuracy_m)


def interpret(sheet, settings, known, near):
    """All rows of a sheet as `Row`s, in order. `known` are the site's points, `near` its middle.

    Raises BadFile for what concerns the whole sheet: no column with a position.
    """
    columns = settings.columns
    check_columns(sheet, columns)
    marks = decimal_marks(sheet, columns)
    uneven = dict(sheet.uneven)
    by_code = {point.code: point for point in known}
    written_codes = {cells[columns["code"]].upper() for cells in sheet.rows if "code" in columns}
    free_codes = row_cells.free_codes(by_code.keys() | written_codes)
    rows = []
    for line, cells in zip(sheet.lines, sheet.rows, strict=True):
        by_key = {key: cells[index] for key, index in columns.items()}
        guessed = row_cells.read_identity(by_key, free_codes, by_code)
        identity = row_cells.typed_over(guessed, settings.named.get(line, {}))
        row = Row(line, by_key, identity.code, identity.name, mark=identity.mark)
        try:
            row_cells.check_decimal_marks(by_key, marks)
            row = _read(row, identity, settings, by_code.get(identity.code), near)
        except WrongCell as error:
            row = _refused(row, error.args[0], *error.keys)
        rows.append(_remark_uneven(row, uneven, len(sheet.columns)) if line in uneven else row)
    return _remark_neighbours(_refuse_repeated(_offer_exchange(rows, settings, near)), known)


def _read(row, identity, settings, there, near):
    """One row, for itself. `there` is the site's point of its code, or None. Raises WrongCell."""
    if not row_cells.CODE.fullmatch(identity.code):
        raise WrongCell(
            say(
                "“{code}” is no code. Use one to four capital letters or digits.",
                code=identity.code[:20],
            ),
            "code",
        )
    cells = row.cells
    place = row_cells.read_place(cells, settings.epsg, near)
    elevation_m = row_cells.read_height(cells, place)
    stated_m = row_cells.read_number(cells, "accuracy_m", 0.001, WORST_M)
    accuracy_m, remarks = row_cells.accuracy_of(place, stated_m, settings.accuracy_m)
    if problem := slips.far(place.position, near) or _coarse(accuracy_m):
        raise WrongCell(problem, *row_cells.written(cells))
    is_target = row_cells.read_is_target(cells)
    if elevation_m is None and there:
        elevation_m = there.position.elevation_m
    row = replace(
        row,
        name=identity.name or (there.name if there else identity.code),
        place=place,
        elevation_m=elevation_m,
        accuracy_m=accuracy_m,
        method=row_cells.read_method(cells, settings.method),
        is_target=is_target,
        sees=row_cells.read_sees(cells),
        remarks=(*identity.remarks, *remarks),
        action="new",
    )
    return _compared(row, there, states_accuracy=stated_m is not None) if there else row


def _coarse(accuracy_m):
    """Why a place that is known so well is refused; empty for one that is known well enough."""
    if accuracy_m <= WORST_M:
        return ""
    return say(
        "This is known to {metres:.0f} m only: too coarse for a compass course, where "
        "{most:.0f} m is the limit. Survey it better.",
        metres=accuracy_m,
        most=WORST_M,
    )


def _compared(row, there, states_accuracy):
    """A row beside the point that is there: a survey of it, another name, or nothing new."""
    moved_m = geodesy.apart_m(there.position, row.position)
    off_m = abs(row.accuracy_m - there.accuracy_m)
    as_accurate = not states_accuracy or off_m < 0.001 * there.accuracy_m + 1e-6
    if not (moved_m < SAME_M and as_accurate):
        return replace(row, moved_m=moved_m, action="survey")
    is_named = row.name != there.name or (row.mark is not None and row.mark != there.mark)
    return replace(row, moved_m=moved_m, action="named" if is_named else "same")


def _refused(row, problem, *keys):
    return replace(row, action="refused", problem=problem, wrong=keys)


def _remark_uneven(row, uneven, columns):
    """A row of a line that had another number of cells than there are columns, with a remark."""
    remark = say(
        "This line has {number} cells where the first line has {columns}. Look whether each text "
        "stands in its cell.",
        number=uneven[row.line],
        columns=columns,
    )
    return replace(row, is_doubtful=True, remarks=(*row.remarks, remark))


def _offer_exchange(rows, settings, near):
    """The rows, those with what an exchange would make of them whose place is what is wrong."""
    return [
        replace(row, exchanged=exchanged(row.cells, settings.epsg, near))
        if set(row.wrong) & set(row_cells.POSITION)
        else row
        for row in rows
    ]


def _refuse_repeated(rows):
    """The rows, those refused whose code a row before them has."""
    first = {}
    for row in rows:
        if row.action != "refused":
            first.setdefault(row.code, row)
    return [
        row
        if row.action == "refused" or first[row.code] is row
        else _refused(
            row,
            say(
                "Line {line} has the code “{code}” too. Give each point its own.",
                line=first[row.code].line,
                code=row.code,
            ),
            "code",
        )
        for row in rows
    ]


def _remark_neighbours(rows, known):
    """The rows, with a remark where another point stands at the same place: the first that there
    is, those of the site before those of the sheet.
    """
    taken = [row for row in rows if row.action != "refused"]
    points = [*known, *taken]
    neighbours = Neighbours([point.position for point in points], CLOSE_M)
    return [
        row if row.action == "refused" else _beside(row, points, neighbours.near(row.position))
        for row in rows
    ]


def _beside(row, points, indices):
    """A row with a remark on the first other point of those that are near."""
    others = (points[index].code for index in indices)
    code = next((code for code in others if code != row.code), None)
    if code is None:
        return row
    remark = say("Point {code} stands at the same place.", code=code)
    return replace(
        row,
        is_doubtful=row.is_doubtful or row.action == "new",
        remarks=(*row.remarks, remark),
    )
