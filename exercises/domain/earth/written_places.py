"""A position in the forms in which rescuers take it down: degrees with decimal minutes, UTM, MGRS.

Degrees and decimal minutes are the common standard of search and rescue (U.S. National Search and
Rescue Supplement, Georeferencing Methods, from memory); grids are what teams on the ground use.
"""

from __future__ import annotations

from dataclasses import dataclass

from . import geodesy
from .position import Position

MINUTES_DECIMALS = 3  # 1.9 m of latitude


def decimal_minutes(position: Position) -> str:
    """A position in degrees and minutes to a thousandth, latitude first.

    >>> decimal_minutes(Position(-45.1302, 170.1003))
    "45° 07.812' S 170° 06.018' E"
    """
    latitude = _axis(position.latitude_deg, 2, "NS")
    return f"{latitude} {_axis(position.longitude_deg, 3, 'EW')}"


def _axis(degrees: float, figures: int, letters: str) -> str:
    """One axis; minutes that round to sixty are the next degree."""
    thousandths = round(abs(degrees) * 60 * 10**MINUTES_DECIMALS)
    whole, rest = divmod(thousandths, 60 * 10**MINUTES_DECIMALS)
    letter = letters[0] if degrees >= 0 else letters[1]
    minutes = f"{rest / 10**MINUTES_DECIMALS:06.3f}"
    return f"{whole:0{figures}d}° {minutes}' {letter}"


@dataclass(frozen=True)
class UtmPlace:
    """A place on the UTM grid to a metre: its zone, whether it lies in the northern half, easting
    and northing. Without a letter: S is a band of the north and the south of the grid.
    """

    zone: int
    is_north: bool
    east_m: int
    north_m: int


def as_utm(position: Position) -> UtmPlace:
    """A position on the UTM grid. Raises UnsuitableGrid beyond the grid.

    >>> as_utm(Position(-45.6456, 23.3545))
    UtmPlace(zone=34, is_north=False, east_m=683474, north_m=4942631)
    """
    epsg = geodesy.utm_epsg(position)
    east_m, north_m = geodesy.easting_northing(position, epsg)
    return UtmPlace(epsg % 100, position.latitude_deg >= 0.0, round(east_m), round(north_m))
