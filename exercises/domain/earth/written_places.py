"""A position in the forms in which rescuers take it down: degrees with decimal minutes, UTM, MGRS.

Degrees and decimal minutes are the common standard of search and rescue (U.S. National Search and
Rescue Supplement, Georeferencing Methods, from memory); grids are what teams on the ground use.
"""

from __future__ import annotations

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
