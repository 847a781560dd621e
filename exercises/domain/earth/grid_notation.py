"""References to a grid as people write them: MGRS, and UTM with its zone. The only importer of
mgrs.
"""

from __future__ import annotations

import re
import warnings
from dataclasses import dataclass

import mgrs

from ..words import say
from . import geodesy
from .angle_notation import SHOWN, NotAPlace, read_number
from .geodesy import Position

BANDS = "CDEFGHJKLMNPQRSTUVWX"  # latitude bands of 8 degrees from 80 south; X has 12
BAND_DEG = 8.0
BAND_SLACK_DEG = 0.5  # a northing near a band's edge
EPSG_OF_HEMISPHERE = {"N": 32600, "S": 32700}  # the zone's number is added


@dataclass(frozen=True)
class GridReference:
    """The place of a reference, and half of its last digit's step in metres; for UTM how it came to
    WGS 84, and the stated accuracy of that in metres or None.
    """

    position: Position
    half_step_m: float
    transformation: str = ""
    transformation_m: float | None = None


MGRS = re.compile(
    r"(\d{1,2})\s*([C-HJ-NP-X])\s*([A-HJ-NP-Z])\s*([A-HJ-NP-V])\s*(\d{0,10})(?:\s+(\d{1,5}))?",
    re.IGNORECASE,
)


def read_mgrs(text: str) -> GridReference | None:
    """An MGRS reference: the centre of the square that it names, half a side fine; None for a text
    of another form. Raises NotAPlace.

    Source: NGA.SIG.0012 (2014), 3; mgrs 1.6 answers with the centre. Squares of the old lettering
    lie in another latitude band: refused.
    """
    written = MGRS.fullmatch(text)
    if not written:
        return None
    digits = _digits(written, text)
    band = written[2].upper()
    square = f"{int(written[1]):02d}{written[2]}{written[3]}{written[4]}{digits}".upper()
    with warnings.catch_warnings():
        # it warns where the band does not fit: looked at below
        warnings.simplefilter("ignore", RuntimeWarning)
        try:
            latitude_deg, longitude_deg = mgrs.MGRS().toLatLon(square)
        except mgrs.core.MGRSError as error:
            raise NotAPlace(
                say(
                    "“{text}” is not a square of the MGRS. Check zone and letters.",
                    text=text[:SHOWN],
                )
            ) from error
    if not _in_band(latitude_deg, band):
        raise NotAPlace(
            say(
                "“{text}”: that square does not lie in latitude band {band}. Check the letters.",
                text=text[:SHOWN],
                band=band,
            )
        )
    return GridReference(Position(latitude_deg, longitude_deg), _side_m(digits) / 2.0)


def _digits(written: re.Match[str], text: str) -> str:
    """The digits of an MGRS reference, east then north. Raises NotAPlace for an odd number of them,
    and for too few.
    """
    digits = written[5] + (written[6] or "")
    is_uneven = written[6] and len(written[5]) != len(written[6])
    if len(digits) % 2 or len(digits) > 10 or is_uneven:
        raise NotAPlace(
            say(
                "“{text}” has an odd number of digits: an MGRS reference has as many for east as "
                "for north.",
                text=text[:SHOWN],
            )
        )
    if len(digits) < 4:
        raise NotAPlace(
            say(
                "“{text}” names a square of {metres:.0f} m. Give at least 4 digits; 10 for one "
                "metre.",
                text=text[:SHOWN],
                metres=_side_m(digits),
            )
        )
    return digits


def _side_m(digits: str) -> float:
    """The side of the square that some digits name, metres."""
    return 10.0 ** (5 - len(digits) // 2)


def _in_band(latitude_deg: float, band: str) -> bool:
    """Whether a latitude lies in a latitude band, or a little past its edge."""
    south_deg = -80.0 + BAND_DEG * BANDS.index(band)
    north_deg = 84.0 if band == "X" else south_deg + BAND_DEG
    return south_deg - BAND_SLACK_DEG <= latitude_deg <= north_deg + BAND_SLACK_DEG


def square_100_km(position: Position) -> str:
    """Zone, band and letters of the MGRS square of 100 km that a position lies in; nothing beyond
    84 degrees north or 80 south. Source: NGA.SIG.0012 (2014), 3.

    >>> square_100_km(Position(48.8583, 2.2945))
    '31U DQ'
    """
    if not -80.0 <= position.latitude_deg <= 84.0:
        return ""
    square = mgrs.MGRS().toMGRS(position.latitude_deg, position.longitude_deg, MGRSPrecision=0)
    return f"{square[:-2]} {square[-2:]}"


UTM = re.compile(
    r"(?:UTM\s*)?(?:zone\s*)?(\d{1,2})\s*([A-Z]|north|south)?[\s,;:]+"
    r"(?:E\s*)?(\d{6}(?:[.,]\d+)?)\s*(?:m\s*)?E?[\s,;]+"
    r"(?:N\s*)?(\d{1,8}(?:[.,]\d+)?)\s*(?:m\s*)?N?",
    re.IGNORECASE,
)


def read_utm(text: str, near: Position | None) -> GridReference | None:
    """A UTM reference with zone and band, or zone and hemisphere: `59G 429226 5002214`, `32 N
    448251 5411943`; None for a text of another form. Raises NotAPlace.

    S and N are a band and a hemisphere both. The band is believed where the northing lies in it;
    else the hemisphere; where both fit, the one that lies near the site, and without a site it is
    refused.
    """
    written = UTM.fullmatch(text)
    if not written:
        return None
    zone, letter = int(written[1]), (written[2] or "").upper()
    candidates = _candidates(zone, letter, written[3], written[4])
    if len(candidates) == 2 and near:
        return min(candidates, key=lambda place: geodesy.apart_m(place.position, near))
    if len(candidates) == 1 or (candidates and letter == "S"):
        return candidates[0]  # the first is north of the equator, in band S
    if candidates:
        raise NotAPlace(
            say(
                "“{text}” may lie north or south of the equator. Write the latitude band after "
                "the zone, such as 59G.",
                text=text[:SHOWN],
            )
        )
    raise NotAPlace(
        say(
            "“{text}” lies in no place of UTM zone {zone} that its letter allows. Check zone, "
            "letter and both numbers.",
            text=text[:SHOWN],
            zone=zone,
        )
    )


def _candidates(zone: int, letter: str, easting: str, northing: str) -> list[GridReference]:
    """The places that a UTM reference may name, in the north first. Raises NotAPlace for a zone
    that there is not.
    """
    if not 1 <= zone <= 60:
        raise NotAPlace(say("Zone {zone} is not a UTM zone: they run from 1 to 60.", zone=zone))
    east, north = read_number(easting), read_number(northing)
    half_step_m = min(east.step, north.step) / 2.0
    candidates = []
    for hemisphere, base in EPSG_OF_HEMISPHERE.items():
        try:
            position, name, accuracy_m = geodesy.from_epsg(east.value, north.value, base + zone)
        except geodesy.UnsuitableGrid:
            continue
        is_there = (position.latitude_deg >= -1e-6) == (hemisphere == "N")
        if is_there and _fits(letter, hemisphere, position):
            candidates.append(GridReference(position, half_step_m, name, accuracy_m))
    return candidates


def _fits(letter: str, hemisphere: str, position: Position) -> bool:
    """Whether a candidate of a UTM reference agrees with its letter."""
    if letter in ("NORTH", "SOUTH"):
        return letter[0] == hemisphere
    if not letter:
        return True
    if letter in "NS":
        return letter == hemisphere or _in_band(position.latitude_deg, letter)
    return letter in BANDS and _in_band(position.latitude_deg, letter)
