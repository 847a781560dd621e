"""What the columns of a sheet of points mean, and whether they can be read."""

import re

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
    name = re.sub(r"\(.*?\)|\[.*?\]", "", name.lower())
    return re.sub(r"[^a-zñ]", "", name.translate(str.maketrans("áéíóúü", "aeiouu")))


def check_columns(sheet, columns):
    """Raise BadFile where no column holds a position, or one mixes decimal marks."""
    if not any(needed <= columns.keys() for needed in POSITIONS):
        raise BadFile(
            say(
                "Say which columns hold the position: latitude and longitude, easting and "
                "northing, or one with the whole place."
            )
        )
    for key in NUMBERS:
        if key in columns:
            _check_decimal_mark(sheet, columns[key])


def _check_decimal_mark(sheet, index):
    first_line = {}
    for line, cells in zip(sheet.lines, sheet.rows, strict=True):
        for mark in re.findall(r"\d([.,])\d", cells[index]):
            first_line.setdefault(mark, line)
    if len(first_line) == 2:
        raise BadFile(
            say(
                "Column “{column}” mixes decimal points (line {point}) and decimal "
                "commas (line {comma}). Use one of them.",
                column=sheet.columns[index],
                point=first_line["."],
                comma=first_line[","],
            )
        )
