"""What the cells of one row say: which point it is, where it lies and how well that is known."""

import re
from contextlib import contextmanager
from dataclasses import dataclass

from ..domain.earth import coordinates, geodesy
from ..domain.earth.coordinates import NotAPlace
from ..domain.earth.plain_text import plain
from ..domain.earth.position import PositionOutOfRange
from ..domain.words import Words, say
from . import read_as
from .columns import FIELDS, marks_in

CODE = re.compile(r"[A-Z0-9]{1,4}")
CODE_BEFORE = re.compile(r"([A-Z0-9]{1,4})\s+(\S.*)")
SHORT_CODE = re.compile(r"[A-Z]|[A-Z]{0,3}\d{1,3}")  # what is rather a code than a word in capitals
LONGEST_TYPED_CODE = 20  # what its field takes, so that what is no code can be said to be none
SAME_PLACE_M = 10.0  # two columns that say one place may differ by a datum, or by rounding
WORST_M = 100.0  # a point that is known less well is no point to take bearings at
METHODS = ("receiver", "averaged", "surveyed", "map")
POSITION = ("place", "latitude", "longitude", "easting", "northing")  # keys of FIELDS
YES, NO = {"yes", "y", "true", "1", "si", "sí", "x"}, {"no", "n", "false", "0", ""}


class WrongCell(ValueError):
    """Cells of a row that cannot be used. The message says why, `keys` (of FIELDS) which they
    are.
    """

    def __init__(self, words, *keys):
        super().__init__(words)
        self.keys = keys


@contextmanager
def _of(*keys):
    """What the domain refuses in these cells, as a WrongCell."""
    try:
        yield
    except (NotAPlace, geodesy.UnsuitableGrid, PositionOutOfRange) as error:
        raise WrongCell(error.args[0], *keys) from error


@dataclass(frozen=True)
class Identity:
    """Which point a row is of. `mark` is None where the sheet has no column for it."""

    code: str
    name: str
    mark: str | None
    remarks: tuple[Words, ...] = ()


def typed_over(identity, typed):
    """An identity with what a person typed over it, by key of FIELDS. A field that was left as it
    was shown says nothing: neither the code as a name, nor an empty mark where the sheet has none.
    """
    code = typed.get("code", identity.code).strip().upper()[:LONGEST_TYPED_CODE]
    name = typed.get("name", identity.name).strip()[:80]
    mark = typed.get("mark", identity.mark or "").strip()[:200]
    return Identity(
        code,
        "" if name == identity.code and not identity.name else name,
        None if identity.mark is None and not mark else mark,
        identity.remarks if code == identity.code else (),
    )


def read_identity(cells, free_codes, known):
    """The identity in the cells of a row. A code that stands before the name (`A Gate post`) is
    taken from there, one that no point can have is replaced by the next of `free_codes`.
    """
    code, name, mark = cells.get("code", "").upper(), cells.get("name", ""), cells.get("mark")
    if not code:
        before = CODE_BEFORE.fullmatch(name)
        if before and (before[1] in known or SHORT_CODE.fullmatch(before[1])):
            return Identity(before[1], before[2][:80], mark)
        if CODE.fullmatch(name):
            return Identity(name, name, mark)
    if CODE.fullmatch(code):
        return Identity(code, name[:80], mark)
    proposed = next(free_codes)
    remark = (
        say(
            "“{code}” is no code of one to four letters or digits: “{proposed}” is proposed.",
            code=code[:20],
            proposed=proposed,
        )
        if code
        else say("No code: “{proposed}” is proposed.", proposed=proposed)
    )
    return Identity(proposed, (name or code)[:80], mark, (remark,))


def free_codes(taken):
    """P1, P2 and so on, without those that are taken."""
    number = 0
    while True:
        number += 1
        if f"P{number}" not in taken:
            yield f"P{number}"


def check_decimal_marks(cells, marks):
    """Raise WrongCell for numbers with another decimal mark than their column has, which is in
    `marks` (`columns.decimal_marks`): who wrote the one may have meant thousands by the other.
    """
    wrong = [
        key
        for key, (mark, _) in marks.items()
        if any(other != mark for other in marks_in(cells[key]))
    ]
    if wrong:
        mark, line = marks[wrong[0]]
        raise WrongCell(_other_mark(cells[wrong[0]][:40], mark, line), *wrong)


def _other_mark(text, mark, line):
    """Why a number is refused in a column with a decimal mark, which a line has first."""
    if mark == ".":
        return say(
            "“{text}” has a decimal comma where line {line} has a decimal point. Write it in the "
            "same way.",
            text=text,
            line=line,
        )
    return say(
        "“{text}” has a decimal point where line {line} has a decimal comma. Write it in the same "
        "way.",
        text=text,
        line=line,
    )


