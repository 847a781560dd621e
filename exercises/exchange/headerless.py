"""Points files of total stations and data collectors, which have no line of names: in each row a
point number, two coordinates of a grid, and perhaps a height and a description.

Which coordinate comes first differs: number, northing, easting (known as PNEZD), or number,
easting, northing (PENZD). Orders and abbreviations are common practice of data collectors, no
source. The file does not say which it is, the site does: the wrong one leads far away, or out of
the grid. Where it does not, a person is asked.
"""

import csv
import re
from dataclasses import dataclass

from ..domain.earth import geodesy
from ..domain.earth.coordinates import Place
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..domain.words import Words, say
from . import row_cells
from .sheet import Sheet

FORMAT = "headerless"
# what the second and the third column hold, by order
ORDERS = {
    "northing_first": ("northing", "easting"),
    "easting_first": ("easting", "northing"),
}
DELIMITERS = (",", ";", "\t", None)  # None: spaces
MOST_CELLS = 5
POINT_NUMBER = re.compile(r"\w[\w.\-]{0,15}")
NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
# of a coordinate of a grid: latitudes and longitudes stay below
LEAST_OF_A_GRID = 1000.0
UTM_ZONE = re.compile(r"\d{1,2}[A-Z]?", re.IGNORECASE)
FITTING = 0.75  # share of the rows that must look so: one that is spoilt is refused for itself
SHOWN_ROWS = 3


def read_headerless(text, most_rows):
    """A text as a `Sheet` of rows without a line of names, its columns numbered; or None where it
    is none. Raises BadFile.
    """
    numbered = [
        (number, line) for number, line in enumerate(text.split("\n"), start=1) if line.strip()
    ]
    for delimiter in DELIMITERS:
        if not _is_point(_cells(numbered[0][1], delimiter)):
            continue  # before a large file is looked through
        # one more than are read: too many are refused, and the others need not be parted
        rows = [(number, _cells(line, delimiter)) for number, line in numbered[: most_rows + 1]]
        if _fits(rows, delimiter):
            rows = [(number, _with_description(cells, delimiter)) for number, cells in rows]
            if not _has_heights(rows):
                rows = [(number, _without_height(cells, delimiter)) for number, cells in rows]
            width = max(len(cells) for _, cells in rows)
            padded = [(number, cells + [""] * (width - len(cells))) for number, cells in rows]
            return Sheet.checked(FORMAT, [""] * width, padded, most_rows=most_rows)
    return None


def _cells(line, delimiter):
    """The cells of a line, unlimited; none of one that is not CSV."""
    if delimiter is None:
        return line.split()
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter))]
    except csv.Error:
        return []


def _fits(rows, delimiter):
    """Whether rows look like points with a number and two coordinates."""
    if sum(_is_point(cells) for _, cells in rows) < FITTING * len(rows):
        return False
    first = {cells[0] for _, cells in rows if cells}
    is_utm = delimiter is None and len(first) == 1 and UTM_ZONE.fullmatch(next(iter(first)))
    return not is_utm  # 59G 429226 5002214 is a place of its own


def _is_point(cells):
    """Whether cells are a point number and two coordinates of a grid."""
    if len(cells) < 3 or not POINT_NUMBER.fullmatch(cells[0]):
        return False
    if not all(NUMBER.fullmatch(cell) for cell in cells[1:3]):
        return False
    return max(abs(float(cell.replace(",", "."))) for cell in cells[1:3]) >= LEAST_OF_A_GRID


def _with_description(cells, delimiter):
    """Five cells at most: what stands after the height is one description."""
    between = delimiter or " "
    return [*cells[: MOST_CELLS - 1], between.join(cells[MOST_CELLS - 1 :])][: max(len(cells), 3)]


def _has_heights(rows):
    """Whether the fourth column holds heights, or is empty, rather than descriptions."""
    fourth = [cells[3] for _, cells in rows if len(cells) > 3 and cells[3]]
    heights = [cell for cell in fourth if NUMBER.fullmatch(cell)]
    return len(heights) >= FITTING * len(fourth)


def _without_height(cells, delimiter):
    """The cells of a row whose description stands where others have a height."""
    described = (delimiter or " ").join(cell for cell in cells[3:] if cell)
    return [*cells[:3], "", described]


def columns_of(sheet, order):
    """Which column means what (index by key of FIELDS) in an order; without the coordinates for
    none.
    """
    columns = {"code": 0}
    if len(sheet.columns) > 3:
        columns["elevation_m"] = 3
    if len(sheet.columns) > 4:
        columns["name"] = 4
    return columns | {key: 1 + place for place, key in enumerate(ORDERS.get(order, ()))}


@dataclass(frozen=True)
class Reading:
    """A row read in one order: where it would be, and how far from the site; or why nowhere."""

    place: Place | None
    metres: float | None
    problem: Words | str = ""

    @property
    def is_near(self):
        """Whether it lies on or near the site."""
        return self.metres is not None and self.metres <= FAR_FROM_SITE_M


@dataclass(frozen=True)
class BothWays:
    """The rows of a sheet in each order: how many lie near the site, and the first of them as
    (line, as written, {order: Reading}).
    """

    near: dict
    number: int
    first: tuple

    @property
    def decided(self):
        """The order that the site speaks for: at least half of the rows lie near it in this one,
        and none in the other; empty where it speaks for none.
        """
        for order in ORDERS:
            others = sum(self.near[other] for other in ORDERS if other != order)
            if 2 * self.near[order] >= self.number and not others:
                return order
        return ""


def both_ways(sheet, epsg, near):
    """The rows of a sheet read in each order, eastings and northings in a system or in the UTM zone
    of `near`, the site's middle.
    """
    unknown = _unknown(epsg)
    rows = [
        (
            line,
            " ".join(cells[:3]),
            {order: unknown or _read(cells, order, epsg, near) for order in ORDERS},
        )
        for line, cells in zip(sheet.lines, sheet.rows, strict=True)
    ]
    counts = {order: sum(readings[order].is_near for *_, readings in rows) for order in ORDERS}
    return BothWays(counts, len(rows), tuple(rows[:SHOWN_ROWS]))


def _unknown(epsg):
    """What every row is read as in a system that is not known; None for one that is."""
    try:
        if epsg:
            geodesy.unit_m(epsg)
    except geodesy.UnsuitableGrid as error:
        return Reading(None, None, error.args[0])
    return None


def _read(cells, order, epsg, near):
    """One row in one order."""
    named = dict(zip(ORDERS[order], cells[1:3], strict=True))
    try:
        place = row_cells.read_place(named, epsg, near)
    except row_cells.WrongCell as error:
        if isinstance(error.__cause__, geodesy.OutsideGrid):
            return Reading(None, None, say("Not in this grid."))
        return Reading(None, None, error.args[0])
    return Reading(place, geodesy.apart_m(place.position, near))


def unordered():
    """Why rows cannot be read yet."""
    return say(
        "The file has no line of names, and where the site lies does not tell which number is the "
        "northing. Choose the order."
    )
