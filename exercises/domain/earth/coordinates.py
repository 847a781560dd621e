"""Where something is, in the notations that people write: degrees, UTM, MGRS, a map grid, the text
that a phone shares.

Reading never guesses between two places: what can be read in two ways is refused, or settled by the
site it should lie near. The only importer of mgrs.
"""

import math
import re
import unicodedata
import warnings
from dataclasses import dataclass

import mgrs

from ..words import say
from . import geodesy
from .geodesy import Position

LONGEST_TEXT = 500  # characters; a shared address is long, a coordinate is not
BANDS = "CDEFGHJKLMNPQRSTUVWX"  # latitude bands of 8 degrees from 80 south; X has 12
BAND_DEG = 8.0
BAND_SLACK_DEG = 0.5  # a northing near a band's edge
METRES_PER_DEGREE = 111_320.0  # of latitude; good enough for how finely a number was written
# How a place may be written, the coarsest first; `vocabulary` says them.
NOTATIONS = ("decimal", "minutes", "seconds", "utm", "mgrs", "grid", "geo")


class NotAPlace(ValueError):
    """A text that gives no place, or more than one. The message says what was wrong and what to
    write instead.
    """


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


def read_place(text, near=None):
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
    for reader in (_from_link, _from_mgrs, _from_utm, _from_degrees, _from_shared_text):
        place = reader(text, near)
        if place:
            return place
    raise NotAPlace(
        say(
            "“{text}” is not a place. Write latitude and longitude such as 45.13020 S, 170.10030 "
            "E, or a UTM or MGRS reference.",
            text=text[:60],
        )
    )


def read_pair(latitude, longitude):
    """The place of a latitude and a longitude that stand in two cells. Raises NotAPlace, naming the
    one that is wrong.
    """
    lat, lon = read_angle(_plain(latitude), "latitude"), read_angle(_plain(longitude), "longitude")
    if lat.axis == "longitude" and lon.axis == "latitude":
        lat, lon = lon, lat
    if lat.axis == "longitude" or lon.axis == "latitude":
        raise NotAPlace(
            say(
                "Both numbers have letters of one axis: N and S belong to latitudes, E and W to "
                "longitudes."
            )
        )
    return _placed(lat, lon)


def read_grid(easting, northing, epsg, near=None):
    """The place of a first (east, or longitude) and a second coordinate in an EPSG system, with how
    it came to WGS 84.

    Raises NotAPlace for what is no number, and UnsuitableGrid for an unknown system or a place
    outside it.
    """
    east, north = read_number(_plain(easting)), read_number(_plain(northing))
    position, name, accuracy_m = geodesy.from_epsg(east.value, north.value, epsg)
    step = min(east.step, north.step) * (METRES_PER_DEGREE if geodesy.is_geographic(epsg) else 1.0)
    return Place(position, "grid", step / 2.0, transformation=name, transformation_m=accuracy_m)


def _plain(text):
    text = unicodedata.normalize("NFKC", str(text))[: LONGEST_TEXT + 1].strip()
    if len(text) > LONGEST_TEXT:
        raise NotAPlace(
            say(
                "The text is longer than {most} characters. Paste the coordinates alone.",
                most=LONGEST_TEXT,
            )
        )
    for strange, usual in (
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
    ):
        text = text.replace(strange, usual)
    return re.sub(r"\s+", " ", text)


@dataclass(frozen=True)
class _Number:
    value: float
    step: float  # what one unit of the last written digit is worth


def read_number(text):
    """A number with a point or a comma, as `_Number`. Raises NotAPlace.

    >>> read_number("45,13").value
    45.13
    """
    if not re.fullmatch(r"[-+]?\d{1,12}([.,]\d{0,20})?", text):
        raise NotAPlace(
            say("“{text}” is not a number. Use digits and one decimal mark.", text=text[:40])
        )
    text = text.replace(",", ".")
    return _Number(float(text), 10.0 ** -len(text.partition(".")[2]))


