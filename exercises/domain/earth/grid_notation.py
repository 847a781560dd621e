"""References to a grid as people write them: MGRS, and UTM with its zone. The only importer of
mgrs.

Nothing is left over: a reference is the whole of its text.
"""

from __future__ import annotations

import math
import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass

import mgrs

from ..words import say
from . import geodesy
from .angle_notation import SHOWN, NotAPlace, read_number
from .angles import difference
from .datums import UNCHANGED, Change
from .geodesy import Position

BANDS = "CDEFGHJKLMNPQRSTUVWX"  # latitude bands of 8 degrees from 80 south; X has 12
BAND_DEG = 8.0
BAND_SLACK_DEG = 0.5  # a northing near a band's edge
EPSG_OF_HEMISPHERE = {"N": 32600, "S": 32700}  # the zone's number is added
# A zone is used a little into its neighbour, so that a sheet on the edge has one grid: the larger
# of the two. 40 km: DMA TM 8358.1 (1990), from memory; half a degree: common practice, no source.
OVERLAP_M, OVERLAP_DEG = 40_000.0, 0.5
ROUNDING_DEG = 1e-5  # a metre: a northing on the edge of Norway's zones may be rounded past it


@dataclass(frozen=True)
class GridReference:
    """A place that a reference names, half of its last digit's step in metres, and for UTM how it
    came to WGS 84.
    """

    position: Position
    half_step_m: float
    change: Change = UNCHANGED


MGRS = re.compile(
    r"(?:(?:MGRS|USNG|UTMREF)\s*:?\s*)?"
    r"([0-9]{1,2})\s*([C-HJ-NP-X])\s*([A-HJ-NP-Z])\s*([A-HJ-NP-V])[\s,]*([0-9][0-9\s,]*)?",
    re.IGNORECASE,
)


def read_mgrs(text: str) -> list[GridReference]:
    """An MGRS reference: the centre of the square that it names, half a side fine; none for a text
    of another form. Raises NotAPlace.

    Source: NGA.SIG.0012 (2014), 3; mgrs 1.6 answers with the centre. Squares of the old lettering
    lie in another latitude band: refused.
    """
    written = MGRS.fullmatch(text)
    if not written:
        return []
    digits = _digits(written, text)
    zone, band = int(written[1]), written[2].upper()
    square = f"{zone:02d}{band}{written[3]}{written[4]}{digits}".upper()
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
    position = Position(latitude_deg, longitude_deg)
    if not _in_zone(position, zone):
        raise _outside_zone(text, zone, position)
    return [GridReference(position, _side_m(digits) / 2.0)]


