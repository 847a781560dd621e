"""Where something is, in the notations that people write: degrees, UTM, MGRS, a map grid, the text
that a phone shares.

Nothing is left over, and reading never guesses between two places: what can be read in two ways is
settled by the site it should lie near, and the other way is told; without a site it is refused.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from ..words import say
from . import geodesy
from .addresses import Shared, read_shared
from .angle_notation import (
    LATITUDE,
    LONGITUDE,
    SHOWN,
    NotAPlace,
    axis_in_words,
    one_axis,
    read_angle,
    read_number,
)
from .geodesy import METRES_PER_DEGREE, Position
from .grid_notation import GridReference, read_mgrs, read_utm
from .pair_notation import Pair, beyond, is_on_earth, read_pairs
from .place import NOTATIONS, Place, decide, finest_m
from .plain_text import plain

__all__ = ["NOTATIONS", "NotAPlace", "Place", "finest_m", "read_number"]  # with what reads below

LONGEST_TEXT = 500  # characters; a shared address is long, a coordinate is not
SAME_PLACE_M = 50.0  # pairs of one shared text that lie nearer mean one place
MOST_TOKENS = 16  # of a text in which what is left over is looked for


def read_place(text: str, near: Position | None = None) -> Place:
    """The place that a text names, as `Place`. `near` is a position, of the site as a rule, that
    settles what can be read in two ways, or None.

    Understands `-45.1302, 170.1003`, `45°07.812'S 170°06.018'E`, `45 07 48.7 S, 170 06 01.1 E`,
    `45d07m48.7s S`, `latitud 45,1302 sur`, `59G 429226 5002214`, `429 226 mE 5 002 214 mN zone
    59G`, `59G ML 29226 02214`, `geo:-45.1302,170.1003;u=12` (RFC 5870), and addresses with a pair
    of decimal degrees in them. Latitude comes first unless letters say otherwise. A height (`, 12
    m`) and an uncertainty (`± 3 m`) may follow. Anything else that is left over is refused. Raises
    NotAPlace.

    >>> read_place("45°07'48.7\\"S 170°06'01.1\\"E").position.latitude_deg
    -45.13019444444444
    """
    text = _checked(text)
    if not text:
        raise NotAPlace(
            say("Nothing here. Write latitude and longitude, a UTM or an MGRS reference.")
        )
    if shared := read_shared(text):
        return _shared(shared, near, text)
    if readings := _readings(text):
        return decide(readings, near, text)
    raise _no_place(text)


def read_exchanged(text: str) -> Position | None:
    """Where a text would lie whose longitude comes first against the rule; None where it can mean
    no such place.

    >>> read_exchanged("146.2048, -42.1247")
    Position(latitude_deg=-42.1247, longitude_deg=146.2048, elevation_m=None)
    """
    try:
        readings = _readings(_checked(text))
    except NotAPlace:
        return None
    return next((place.position for place in readings if place.doubt == "order"), None)


def _checked(text: str) -> str:
    """A text in one way of writing. Raises NotAPlace for one that is too long."""
    text = plain(str(text)[: LONGEST_TEXT + 1])
    if len(text) > LONGEST_TEXT:
        raise NotAPlace(
            say(
                "The text is longer than {most} characters. Paste the coordinates alone.",
                most=LONGEST_TEXT,
            )
        )
    return text


def _readings(text: str) -> list[Place]:
    """Every place that a text without an address may name; none where it is no place. Raises
    NotAPlace where it has the form of one but names none.
    """
    text = IN_WGS84.sub("", text, count=1).strip(" ,;")
    return _alone(text) or _followed(text)


def _alone(text: str) -> list[Place]:
    """Every place that a text with nothing besides may name."""
    found: list[Place] = []
    complaints: list[NotAPlace] = []
    for reader in (_in_mgrs, _in_utm, _in_pairs):
        try:
            found += reader(text)
        except NotAPlace as error:
            complaints.append(error)
    if not found and complaints:
        raise complaints[0]
    return found


def _in_mgrs(text: str) -> list[Place]:
    """The place of an MGRS reference."""
    return [_on_grid("mgrs", reference) for reference in read_mgrs(text)]


def _in_utm(text: str) -> list[Place]:
    """The places that a UTM reference may name."""
    return [_on_grid("utm", reference) for reference in read_utm(text)]


def _in_pairs(text: str) -> list[Place]:
    """The places that two angles may name."""
    return [_in_degrees(pair) for pair in read_pairs(text)]


NAME_OF_DATUM = r"\(?(?:datum\s*:?\s*)?WGS[\s-]?(?:19)?84(?![^\W_])\)?"
IN_WGS84 = re.compile(
    rf"^{NAME_OF_DATUM}[\s,;:]*|[\s,;:]*(?<![^\W_]){NAME_OF_DATUM}$", re.IGNORECASE
)
METRES = r"(?:met(?:re|er)s?|metros?|m)\b\.?"
ABOVE_SEA = r"(?:\s*(?:a\.?\s?s\.?\s?l|a\.?m\.?s\.?l|s\.?\s?n\.?\s?m)\.?)?"
CALLED_HEIGHT = (
    r"(?:altitude?|altura|alt|elevation|elevación|elev|ele|height|cota|h|z)\b\.?\s*[:=]?\s*"
)
HEIGHT = re.compile(
    rf"(?P<rest>.+?)(?:\s*[,;]\s*(?:{CALLED_HEIGHT})?|\s+{CALLED_HEIGHT}|(?<=[NSEWO°'\"])\s+)"
    rf"(?P<figures>[-+]?[0-9]{{1,4}}(?:[.,][0-9]{{1,3}})?)\s*(?:{METRES}|m(?=a|s)){ABOVE_SEA}",
    re.IGNORECASE,
)
UNCERTAINTY = re.compile(
    r"(?P<rest>.+?)[\s,;(]*(?:±|\+/-)\s*(?P<figures>[0-9]{1,4}(?:[.,][0-9]{1,3})?)"
    rf"\s*{METRES}\s*\)?",
    re.IGNORECASE,
)
EXTRAS = (("uncertainty_m", UNCERTAINTY), ("height_m", HEIGHT))


def _followed(text: str) -> list[Place]:
    """Every place that a text with a height, an uncertainty or both after it may name."""
    stated: dict[str, float] = {}
    for name, pattern in EXTRAS:
        if written := pattern.fullmatch(text):
            text, stated[name] = written["rest"], read_number(written["figures"]).value
    return [
        replace(place, height_m=stated.get("height_m"), uncertainty_m=stated.get("uncertainty_m"))
        for place in (_alone(text) if stated else ())
    ]


FIGURE_OR_WORD = r"[0-9]+(?:[.,][0-9]+)*|[^\W\d_]+"


def _no_place(text: str) -> NotAPlace:
    """Why a text is no place: what is left over beside one, or that nothing is known in it."""
    words, parts = (list(re.finditer(form, text)) for form in (r"\S+", FIGURE_OR_WORD))
    for token in [*reversed(words), *reversed(parts)] if len(parts) <= MOST_TOKENS else ():
        if is_place(text[: token.start()] + " " + text[token.end() :]):
            return NotAPlace(
                say(
                    "“{text}” is not a place: “{token}” is left over. Take it out; a height is "
                    "written as “, 12 m”.",
                    text=text[:60],
                    token=token[0][:SHOWN],
                )
            )
    return NotAPlace(
        say(
            "“{text}” is not a place. Write latitude and longitude such as 45.13020 S, 170.10030 "
            "E, or a UTM or MGRS reference.",
            text=text[:60],
        )
    )


def is_place(text: str) -> bool:
    """Whether a text is a place, whichever of those that it may name.

    >>> is_place("42.12465 S, 146.20480 E"), is_place("S3: 42.12465 S, 146.20480 E")
    (True, False)
    """
    try:
        text = _checked(text)
        shared = read_shared(text)
        return bool(_shared(shared, None, text) if shared else _readings(text))
    except NotAPlace:
        return False


def _shared(shared: Shared, near: Position | None, text: str) -> Place:
    """The place of a shared text. What stands beside the address may say the same place; words are
    passed over; other figures are refused.
    """
    places = [
        replace(
            _in_degrees(pair),
            height_m=shared.height_m,
            uncertainty_m=shared.uncertainty_m,
            passed_over=shared.beside,
        )
        for pair in shared.pairs
    ]
    places = [replace(place, notation="geo") for place in places] if shared.is_link else places
    if re.search(r"[0-9]", shared.beside):
        beside = _readings(shared.beside)
        if not beside:
            raise NotAPlace(
                say(
                    "“{words}” stands beside the address. Paste the address alone, or the "
                    "coordinates.",
                    words=shared.beside[:SHOWN],
                )
            )
        places.append(decide(beside, near, shared.beside))
    if not places:
        raise NotAPlace(
            say(
                "There are no coordinates in the address “{text}”. Open it, and copy latitude "
                "and longitude.",
                text=text[:SHOWN],
            )
        )
    return _same(places, text)


def _same(places: Sequence[Place], text: str) -> Place:
    """The last of some places that must be one to within SAME_PLACE_M. Raises NotAPlace."""
    here = places[0].position
    if any(geodesy.apart_m(here, other.position) > SAME_PLACE_M for other in places[1:]):
        raise NotAPlace(
            say(
                "There are several places in “{text}…”. Paste the coordinates of one.",
                text=text[:SHOWN],
            )
        )
    return places[-1]


def read_pair(latitude: str, longitude: str, near: Position | None = None) -> Place:
    """The place of a latitude and a longitude that stand in two cells. Raises NotAPlace, naming the
    one that is wrong.
    """
    first = read_angle(_checked(latitude), LATITUDE)
    second = read_angle(_checked(longitude), LONGITUDE)
    if (first.axis, second.axis) == (LONGITUDE, LATITUDE):
        first, second = second, first
    if first.axis == LONGITUDE or second.axis == LATITUDE:
        raise one_axis()
    pair = Pair(first, second)
    if not is_on_earth(pair):
        raise beyond(pair)
    pairs = [pair]
    if second.is_o:
        pairs.append(Pair(first, second.eastwards, "letter"))
    return decide([_in_degrees(pair) for pair in pairs], near, f"{latitude} {longitude}")


GROUPED = re.compile(r"([-+]?[0-9]{1,3}(?:[ '][0-9]{3})+(?:[.,][0-9]+)?|[-+0-9.,]+)")


def read_grid(easting: str, northing: str, epsg: int) -> Place:
    """The place of a first (east, or longitude) and a second coordinate in an EPSG system, in the
    system's own unit, with how it came to WGS 84.

    Raises NotAPlace for what is no number, and UnsuitableGrid for an unknown system, a place
    outside it, and an old datum that cannot be turned into WGS 84.
    """
    east, north = (read_number(_ungrouped(_checked(text))) for text in (easting, northing))
    position, change = geodesy.from_epsg(east.value, north.value, epsg)
    step_m = min(east.step, north.step) * geodesy.unit_m(epsg)
    return Place(position, "grid", step_m / 2.0, change=change)


def _ungrouped(figures: str) -> str:
    """A number without the spaces that part its thousands."""
    return re.sub("[ ']", "", figures) if GROUPED.fullmatch(figures) else figures


def read_degrees(text: str, axis: str) -> float:
    """A latitude or a longitude that stands alone, in decimal degrees, in any notation of degrees.
    Raises NotAPlace, also for a letter of the other axis.

    >>> read_degrees("170°06.018'E", "longitude")
    170.1003
    """
    angle = read_angle(_checked(text), axis)
    if angle.axis not in ("", axis):
        raise NotAPlace(
            say(
                "“{text}” is not a {axis}: its letter belongs to the other one.",
                text=text[:SHOWN],
                axis=axis_in_words(axis),
            )
        )
    return angle.degrees


def _in_degrees(pair: Pair) -> Place:
    """The place of two angles."""
    latitude, longitude = pair.latitude, pair.longitude
    return Place(
        Position(latitude.degrees, longitude.degrees),
        max(latitude.notation, longitude.notation, key=NOTATIONS.index),
        min(latitude.step_deg, longitude.step_deg) * METRES_PER_DEGREE / 2.0,
        doubt=pair.doubt,
    )


def _on_grid(notation: str, reference: GridReference) -> Place:
    """The place of a grid reference."""
    return Place(reference.position, notation, reference.half_step_m, change=reference.change)