@dataclass(frozen=True)
class _Angle:
    degrees: float
    axis: str  # "latitude", "longitude", or "" where no letter says
    notation: str
    step_deg: float


NUMBER = r"\d{1,3}(?:[.,]\d{0,20})?"
ANGLE = re.compile(
    rf"(?P<before>[NSEWO])?\s*(?P<sign>[-+])?\s*(?P<degrees>{NUMBER})\s*(?:°|deg)?"
    rf"(?:[\s:]*(?P<minutes>\d{{1,2}}(?:[.,]\d{{0,15}})?)\s*(?:'|min)?(?:[\s:]*(?P<seconds>\d{{1,2}}(?:[.,]\d{{0,15}})?)\s*(?:\"|sec)?)?)?"
    r"\s*(?P<after>[NSEWO])?",
    re.IGNORECASE,
)


def _said(axis):
    """An axis in words, for a message."""
    if not axis:
        return say("latitude or longitude")
    return say("latitude") if axis == "latitude" else say("longitude")


def read_angle(text, axis=""):
    """An angle in decimal degrees, degrees and minutes, or degrees, minutes and seconds, as
    `_Angle`. Raises NotAPlace.

    `axis` names what is read, for the message. A letter gives the sign; a minus beside S or W says
    the same thing twice and is refused.
    """
    found = ANGLE.fullmatch(text.strip())
    if not found:
        raise NotAPlace(
            say(
                "“{text}” is not a {axis}. Write degrees such as 45.13020 S or 45°07'48.7\"S.",
                text=text[:40],
                axis=_said(axis),
            )
        )
    parts = [
        part.replace(",", ".")
        for part in (found["degrees"], found["minutes"], found["seconds"])
        if part is not None
    ]
    for part in parts[:-1]:
        if "." in part:
            raise NotAPlace(
                say(
                    "“{text}”: only the last of degrees, minutes and seconds may have decimals.",
                    text=text[:40],
                )
            )
    values = [float(part) for part in parts]
    if any(value >= 60 for value in values[1:]):
        raise NotAPlace(say("“{text}”: minutes and seconds stay below 60.", text=text[:40]))
    letters = [
        letter.upper().replace("O", "W") for letter in (found["before"], found["after"]) if letter
    ]
    if len(letters) > 1 or (letters and found["sign"] == "-"):
        raise NotAPlace(
            say("“{text}” has two signs. Write either a minus or a letter, once.", text=text[:40])
        )
    letter = letters[0] if letters else ""
    size = sum(value / 60**place for place, value in enumerate(values))
    negative = found["sign"] == "-" or letter in ("S", "W")
    return _Angle(
        -size if negative else size,
        {"N": "latitude", "S": "latitude", "E": "longitude", "W": "longitude"}.get(letter, ""),
        ("decimal", "minutes", "seconds")[len(values) - 1],
        10.0 ** -len(parts[-1].partition(".")[2]) / 60 ** (len(values) - 1),
    )


def read_degrees(text, axis):
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
                text=text[:40],
                axis=_said(axis),
            )
        )
    return angle.degrees


def _placed(lat, lon, **more):
    """A place of two angles, the first of which is the latitude unless letters say otherwise."""
    if lat.axis == "longitude" or lon.axis == "latitude":
        lat, lon = lon, lat
    if (lat.axis, lon.axis) in (("latitude", "latitude"), ("longitude", "longitude")):
        raise NotAPlace(
            say(
                "Both numbers have letters of one axis: N and S belong to latitudes, E and W to "
                "longitudes."
            )
        )
    try:
        position = Position(lat.degrees, lon.degrees)
    except geodesy.PositionOutOfRange as error:
        if abs(lat.degrees) > 90 and abs(lon.degrees) <= 90:
            raise NotAPlace(
                say(
                    "Latitude {latitude} is more than 90: are latitude and longitude exchanged?",
                    latitude=f"{lat.degrees:g}",
                )
            ) from error
        raise NotAPlace(error.args[0]) from error
    return Place(
        position,
        max(lat.notation, lon.notation, key=NOTATIONS.index),
        min(lat.step_deg, lon.step_deg) * METRES_PER_DEGREE / 2.0,
        **more,
    )


