"""The time zone of a place, and whether it lies in open sea."""

from __future__ import annotations

import tzfpy

from .position import Position

# Zones of the high seas have the hour of their meridian and no rules of a country.
HIGH_SEAS = "Etc/"


def zone_at(position: Position) -> str:
    """The time zone at a position, by its name in the IANA time zone database: `Australia/Hobart`;
    of the high seas `Etc/GMT+5`, with the database's sign (west is positive).

    Good to some kilometres at borders. Source: timezone-boundary-builder's outlines (ODbL), of
    OpenStreetMap's borders with waters up to 12 nautical miles off the coast, through tzfpy.

    >>> zone_at(Position(-42.88, 147.33))
    'Australia/Hobart'
    """
    return tzfpy.get_tz(position.longitude_deg, position.latitude_deg)


def is_high_seas(zone: str) -> bool:
    """Whether a zone is one of the high seas, more than 12 nautical miles off any coast.

    >>> is_high_seas("Etc/GMT-10"), is_high_seas("Europe/Oslo")
    (True, False)
    """
    return zone.startswith(HIGH_SEAS)