def read_place(cells, epsg, near):
    """The `coordinates.Place` of a row, eastings and northings in a system or in the UTM zone of
    `near`. Raises WrongCell.
    """
    places = list(_places(cells, epsg, near))
    if not places:
        raise WrongCell(
            say("Nothing here. Write latitude and longitude, a UTM or an MGRS reference."),
            *(key for key in POSITION if key in cells),
        )
    first = places[0]
    for other in places[1:]:
        apart_m = geodesy.apart_m(first.position, other.position)
        if apart_m > SAME_PLACE_M + first.resolution_m + other.resolution_m:
            raise WrongCell(
                say(
                    "The columns of this row name two places, {metres:.0f} m apart. Leave one "
                    "empty.",
                    metres=apart_m,
                ),
                *written(cells),
            )
    return first


def written(cells):
    """The keys of the cells in which the place of a row stands."""
    return [key for key in POSITION if cells.get(key)]


def _places(cells, epsg, near):
    """The place by each of the columns that hold one."""
    if cells.get("place"):
        with _of("place"):
            yield coordinates.read_place(cells["place"], near)
    if cells.get("latitude") or cells.get("longitude"):
        latitude, longitude = _both(cells, "latitude", "longitude")
        with _of(*_unreadable(latitude, longitude)):
            yield coordinates.read_pair(latitude, longitude, near)
    if cells.get("easting") or cells.get("northing"):
        easting, northing = _both(cells, "easting", "northing")
        with _of("easting", "northing"):
            yield coordinates.read_grid(easting, northing, epsg or geodesy.utm_epsg(near))


def _both(cells, *keys):
    """The texts of two coordinates. Raises WrongCell where one is missing."""
    texts = [cells.get(key, "") for key in keys]
    if not all(texts):
        missing = [key for key, text in zip(keys, texts, strict=True) if not text]
        raise WrongCell(say("Nothing here: one coordinate alone is no place."), *missing)
    return texts


def _unreadable(latitude, longitude):
    """The keys of two angles: of the one that is none for itself, or of both."""
    keys = []
    for key, text in (("latitude", latitude), ("longitude", longitude)):
        try:
            coordinates.read_degrees(text, key)
        except (NotAPlace, PositionOutOfRange):
            keys.append(key)
    return keys or ["latitude", "longitude"]


def read_height(cells, place):
    """The height of a row in metres: of its own cell, or of the text of its place; None where
    neither tells one. Raises WrongCell, also where they tell two.
    """
    height_m = read_number(cells, "elevation_m", -500, 8900)
    if place.height_m is None or height_m == place.height_m:
        return height_m
    if height_m is None:
        return place.height_m
    raise WrongCell(
        say(
            "The place says {height:g} m of height, the column of heights {other:g} m. Leave one "
            "of them out.",
            height=place.height_m,
            other=height_m,
        ),
        "elevation_m",
    )


def read_number(cells, key, least, most):
    """A number between two, or None where its cell is empty. Raises WrongCell."""
    text = cells.get(key, "")
    if not text:
        return None
    with _of(key):
        value = coordinates.read_number(re.sub(r"\s*m$", "", plain(text))).value
    if not least <= value <= most:
        raise WrongCell(
            say(
                "{field}: {value:g} is not between {least:g} and {most:g}.",
                field=FIELDS[key],
                value=value,
                least=least,
                most=most,
            ),
            key,
        )
    return value


def read_is_target(cells):
    """Whether a point can be sighted, or None where the sheet does not say. Raises WrongCell."""
    if "is_target" not in cells:
        return None
    text = cells["is_target"].lower()
    if text not in YES | NO:
        raise WrongCell(say("“{text}” is neither yes nor no.", text=text[:20]), "is_target")
    return text in YES


def read_method(cells, usual):
    """How a row was surveyed, or the usual method where it names none that we know."""
    method = cells.get("method", "")
    return method if method in METHODS else usual


def read_sees(cells):
    """The codes of the targets seen from there, or None where the sheet does not say."""
    if "sees" not in cells:
        return None
    return tuple(cells["sees"].upper().replace(",", " ").split())


def accuracy_of(place, stated_m, default_m):
    """The standard uncertainty of a row, and remarks. What is stated is believed; what is not is
    never better than the way of writing; a transformation's is added, an assumed one where none is
    stated.
    """
    remarks, own_m = read_as.notes(place), coordinates.finest_m(place)
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
        remarks.append(_of_change(place.change))
    elif place.transformation and place.notation == "grid":
        remarks.append(say("Read in {name}.", name=place.transformation))
    return round(worst_m, 4), tuple(remarks)


def _of_change(change):
    """How a place came to WGS 84, and how well, in a sentence."""
    if change.is_stated:
        return say(
            "Turned into WGS 84 by {name}, good to {metres:g} m.",
            name=change.name,
            metres=float(change.uncertainty_m),
        )
    return say(
        "Taken for WGS 84 as it stands: {name}. How well the two agree is not stated; {metres:g} m "
        "is assumed.",
        name=change.name,
        metres=float(change.uncertainty_m),
    )
