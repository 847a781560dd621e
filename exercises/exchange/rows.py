"""What the rows of a sheet mean for a site: each becomes a point, a survey of one that is there, or
a refusal with its reason.
"""

import re
from dataclasses import dataclass, field

from ..domain.earth import coordinates, geodesy
from ..domain.earth.coordinates import NotAPlace, Place
from ..domain.earth.ellipse import circle
from ..domain.earth.geodesy import Position
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..domain.words import Words, say, together
from .reading import BadFile

FIELDS = {
    "code": say("code"),
    "name": say("name"),
    "place": say("place, in any notation"),
    "latitude": say("latitude"),
    "longitude": say("longitude"),
    "easting": say("easting"),
    "northing": say("northing"),
    "elevation_m": say("height in metres"),
    "accuracy_m": say("accuracy in metres (one sigma)"),
    "mark": say("where to stand"),
    "is_target": say("can be sighted"),
    "sees": say("targets seen from there"),
    "method": say("method"),
}
# What columns are called elsewhere, in English and Spanish; compared without case, accents and
# units.
SYNONYMS = {
    "code": ("code", "point", "id", "pt", "codigo", "punto", "station"),
    "name": ("name", "title", "nombre", "label"),
    "place": (
        "place",
        "position",
        "coordinates",
        "coordinate",
        "mgrs",
        "utm",
        "gridref",
        "gridreference",
        "location",
        "posicion",
        "coordenadas",
    ),
    "latitude": ("latitude", "lat", "latitud"),
    "longitude": ("longitude", "lon", "long", "lng", "longitud"),
    "easting": ("easting", "east", "e", "x", "este"),
    "northing": ("northing", "north", "n", "y", "norte"),
    "elevation_m": (
        "elevationm",
        "elevation",
        "ele",
        "height",
        "altitude",
        "alt",
        "z",
        "altura",
        "altitud",
        "cota",
    ),
    "accuracy_m": ("accuracym", "accuracy", "precision", "sigma", "exactitud"),
    "mark": ("mark", "description", "desc", "wheretostand", "marca", "descripcion"),
    "is_target": ("istarget", "target", "objetivo"),
    "sees": ("sees", "visible", "ve"),
    "method": ("method", "metodo"),
}
CODE = re.compile(r"[A-Z0-9]{1,4}")
CODE_BEFORE = re.compile(r"([A-Z0-9]{1,4})\s+(\S.*)")
SHORT_CODE = re.compile(r"[A-Z]|[A-Z]{0,3}\d{1,3}")  # what is rather a code than a word in capitals
SAME_M = 0.002  # a position that comes back from a file is the same to its eight decimals
CLOSE_M = 0.5
WORST_M = 100.0  # a point that is known less well is no point to take bearings at
YES, NO = {"yes", "y", "true", "1", "si", "sí", "x"}, {"no", "n", "false", "0", ""}


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

    `named` holds (code, name, mark) by line, for rows that a person has typed over. `height_m` is
    taken where neither the row nor the point that is there tells one.
    """

    columns: dict
    epsg: int | None
    accuracy_m: float
    method: str
    named: dict = field(default_factory=dict)
    height_m: float = 0.0


@dataclass(frozen=True)
class Row:
    """What one row means. `action` is "new", "survey" (of a point that is there), "named" (its name
    or mark alone is other), "same" or "refused"; `problem` says why it is refused, `remarks` what
    is odd; `coincides` that it would be a second point where one stands already.

    `sees` is None where the sheet does not say.
    """

    line: int
    written: str
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
    coincides: bool = False
    problem: Words | str = ""
    remarks: tuple[Words, ...] = field(default=())

    @property
    def position(self):
        """Where it is, with its height."""
        where = self.place.position
        return Position(where.latitude_deg, where.longitude_deg, self.elevation_m or 0.0)

    @property
    def ellipse(self):
        """How well it is known."""
        return circle(self.accuracy_m)


def guess_columns(names):
    """Which column means what, by its name: {key of FIELDS: index}."""
    bare, found = [_bare(name) for name in names], {}
    for key, words in SYNONYMS.items():
        index = next(
            (
                bare.index(word)
                for word in words
                if word in bare and bare.index(word) not in found.values()
            ),
            None,
        )
        if index is not None:
            found[key] = index
    return found


def _bare(name):
    name = re.sub(r"\(.*?\)|\[.*?\]", "", name.lower())
    return re.sub(r"[^a-zñ]", "", name.translate(str.maketrans("áéíóúü", "aeiouu")))


def interpret(sheet, settings, known, near):
    """All rows of a sheet as `Row`s, in order. `known` are the site's points, `near` its middle.

    Raises BadFile for what concerns the whole sheet: no column with a position, decimal marks mixed
    in one column.
    """
    columns = settings.columns
    if not (
        {"place"} <= columns.keys()
        or {"latitude", "longitude"} <= columns.keys()
        or {"easting", "northing"} <= columns.keys()
    ):
        raise BadFile(
            say(
                "Say which columns hold the position: latitude and longitude, easting and "
                "northing, or one with the whole place."
            )
        )
    _one_decimal_mark(sheet, columns)
    by_code, used = {point.code: point for point in known}, {}
    free, rows = (
        _free_codes(
            {
                *by_code,
                *(cells[columns["code"]].upper() for cells in sheet.rows if "code" in columns),
            }
        ),
        [],
    )
    for line, cells in zip(sheet.lines, sheet.rows, strict=True):
        row = _row(
            line,
            {key: cells[index] for key, index in columns.items()},
            settings,
            by_code,
            free,
            near,
        )
        if row.action != "refused" and row.code in used:
            row = _refused(
                row,
                say(
                    "Line {line} has the code “{code}” too. Give each point its own.",
                    line=used[row.code],
                    code=row.code,
                ),
            )
        elif row.action != "refused":
            used[row.code] = line
        rows.append(row)
    return [_beside(row, rows, known) for row in rows]


def _one_decimal_mark(sheet, columns):
    for key in ("latitude", "longitude", "easting", "northing", "elevation_m", "accuracy_m"):
        if key in columns:
            marks = {}
            for line, cells in zip(sheet.lines, sheet.rows, strict=True):
                for mark in re.findall(r"\d([.,])\d", cells[columns[key]]):
                    marks.setdefault(mark, line)
            if len(marks) == 2:
                raise BadFile(
                    say(
                        "Column “{column}” mixes decimal points (line {point}) and decimal "
                        "commas (line {comma}). Use one of them.",
                        column=sheet.columns[columns[key]],
                        point=marks["."],
                        comma=marks[","],
                    )
                )


def _free_codes(taken):
    number = 0
    while True:
        number += 1
        if f"P{number}" not in taken:
            yield f"P{number}"


def _row(line, cells, settings, by_code, free, near):
    written = " ".join(
        cells[key]
        for key in ("place", "latitude", "longitude", "easting", "northing")
        if cells.get(key)
    )
    code, name, remarks = _identity(cells, free, by_code)
    typed, mark = settings.named.get(line), ""
    if typed:
        code, name, mark, remarks = (
            typed[0].strip().upper(),
            typed[1].strip()[:80],
            typed[2].strip()[:200],
            (),
        )
        if not CODE.fullmatch(code):
            return _refused(
                Row(line, written, code, name),
                say(
                    "“{code}” is no code. Use one to four capital letters or digits.",
                    code=code[:20],
                ),
            )
    base = Row(line, written, code, name)
    try:
        place = _place(cells, settings, near)
        elevation_m = _number(cells, "elevation_m", -500, 8900)
        accuracy_m = _number(cells, "accuracy_m", 0.001, WORST_M)
    except (NotAPlace, geodesy.UnsuitableGrid, geodesy.PositionOutOfRange) as error:
        return _refused(base, error.args[0])
    if far := _far(place.position, near):
        return _refused(Row(line, written, code, name, place), far)
    stated_m, more = _accuracy(place, accuracy_m, settings.accuracy_m)
    if stated_m > WORST_M:
        return _refused(
            Row(line, written, code, name, place),
            say(
                "This is known to {metres:.0f} m only: too coarse for a compass course, where "
                "{most:.0f} m is the limit. Survey it better.",
                metres=stated_m,
                most=WORST_M,
            ),
        )
    try:
        is_target, sees = (
            _flag(cells),
            tuple(cells["sees"].upper().replace(",", " ").split()) if "sees" in cells else None,
        )
    except NotAPlace as error:
        return _refused(base, error.args[0])
    method = (
        cells.get("method", "")
        if cells.get("method", "") in ("receiver", "averaged", "surveyed", "map")
        else settings.method
    )
    there = by_code.get(code)
    if elevation_m is None:
        elevation_m = place.position.elevation_m or (
            there.position.elevation_m if there else settings.height_m
        )
    row = Row(
        line,
        written,
        code,
        name or (there.name if there else code),
        place,
        elevation_m,
        stated_m,
        method,
        mark if typed else cells.get("mark"),
        is_target,
        sees,
        remarks=(*remarks, *more),
        action="new",
    )
    if there is None:
        return row
    moved_m = geodesy.apart_m(there.position, row.position)
    same = moved_m < SAME_M and (
        accuracy_m is None or abs(stated_m - there.accuracy_m) < 0.001 * there.accuracy_m + 1e-6
    )
    renamed = row.name != there.name or (row.mark is not None and row.mark != there.mark)
    return Row(
        **{
            **vars(row),
            "moved_m": moved_m,
            "action": ("named" if renamed else "same") if same else "survey",
        }
    )


def _identity(cells, free, known):
    """Code and name; a code that stands before the name (`A Gate post`) is taken from there, one
    that no point can have is replaced.
    """
    code, name = cells.get("code", "").upper(), cells.get("name", "")
    if (
        not code
        and (found := CODE_BEFORE.fullmatch(name))
        and (found[1] in known or SHORT_CODE.fullmatch(found[1]))
    ):
        return found[1], found[2][:80], ()
    if not code and CODE.fullmatch(name):
        return name, name, ()
    if CODE.fullmatch(code):
        return code, name[:80], ()
    proposed = next(free)
    if code:
        return (
            proposed,
            (name or code)[:80],
            (
                say(
                    "“{code}” is no code of one to four letters or digits: “{proposed}” is "
                    "proposed.",
                    code=code[:20],
                    proposed=proposed,
                ),
            ),
        )
    return proposed, name[:80], (say("No code: “{proposed}” is proposed.", proposed=proposed),)


def _place(cells, settings, near):
    if cells.get("place"):
        return coordinates.read_place(cells["place"], near)
    if "latitude" in cells and "longitude" in cells and (cells["latitude"] or cells["longitude"]):
        return coordinates.read_pair(cells["latitude"], cells["longitude"])
    if "easting" in cells and "northing" in cells:
        return coordinates.read_grid(
            cells["easting"], cells["northing"], settings.epsg or geodesy.utm_epsg(near)
        )
    raise NotAPlace(say("Nothing here. Write latitude and longitude, a UTM or an MGRS reference."))


def _number(cells, key, least, most):
    text = cells.get(key, "")
    if not text:
        return None
    value = coordinates.read_number(re.sub(r"\s*m$", "", text)).value
    if not least <= value <= most:
        raise NotAPlace(
            say(
                "{field}: {value:g} is not between {least:g} and {most:g}.",
                field=FIELDS[key],
                value=value,
                least=least,
                most=most,
            )
        )
    return value


def _flag(cells):
    if "is_target" not in cells:
        return None
    text = cells["is_target"].lower()
    if text not in YES | NO:
        raise NotAPlace(say("“{text}” is neither yes nor no.", text=text[:20]))
    return text in YES


def _far(position, near):
    """Why a position far from the site is refused, with the slip that would explain it; empty for
    one that is near.
    """
    metres = geodesy.apart_m(position, near)
    if metres <= FAR_FROM_SITE_M:
        return ""
    return together(
        [
            say("This is {distance:.0f} km from the site.", distance=metres / 1000.0),
            slip(position, near),
        ]
    )


def slip(position, near):
    """The slip that explains a position far from a site."""
    latitude, longitude = position.latitude_deg, position.longitude_deg
    for lat, lon, words in (
        (-latitude, longitude, say("Is the sign of the latitude wrong? South is negative.")),
        (latitude, -longitude, say("Is the sign of the longitude wrong? West is negative.")),
        (-latitude, -longitude, say("Are both signs wrong? South and west are negative.")),
        (longitude, latitude, say("Are latitude and longitude exchanged?")),
        (-longitude, latitude, say("Are latitude and longitude exchanged, and a sign wrong?")),
        (longitude, -latitude, say("Are latitude and longitude exchanged, and a sign wrong?")),
    ):
        if abs(lat) <= 90 and geodesy.apart_m(Position(lat, lon), near) <= FAR_FROM_SITE_M:
            return words
    return say("Check both numbers against the site's position.")


def _accuracy(place, stated_m, default_m):
    """The standard uncertainty of a row, and remarks. What is stated is believed; what is not is
    never better than the way of writing; a transformation's is added.
    """
    remarks, own_m = [], coordinates.finest_m(place)
    worst_m = stated_m or place.uncertainty_m or max(default_m, own_m)
    if stated_m is None and own_m > worst_m / 2.0:
        remarks.append(
            say(
                "Written to {metres:.0f} m only: more digits would make it better.",
                metres=2 * place.resolution_m,
            )
        )
    if place.transformation_m:
        worst_m = (worst_m**2 + place.transformation_m**2) ** 0.5
        remarks.append(
            say(
                "Turned into WGS 84 by {name}, good to {metres:g} m.",
                name=place.transformation,
                metres=float(place.transformation_m),
            )
        )
    elif place.transformation and place.notation == "grid":
        remarks.append(say("Read in {name}.", name=place.transformation))
    return round(worst_m, 4), tuple(remarks)


def _refused(row, problem):
    return Row(**{**vars(row), "action": "refused", "problem": problem})


def _beside(row, rows, known):
    """The row with a remark where another point stands at the same place."""
    if row.action == "refused":
        return row
    for code, position in [(point.code, point.position) for point in known] + [
        (other.code, other.position) for other in rows if other.place and other.action != "refused"
    ]:
        if code != row.code and geodesy.apart_m(position, row.position) < CLOSE_M:
            return Row(
                **{
                    **vars(row),
                    "coincides": row.action == "new",
                    "remarks": (
                        *row.remarks,
                        say("Point {code} stands at the same place.", code=code),
                    ),
                }
            )
    return row