def _digits(written: re.Match[str], text: str) -> str:
    """The digits of an MGRS reference, east then north. Raises NotAPlace for an odd number of them,
    and for too few.
    """
    groups = re.findall("[0-9]+", written[5] or "")
    middle = (len(groups) + 1) // 2
    east, north = "".join(groups[:middle]), "".join(groups[middle:])
    digits = east + north
    is_uneven = len(groups) > 1 and len(east) != len(north)
    if len(digits) % 2 or len(digits) > 10 or is_uneven:
        raise NotAPlace(
            say(
                "“{text}” has an odd number of digits: an MGRS reference has as many for east as "
                "for north, up to five each.",
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


def as_mgrs(position: Position) -> str:
    """A position as an MGRS reference to a metre, which names the square that it lies in, its
    figures cut and not rounded; nothing beyond 84 degrees north or 80 south. Source: NGA.SIG.0012
    (2014), 3.

    >>> as_mgrs(Position(-45.6456, 23.3545))
    '34G FQ 83473 42631'
    """
    square = square_100_km(position)
    if not square:
        return ""
    figures = mgrs.MGRS().toMGRS(position.latitude_deg, position.longitude_deg)[-10:]
    return f"{square} {figures[:5]} {figures[5:]}"


def zone_edges(zone: int, latitude_deg: float) -> tuple[float, float] | None:
    """The western and eastern edge of a UTM zone at a latitude, degrees; None where there is no
    such zone: 32, 34 and 36 end at 72 north.

    Source: NGA.SIG.0012 (2014), 7.3: the zones of Norway and of Svalbard.
    """
    if 56.0 <= latitude_deg < 64.0 and zone in (31, 32):
        return (0.0, 3.0) if zone == 31 else (3.0, 12.0)
    if latitude_deg >= 72.0 and 31 <= zone <= 37:
        return {31: (0.0, 9.0), 33: (9.0, 21.0), 35: (21.0, 33.0), 37: (33.0, 42.0)}.get(zone)
    west_deg = 6.0 * zone - 186.0
    return west_deg, west_deg + 6.0


def _in_zone(position: Position, zone: int) -> bool:
    """Whether a position lies in a zone, or as far outside as neighbours use it."""
    latitude_deg, longitude_deg = position.latitude_deg, position.longitude_deg
    parallel_m = geodesy.METRES_PER_DEGREE * math.cos(math.radians(latitude_deg))
    overlap_deg = max(OVERLAP_DEG, OVERLAP_M / parallel_m)
    sides = (zone_edges(zone, latitude_deg + off_deg) for off_deg in (-ROUNDING_DEG, ROUNDING_DEG))
    return any(
        max(difference(west_deg, longitude_deg), difference(longitude_deg, east_deg)) <= overlap_deg
        for west_deg, east_deg in filter(None, sides)
    )


def _outside_zone(text: str, zone: int, position: Position) -> NotAPlace:
    """The refusal of a reference to a zone in which its place does not lie."""
    if zone_edges(zone, position.latitude_deg) is None:
        return NotAPlace(
            say(
                "“{text}”: zone {zone} ends at 72 degrees north; there the zones are 31, 33, 35 "
                "and 37. Check zone and northing.",
                text=text[:SHOWN],
                zone=zone,
            )
        )
    return NotAPlace(
        say(
            "“{text}” lies outside UTM zone {zone}: it does not reach so far at that northing. "
            "Check the zone and the easting.",
            text=text[:SHOWN],
            zone=zone,
        )
    )


# How figures are grouped, alike in easting and northing: not or by spaces, or by a thousands mark
# that is then no decimal mark. `(thousands mark, easting, northing)`
DECIMALS, AFTER_COMMA = r"(?:[.,][0-9]{1,6})?", r"(?:,[0-9]{1,6})?"
STYLES = (
    (
        " ",
        rf"(?:0?[0-9]{{6}}|0?[0-9]{{3}} [0-9]{{3}}){DECIMALS}",
        rf"(?:[0-9]{{1,8}}|[0-9]{{1,3}}(?: [0-9]{{3}}){{1,2}}){DECIMALS}",
    ),
    (
        ",",
        r"0?[0-9]{3},[0-9]{3}(?:\.[0-9]{1,6})?",
        r"[0-9]{1,3}(?:,[0-9]{3}){1,2}(?:\.[0-9]{1,6})?",
    ),
    (
        ".",
        rf"0?[0-9]{{3}}\.[0-9]{{3}}{AFTER_COMMA}",
        rf"[0-9]{{1,3}}(?:\.[0-9]{{3}}){{1,2}}{AFTER_COMMA}",
    ),
    (
        "'",
        rf"0?[0-9]{{3}}'[0-9]{{3}}{DECIMALS}",
        rf"[0-9]{{1,3}}(?:'[0-9]{{3}}){{1,2}}{DECIMALS}",
    ),
)
EAST, NORTH = r"(?:easting|east|este|[EX])", r"(?:northing|north|norte|[NY])"
IN_METRES = r"(?:\s*(?:met(?:re|er)s?|metros?|mts?|m)\.?)?"
APART = r"(?:\s*[,;:/]\s*|\s+|(?<=[A-Za-z])|(?=[A-Za-z]))"


def _item(figures: str, mark: str, *, needs_mark: bool) -> str:
    """The pattern of an easting or a northing, with its letter before or after, or perhaps without;
    the figures are in one of two groups.
    """
    before = rf"{mark}\s*[.:=]?\s*({figures}){IN_METRES}"
    after = rf"({figures}){IN_METRES}(?:\s*{mark}){'' if needs_mark else '?'}"
    return f"(?:{before}|{after})"


def _pairs(*, is_turned: bool) -> list[tuple[str, re.Pattern[str]]]:
    """The patterns of an easting and a northing, `(thousands mark, pattern)`; northing first only
    where letters say so.
    """
    found = []
    for mark, eastings, northings in STYLES:
        items = [
            _item(eastings, EAST, needs_mark=is_turned),
            _item(northings, NORTH, needs_mark=is_turned),
        ]
        form = APART.join(reversed(items) if is_turned else items)
        found.append((mark, re.compile(form, re.IGNORECASE)))
    return found


IN_ORDER, TURNED = _pairs(is_turned=False), _pairs(is_turned=True)


def read_figures(text: str) -> tuple[str, str] | None:
    """The easting and the northing that a text is, as numbers without thousands marks; None for a
    text of another form.

    >>> read_figures("429 226 mE, 5 002 214 mN")
    ('429226', '5002214')
    """
    for patterns, order in ((IN_ORDER, 1), (TURNED, -1)):
        for mark, pattern in patterns:
            if written := pattern.fullmatch(text):
                first, second = (written[1] or written[2], written[3] or written[4])[::order]
                return first.replace(mark, ""), second.replace(mark, "")
    return None


ZONE = r"(?P<named>(?:zone|zona|huso)\s*[:=]?\s*)?(?P<zone>[0-9]{1,2})"
BAND = r"\s*(?P<letter>[A-Z])"
HALF = (
    r"[\s,]*\(?\s*(?:hemisferio\s+)?(?P<letter>northern|north|norte|southern|south|sur)"
    r"(?:\s+hemisphere)?\s*\)?"
)
NO_LETTER = r"(?P<letter>)"
ZONES = [
    re.compile(form, re.IGNORECASE)
    for form in (
        f"{ZONE}{BAND}{APART}(?P<rest>.+)",
        f"{ZONE}{HALF}{APART}(?P<rest>.+)",
        rf"{ZONE}{NO_LETTER}(?:\s*[,;:/])?\s+(?P<rest>.+)",
        f"(?P<rest>.+?){APART}{ZONE}{BAND}",
        f"(?P<rest>.+?){APART}{ZONE}{HALF}",
        f"(?P<rest>.+?){APART}{ZONE}{NO_LETTER}",
    )
]


def read_utm(text: str) -> list[GridReference]:
    """A UTM reference with zone and band, or zone and hemisphere: `59G 429226 5002214`, `429226E
    5002214N 59G`, `32 N 448251 5411943`: the places that it may name; none for a text of another
    form. Raises NotAPlace.

    S and N are a band and a hemisphere both: where the northing fits both, there are two places.
    Without a letter there are as a rule two as well.
    """
    bare = re.sub(r"(?<![^\W_])UTM(?![^\W_])\s*:?", " ", text, count=1, flags=re.IGNORECASE)
    bare = re.sub(r"\s+", " ", bare).strip(" ,;")
    zone, found, complaint = None, [], None
    for zone, letter, figures in _parted(bare):
        try:
            found += _candidates(text, zone, letter, *figures)
        except NotAPlace as error:
            complaint = complaint or error
    if found or zone is None:
        return found
    raise complaint or NotAPlace(
        say(
            "“{text}” lies in no place of UTM zone {zone} that its letter allows. Check zone, "
            "letter and both numbers.",
            text=text[:SHOWN],
            zone=zone,
        )
    )


def _parted(text: str) -> Iterator[tuple[int, str, tuple[str, str]]]:
    """Zone, letter and figures of a UTM reference, in each way that it can be parted. A zone that
    stands behind has a letter or is called a zone: a bare number there is left over.
    """
    for form in ZONES:
        written = form.fullmatch(text)
        if not written:
            continue
        letter, rest = written["letter"].upper(), written["rest"]
        is_behind = written.start("zone") > written.start("rest")
        if not letter and (not written["named"] if is_behind else _begins_with_a_band(rest)):
            continue
        if figures := read_figures(rest):
            yield int(written["zone"]), letter, figures


def _begins_with_a_band(figures: str) -> bool:
    """Whether a letter before an easting is the band of its zone: in `32 X 500000 8500000`, but not
    in `32 X 500000 Y 8500000`, where both have theirs.
    """
    letters = re.findall(r"[a-z]+", re.sub(IN_METRES, "", figures), re.IGNORECASE)
    return len(letters) == 1 and figures[0].isalpha()


def _candidates(
    text: str, zone: int, letter: str, easting: str, northing: str
) -> list[GridReference]:
    """The places that a UTM reference may name, in the north first. Raises NotAPlace for a zone
    that there is not, and where all lie outside it.
    """
    if not 1 <= zone <= 60:
        raise NotAPlace(say("Zone {zone} is not a UTM zone: they run from 1 to 60.", zone=zone))
    east, north = read_number(easting), read_number(northing)
    half_step_m = min(east.step, north.step) / 2.0
    candidates = []
    for hemisphere, base in EPSG_OF_HEMISPHERE.items():
        try:
            position, change = geodesy.from_epsg(east.value, north.value, base + zone)
        except geodesy.UnsuitableGrid:
            continue
        is_there = (position.latitude_deg >= -1e-6) == (hemisphere == "N")
        if is_there and _fits(letter, hemisphere, position):
            candidates.append(GridReference(position, half_step_m, change))
    inside = [place for place in candidates if _in_zone(place.position, zone)]
    if candidates and not inside:
        raise _outside_zone(text, zone, candidates[0].position)
    return inside


def _fits(letter: str, hemisphere: str, position: Position) -> bool:
    """Whether a candidate of a UTM reference agrees with its letter."""
    if len(letter) > 1:  # a hemisphere in words, of which the first letter is the same everywhere
        return letter[0] == hemisphere
    if not letter:
        return True
    if letter in "NS":
        return letter == hemisphere or _in_band(position.latitude_deg, letter)
    return letter in BANDS and _in_band(position.latitude_deg, letter)
