"""What the columns of a sheet of points mean, and whether they can be read."""

import re
from collections import Counter

from ..domain.words import say
from .sheet import BadFile

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
POSITIONS = ({"place"}, {"latitude", "longitude"}, {"easting", "northing"})
NUMBERS = ("latitude", "longitude", "easting", "northing", "elevation_m", "accuracy_m")


def guess_columns(names):
    """Which column means what, by its name: {key of FIELDS: index}."""
    bare, columns = [_bare(name) for name in names], {}
    for key, words in SYNONYMS.items():
        indices = (bare.index(word) for word in words if word in bare)
        index = next((index for index in indices if index not in columns.values()), None)
        if index is not None:
            columns[key] = index
    return columns


def _bare(name):
    name = re.sub(r"\([^()]*\)|\[[^\[\]]*\]", "", name.lower())
    return re.sub(r"[^a-zñ]", "", name.translate(str.maketrans("áéíóúü", "aeiouu")))


def check_columns(sheet, columns):
    """Raise BadFile where no column holds a position."""
    if not has_position(columns):
        raise BadFile(
            say(
                "Say which columns hold the position: latitude and longitude, easting and "
                "northing, or one with the whole place."
            )
        )


def has_position(columns):
    """Whether columns, {key of FIELDS: index}, hold a position."""
    return any(needed <= columns.keys() for needed in POSITIONS)


def decimal_marks(sheet, columns):
    """The decimal mark of each column of numbers that has one: {key of FIELDS: (mark, line)}. It is
    the one in most of its cells, and of two that are as frequent the first; `line` has it first.
    Uneven lines have no say.
    """
    found, uneven = {}, dict(sheet.uneven)
    for key in NUMBERS:
        counts, first_line = Counter(), {}
        for line, cells in zip(sheet.lines, sheet.rows, strict=True) if key in columns else ():
            for mark in marks_in(cells[columns[key]]) if line not in uneven else ():
                counts[mark] += 1
                first_line.setdefault(mark, line)
        if counts:
            [(mark, _)] = counts.most_common(1)
            found[key] = mark, first_line[mark]
    return found


def marks_in(text):
    """The decimal marks that stand in a text, each once."""
    return dict.fromkeys(re.findall(r"\d([.,])(?=\d)", text))


def unused(sheet, columns):
    """The names of the columns that mean nothing for a point, but for those that are empty."""
    return [
        name
        for index, name in enumerate(sheet.columns)
        if index not in columns.values() and any(cells[index] for cells in sheet.rows)
    ]
