"""Whether a place can be the one that was meant, or has its latitude and longitude exchanged."""

from __future__ import annotations

from dataclasses import dataclass

from ..earth import geodesy
from ..earth.position import Position
from ..earth.zones import is_high_seas, zone_at
from .site import FAR_FROM_SITE_M


@dataclass(frozen=True)
class Doubt:
    """Why a place is hardly the one that was meant: `code` is "exchanged" where latitude and
    longitude are, as it seems; else "far" from the site, or "sea". `exchanged` is the place with
    the two exchanged, None where the longitude is no latitude.
    """

    code: str
    exchanged: Position | None


def exchanged(position: Position) -> Position | None:
    """The place with latitude and longitude exchanged; None where that is not on the Earth.

    >>> exchanged(Position(-63.9, 44.5))
    Position(latitude_deg=44.5, longitude_deg=-63.9, elevation_m=None)
    """
    if abs(position.longitude_deg) > 90.0:
        return None
    return Position(position.longitude_deg, position.latitude_deg, position.elevation_m)


def doubt(position: Position, near: Position | None = None, own_zone: str = "") -> Doubt | None:
    """What speaks against a place; None where nothing does.

    `near` is where the site's other points lie, None for a new site: a place within FAR_FROM_SITE_M
    of it is believed. Without it, a place on the high seas is doubted, and one outside `own_zone`
    (the time zone of whoever types, "" where nobody knows) whose exchanged twin lies within.
    """
    other = exchanged(position)
    if near:
        if _is_near(position, near):
            return None
        return Doubt("exchanged" if other and _is_near(other, near) else "far", other)
    zone, other_zone = zone_at(position), zone_at(other) if other else ""
    if other and other_zone == own_zone != zone:
        return Doubt("exchanged", other)
    if not is_high_seas(zone):
        return None
    return Doubt("exchanged" if other and not is_high_seas(other_zone) else "sea", other)


def _is_near(position: Position, near: Position) -> bool:
    """Whether a place can belong to a site."""
    return geodesy.apart_m(position, near) <= FAR_FROM_SITE_M