LINK = re.compile(
    r"geo:\s*(-?\d{1,2}(?:\.\d+)?),(-?\d{1,3}(?:\.\d+)?)(?:,(-?\d+(?:\.\d+)?))?((?:;[^\s;]+)*)",
    re.IGNORECASE,
)


ASKED = re.compile(r"geo:0(?:\.0+)?,0(?:\.0+)?\?q=", re.IGNORECASE)


def _from_link(text, near):
    """A geo link, RFC 5870: latitude, longitude, perhaps height; `u` is the uncertainty in
    metres.
    """
    found = LINK.search(text)
    if not found or ASKED.search(text):
        return None  # a link that asks for a place instead of stating one is read as a shared text
    lat, lon = read_angle(found[1]), read_angle(found[2])
    stated = re.search(r";u=(\d{1,5}(?:\.\d{1,6})?)(?=;|$)", found[4])
    crs = re.search(r";crs=([\w-]+)", found[4], re.IGNORECASE)
    if crs and crs[1].lower() != "wgs84":
        raise NotAPlace(
            say(
                "The link is in the system “{crs}”. Use one in WGS 84, or the map grid's own "
                "numbers.",
                crs=crs[1][:20],
            )
        )
    placed = _placed(lat, lon)
    position = Position(
        placed.position.latitude_deg, placed.position.longitude_deg, float(found[3] or 0.0)
    )
    return Place(
        position, "geo", placed.resolution_m, uncertainty_m=float(stated[1]) if stated else None
    )


MGRS = re.compile(
    r"(\d{1,2})\s*([C-HJ-NP-X])\s*([A-HJ-NP-Z])\s*([A-HJ-NP-V])\s*(\d{0,10})(?:\s+(\d{1,5}))?",
    re.IGNORECASE,
)


