"""Where something is, in the notations that people write: degrees, UTM, MGRS, a map grid, the text
that a phone shares.

Reading never guesses between two places: what can be read in two ways is refused, or settled by the
site it should lie near.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass, replace

from ..words import say
from . import geodesy
from .angle_notation import (
    LATITUDE,
    LONGITUDE,
    SHOWN,
    Angle,
    NotAPlace,
    axis_in_words,
    halves,
    read_angle,
    read_number,
)
from .geodesy import Position
from .grid_notation import GridReference, read_mgrs, read_utm

LONGEST_TEXT = 500  # characters; a shared address is long, a coordinate is not
METRES_PER_DEGREE = 111_320.0  # of latitude; good enough for how finely a number was written
# How a place may be written, the coarsest first; `vocabulary` says them.
NOTATIONS = ("decimal", "minutes", "seconds", "utm", "mgrs", "grid", "geo")
LOOK_ALIKES = (
    ("\u2212", "-"),
    ("\u2013", "-"),
    ("\u2032", "'"),
    ("\u2019", "'"),
    ("\u02b9", "'"),
    ("\u00b4", "'"),
    ("\u2033", '"'),
    ("\u201d", '"'),
    ("\u02ba", '"'),
    ("''", '"'),
    ("\u00ba", "°"),
    ("\u02da", "°"),
    ("\xa0", " "),
)


@dataclass(frozen=True)
class Place:
    """A position with how it was written: one of NOTATIONS, and how finely in metres (half of the
    last digit's step, of the finer number: spreadsheets drop a last zero).

    `uncertainty_m` is what the text itself states (the `u` of a geo link), else None.
    `transformation` names how it came to WGS 84, and `transformation_m` is that operation's stated
    accuracy in metres, None where none is stated or no datum was changed.
    """

    position: Position
    notation: str
    resolution_m: float
    uncertainty_m: float | None = None
    transformation: str = ""
    transformation_m: float | None = None


def read_place(text: str, near: Position | None = None) -> Place:
    """The place that a text names, as `Place`. `near` is a position that settles which hemisphere a
    letter means, or None.

    Understands `-45.1302, 170.1003`, `45°07.812'S 170°06.018'E`, `45 07 48.7 S, 170 06 01.1 E`,
    `59G 429226 5002214`, `59GML2922602214`, `geo:-45.1302,170.1003;u=12` (RFC 5870), and addresses
    and shared texts with a pair of decimal degrees in them. Latitude comes first unless letters say
    otherwise. Raises NotAPlace.

    >>> read_place("45°07'48.7\\"S 170°06'01.1\\"E").position.latitude_deg
    -45.13019444444444
    """
    text = _plain(text)
    if not text:
        raise NotAPlace(
            say("Nothing here. Write latitude and longitude, a UTM or an MGRS reference.")
        )
    place = (
        _from_link(text)
        or _on_grid("mgrs", read_mgrs(text))
        or _on_grid("utm", read_utm(text, near))
        or _from_degrees(text)
        or _from_shared_text(text)
    )
    if place:
        return place
    raise NotAPlace(
        say(
            "“{text}” is not a place. Write latitude and longitude such as 45.13020 S, 170.10030 "
            "E, or a UTM or MGRS reference.",
            text=text[:60],
        )
    )


def read_pair(latitude: str, longitude: str) -> Place:
    """The place of a latitude and a longitude that stand in two cells. Raises NotAPlace, naming the
    one that is wrong.
    """
    first = read_angle(_plain(latitude), LATITUDE)
    second = read_angle(_plain(longitude), LONGITUDE)
    if (first.axis, second.axis) == (LONGITUDE, LATITUDE):
        first, second = second, first
    if first.axis == LONGITUDE or second.axis == LATITUDE:
        raise _one_axis()
    return _placed(first, second)


def read_grid(easting: str, northing: str, epsg: int) -> Place:
    """The place of a first (east, or longitude) and a second coordinate in an EPSG system, with how
    it came to WGS 84.

    Raises NotAPlace for what is no number, and UnsuitableGrid for an unknown system or a place
    outside it.
    """
    east, north = read_number(_plain(easting)), read_number(_plain(northing))
    position, name, accuracy_m = geodesy.from_epsg(east.value, north.value, epsg)
    step = min(east.step, north.step) * (METRES_PER_DEGREE if geodesy.is_geographic(epsg) else 1.0)
    return Place(position, "grid", step / 2.0, transformation=name, transformation_m=accuracy_m)


def read_degrees(text: str, axis: str) -> float:
    """A latitude or a longitude that stands alone, in decimal degrees, in any notation of degrees.
    Raises NotAPlace, also for a letter of the other axis.

    >>> read_degrees("170°06.018'E", "longitude")
    170.1003
    """
    angle = read_angle(_plain(text), axis)
    if angle.axis not in ("", axis):
        raise NotAPlace(
            say(
                "“{text}” is not a {axis}: its letter belongs to the other one.",
                text=text[:SHOWN],
                axis=axis_in_words(axis),
            )
        )
    return angle.degrees


def _plain(text: str) -> str:
    """One way of writing: look-alikes made one, single spaces. Raises NotAPlace for a text that is
    too long.
    """
    text = unicodedata.normalize("NFKC", str(text))[: LONGEST_TEXT + 1].strip()
    if len(text) > LONGEST_TEXT:
        raise NotAPlace(
            say(
                "The text is longer than {most} characters. Paste the coordinates alone.",
                most=LONGEST_TEXT,
            )
        )
    for strange, usual in LOOK_ALIKES:
        text = text.replace(strange, usual)
    return re.sub(r"\s+", " ", text)


def _placed(first: Angle, second: Angle) -> Place:
    """A place of two angles, the first of which is the latitude unless letters say otherwise."""
    is_exchanged = first.axis == LONGITUDE or second.axis == LATITUDE
    latitude, longitude = (second, first) if is_exchanged else (first, second)
    if latitude.axis and latitude.axis == longitude.axis:
        raise _one_axis()
    return Place(
        _position(latitude, longitude),
        max(latitude.notation, longitude.notation, key=NOTATIONS.index),
        min(latitude.step_deg, longitude.step_deg) * METRES_PER_DEGREE / 2.0,
    )


def _one_axis() -> NotAPlace:
    """The refusal of two latitudes, and of two longitudes."""
    return NotAPlace(
        say(
            "Both numbers have letters of one axis: N and S belong to latitudes, E and W to "
            "longitudes."
        )
    )


def _position(latitude: Angle, longitude: Angle) -> Position:
    """The position of two angles. Raises NotAPlace outside the Earth."""
    try:
        return Position(latitude.degrees, longitude.degrees)
    except geodesy.PositionOutOfRange as error:
        if abs(latitude.degrees) > 90 and abs(longitude.degrees) <= 90:
            raise NotAPlace(
                say(
                    "Latitude {latitude} is more than 90: are latitude and longitude exchanged?",
                    latitude=f"{latitude.degrees:g}",
                )
            ) from error
        raise NotAPlace(error.args[0]) from error


LINK = re.compile(
    r"geo:\s*(-?\d{1,2}(?:\.\d+)?),(-?\d{1,3}(?:\.\d+)?)(?:,(-?\d+(?:\.\d+)?))?((?:;[^\s;]+)*)",
    re.IGNORECASE,
)
ASKED = re.compile(r"geo:0(?:\.0+)?,0(?:\.0+)?\?q=", re.IGNORECASE)


def _from_link(text: str) -> Place | None:
    """A geo link, RFC 5870: latitude, longitude, perhaps height; `u` is the uncertainty in
    metres.
    """
    link = LINK.search(text)
    if not link or ASKED.search(text):
        return None  # a link that asks for a place instead of stating one is read as a shared text
    latitude, longitude = read_angle(link[1]), read_angle(link[2])
    stated = re.search(r";u=(\d{1,5}(?:\.\d{1,6})?)(?=;|$)", link[4])
    crs = re.search(r";crs=([\w-]+)", link[4], re.IGNORECASE)
    if crs and crs[1].lower() != "wgs84":
        raise NotAPlace(
            say(
                "The link is in the system “{crs}”. Use one in WGS 84, or the map grid's own "
                "numbers.",
                crs=crs[1][:20],
            )
        )
    place = _placed(latitude, longitude)
    return Place(
        replace(place.position, elevation_m=float(link[3] or 0.0)),
        "geo",
        place.resolution_m,
        uncertainty_m=float(stated[1]) if stated else None,
    )


def _on_grid(notation: str, reference: GridReference | None) -> Place | None:
    """The place of a grid reference, if it is one."""
    if reference is None:
        return None
    return Place(
        reference.position,
        notation,
        reference.half_step_m,
        transformation=reference.transformation,
        transformation_m=reference.transformation_m,
    )


def _from_degrees(text: str) -> Place | None:
    """Two angles, one after the other."""
    bare = re.sub(
        r"\b(lat(itude)?|lon(g(itude)?)?|lng)\b\s*[:=]?", " ", text, flags=re.IGNORECASE
    ).strip(" ()[]")
    parted = halves(bare)
    if parted is None:
        return None
    first, second = (read_angle(half) for half in parted)
    return _placed(first, second)


PAIR = re.compile(
    r"(?<![\d.])(-?\d{1,2}\.\d{2,})\s*(?:,|%2C|/|!4d)\s*\+?(-?\d{1,3}\.\d{2,})(?![\d.])",
    re.IGNORECASE,
)
SAME_PLACE_M = 50.0  # pairs of one text that lie nearer mean one place


def _from_shared_text(text: str) -> Place | None:
    """An address or a message with a pair of decimal degrees in it; several pairs must be the same
    place to within SAME_PLACE_M.
    """
    places = [_placed(read_angle(lat), read_angle(lon)) for lat, lon in PAIR.findall(text)]
    if not places:
        return None
    here = places[0].position
    if any(geodesy.apart_m(here, other.position) > SAME_PLACE_M for other in places[1:]):
        raise NotAPlace(
            say(
                "There are several places in “{text}…”. Paste the coordinates of one.",
                text=text[:SHOWN],
            )
        )
    return places[-1]


def finest_m(place: Place) -> float:
    """What the way of writing alone leaves open, as a standard uncertainty in metres: half a step
    over sqrt(3) (GUM 4.3.7).
    """
    return place.resolution_m / math.sqrt(3.0)