def _from_mgrs(text, near):
    """An MGRS reference: the centre of the square that it names, half a side fine.

    Source: NGA.SIG.0012 (2014), 3; mgrs 1.6 answers with the centre. Squares of the old lettering
    lie in another latitude band: refused.
    """
    found = MGRS.fullmatch(text)
    if not found:
        return None
    digits = found[5] + (found[6] or "")
    if len(digits) % 2 or len(digits) > 10 or (found[6] and len(found[5]) != len(found[6])):
        raise NotAPlace(
            say(
                "“{text}” has an odd number of digits: an MGRS reference has as many for east as "
                "for north.",
                text=text[:40],
            )
        )
    if len(digits) < 4:
        raise NotAPlace(
            say(
                "“{text}” names a square of {metres:.0f} m. Give at least 4 digits; 10 for one "
                "metre.",
                text=text[:40],
                metres=10.0 ** (5 - len(digits) // 2),
            )
        )
    reference = f"{int(found[1]):02d}{found[2]}{found[3]}{found[4]}{digits}".upper()
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore", RuntimeWarning
        )  # it warns where the band does not fit: looked at below
        try:
            latitude_deg, longitude_deg = mgrs.MGRS().toLatLon(reference)
        except mgrs.core.MGRSError as error:
            raise NotAPlace(
                say("“{text}” is not a square of the MGRS. Check zone and letters.", text=text[:40])
            ) from error
    if not _in_band(latitude_deg, found[2].upper()):
        raise NotAPlace(
            say(
                "“{text}”: that square does not lie in latitude band {band}. Check the letters.",
                text=text[:40],
                band=found[2].upper(),
            )
        )
    return Place(
        Position(latitude_deg, longitude_deg), "mgrs", 10.0 ** (5 - len(digits) // 2) / 2.0
    )


def _in_band(latitude_deg, band):
    south_deg = -80.0 + BAND_DEG * BANDS.index(band)
    return (
        south_deg - BAND_SLACK_DEG
        <= latitude_deg
        <= (84.0 if band == "X" else south_deg + BAND_DEG) + BAND_SLACK_DEG
    )


UTM = re.compile(
    r"(?:UTM\s*)?(?:zone\s*)?(\d{1,2})\s*([A-Z]|north|south)?[\s,;:]+(?:E\s*)?(\d{6}(?:[.,]\d+)?)\s*(?:m\s*)?E?[\s,;]+(?:N\s*)?(\d{1,8}(?:[.,]\d+)?)\s*(?:m\s*)?N?",
    re.IGNORECASE,
)


def _from_utm(text, near):
    """A UTM reference with zone and band, or zone and hemisphere: `59G 429226 5002214`, `32 N
    448251 5411943`.

    S and N are a band and a hemisphere both. The band is believed where the northing lies in it;
    else the hemisphere; where both fit, the one that lies near the site, and without a site it is
    refused.
    """
    found = UTM.fullmatch(text)
    if not found:
        return None
    zone, letter = int(found[1]), (found[2] or "").upper()
    if not 1 <= zone <= 60:
        raise NotAPlace(say("Zone {zone} is not a UTM zone: they run from 1 to 60.", zone=zone))
    east, north = read_number(found[3]), read_number(found[4])
    readings = []
    for hemisphere, base in (("N", 32600), ("S", 32700)):
        try:
            position, name, accuracy_m = geodesy.from_epsg(east.value, north.value, base + zone)
        except geodesy.UnsuitableGrid:
            continue
        if (position.latitude_deg >= -1e-6) == (hemisphere == "N") and _fits(
            letter, hemisphere, position
        ):
            readings.append(
                Place(
                    position,
                    "utm",
                    min(east.step, north.step) / 2.0,
                    transformation=name,
                    transformation_m=accuracy_m,
                )
            )
    if len(readings) == 2 and near:
        readings.sort(key=lambda place: geodesy.apart_m(place.position, near))
        return readings[0]
    if len(readings) == 1 or (
        readings and letter == "S"
    ):  # the first is north of the equator, in band S
        return readings[0]
    if readings:
        raise NotAPlace(
            say(
                "“{text}” may lie north or south of the equator. Write the latitude band after "
                "the zone, such as 59G.",
                text=text[:40],
            )
        )
    raise NotAPlace(
        say(
            "“{text}” lies in no place of UTM zone {zone} that its letter allows. Check zone, "
            "letter and both numbers.",
            text=text[:40],
            zone=zone,
        )
    )


def _fits(letter, hemisphere, position):
    """Whether a reading of a UTM reference agrees with its letter."""
    if letter in ("NORTH", "SOUTH"):
        return letter[0] == hemisphere
    if not letter:
        return True
    if letter in "NS":
        return letter == hemisphere or _in_band(position.latitude_deg, letter)
    return letter in BANDS and _in_band(position.latitude_deg, letter)


def _from_degrees(text, near):
    """Two angles, one after the other."""
    bare = re.sub(
        r"\b(lat(itude)?|lon(g(itude)?)?|lng)\b\s*[:=]?", " ", text, flags=re.IGNORECASE
    ).strip(" ()[]")
    halves = _halves(bare)
    if halves is None:
        return None
    first, second = (read_angle(half) for half in halves)
    return _placed(first, second)


def _halves(text):
    """The two halves of a pair of angles, or None where it is none. Raises NotAPlace where commas
    are marks and separators both.

    A comma parts unless it stands between digits; between digits it is a decimal mark in both
    numbers or in none.
    """
    if not re.fullmatch(r"[-+\d.,;:°'\"\sNSEWOnsewo/degminsc]*", text) or not re.search(
        r"\d", text
    ):
        return None
    for parting in (r"\s*[;/]\s*", r",\s+|\s+,"):
        halves = re.split(parting, text)
        if len(halves) == 2 and all(ANGLE.fullmatch(half.strip()) for half in halves):
            return _one_mark(halves, text)
    if re.fullmatch(r"[-+]?\d{1,3}(\.\d*)?,[-+]?\d{1,3}(\.\d*)?", text):
        if "." not in text and not re.search(r",[-+]", text):
            raise NotAPlace(
                say(
                    "“{text}”: is the comma a decimal mark, or does it part two numbers? Write "
                    "points in the numbers, or a semicolon between them.",
                    text=text[:40],
                )
            )
        return text.split(",")
    if text.count(",") == 3 and " " not in text:
        raise NotAPlace(
            say(
                "“{text}”: commas stand in the numbers and between them. Write points in the "
                "numbers, or a semicolon between them.",
                text=text[:40],
            )
        )
    lettered = re.findall(
        r"[^NSEWOnsewo]+[NSEWOnsewo](?![a-z])|[NSEWOnsewo](?![a-z])[^NSEWOnsewo]+", text
    )
    if len(lettered) == 2 and all(ANGLE.fullmatch(half.strip(" ,;")) for half in lettered):
        return _one_mark([half.strip(" ,;") for half in lettered], text)
    words = text.replace(",", " ").split() if not re.search(r"\d,\d", text) else text.split()
    middle, odd = divmod(len(words), 2)
    if not odd and words:
        halves = [" ".join(words[:middle]), " ".join(words[middle:])]
        if all(ANGLE.fullmatch(half) for half in halves):
            return _one_mark(halves, text)
    return None


def _one_mark(halves, text):
    """The halves, if they use one decimal mark. A comma in one and a point in the other is a slip
    of a spreadsheet, not a place.
    """
    marks = {mark for half in halves for mark in re.findall(r"\d([.,])\d", half)}
    if len(marks) == 2:
        raise NotAPlace(
            say(
                "“{text}” mixes decimal points and decimal commas. Use one of them in both "
                "numbers.",
                text=text[:40],
            )
        )
    return halves


PAIR = re.compile(
    r"(?<![\d.])(-?\d{1,2}\.\d{2,})\s*(?:,|%2C|/|!4d)\s*\+?(-?\d{1,3}\.\d{2,})(?![\d.])",
    re.IGNORECASE,
)


def _from_shared_text(text, near):
    """An address or a message with a pair of decimal degrees in it; several pairs must be the same
    place to within 50 m.
    """
    pairs = PAIR.findall(text)
    if not pairs:
        return None
    places = [_placed(read_angle(lat), read_angle(lon)) for lat, lon in pairs]
    if any(geodesy.apart_m(places[0].position, other.position) > 50 for other in places[1:]):
        raise NotAPlace(
            say(
                "There are several places in “{text}…”. Paste the coordinates of one.",
                text=text[:40],
            )
        )
    return places[-1]


def in_minutes(degrees, letters):
    """Degrees and decimal minutes to about a decimetre: `45°07.8120'S`. `letters` are for positive
    and negative.

    >>> in_minutes(-45.1302, "NS")
    "45°07.8120'S"
    """
    tenths_of_milli = round(abs(degrees) * 600_000)
    whole, rest = divmod(tenths_of_milli, 600_000)
    return f"{whole:02d}°{rest // 10_000:02d}.{rest % 10_000:04d}'{letters[degrees < 0]}"


def in_mgrs(position):
    """The MGRS reference of a position to the metre, `59G ML 29226 02214`. Raises UnsuitableGrid
    outside UTM.

    Digits are cut off, not rounded, as the standard says (NGA.SIG.0012, 3.4).
    """
    geodesy.utm_epsg(position)
    latitude_deg = (
        position.latitude_deg if abs(position.latitude_deg) > 1e-7 else 0.0
    )  # a hair south of the equator has a northing of 10,000 km, which MGRS cannot say
    packed = mgrs.MGRS().toMGRS(latitude_deg, position.longitude_deg)
    return f"{packed[:3]} {packed[3:5]} {packed[5:10]} {packed[10:]}"


def finest_m(place):
    """What the way of writing alone leaves open, as a standard uncertainty in metres: half a step
    over sqrt(3) (GUM 4.3.7).
    """
    return place.resolution_m / math.sqrt(3.0)
