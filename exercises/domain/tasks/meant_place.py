"""Whether a place can be the one that was meant, or which slip of the pen put it there: latitude
and longitude exchanged, or a sign left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..earth import geodesy
from ..earth.position import Position
from ..earth.zones import is_high_seas, zone_at
from .site import FAR_FROM_SITE_M


@dataclass(frozen=True)
class Meant:
    """A place that may have been meant, and the `slip` that would explain it: "exchanged" (latitude
    and longitude), "sign" (of one of them or both), "both".
    """

    slip: str
    position: Position


@dataclass(frozen=True)
class Doubt:
    """Why a place is hardly the one that was meant, `why`: "far" from the site, "sea", or "away"
    from the time zone of who typed it. `meant` are the places that it may be instead, exchanged
    ones first.
    """

    why: str
    meant: tuple[Meant, ...]


def exchanged(position: Position) -> Position | None:
    """The place with latitude and longitude exchanged; None where that is not on the Earth.

    >>> exchanged(Position(-63.9, 44.5))
    Position(latitude_deg=44.5, longitude_deg=-63.9, elevation_m=None)
    """
    if abs(position.longitude_deg) > 90.0:
        return None
    return replace(
        position, latitude_deg=position.longitude_deg, longitude_deg=position.latitude_deg
    )


def doubt(position: Position, near: Position | None = None, own_zone: str = "") -> Doubt | None:
    """What speaks against a place; None where nothing does.

    `near` is where the site's other points lie, None for a new site: a place within FAR_FROM_SITE_M
    of it is believed. Without it, a place on the high seas is doubted, and one outside `own_zone`
    (the time zone of whoever types, "" where nobody knows) that a slip may have led out of it.
    """
    others = list(_others(position))
    if near:
        if _is_near(position, near):
            return None
        return Doubt("far", tuple(other for other in others if _is_near(other.position, near)))
    zones = [zone_at(other.position) for other in others]
    at_home = [other for other, zone in zip(others, zones, strict=True) if zone == own_zone]
    zone = zone_at(position)
    if is_high_seas(zone):
        pairs = zip(others, zones, strict=True)
        ashore = [other for other, zone in pairs if not is_high_seas(zone)]
        return Doubt("sea", tuple(at_home or ashore))
    return Doubt("away", tuple(at_home)) if at_home and zone != own_zone else None


def _others(position: Position) -> Iterator[Meant]:
    """The places to which one of the slips leads back, the likelier first, without the place
    itself.
    """
    seen = {position}
    for other in _slips(position):
        if other.position not in seen:
            seen.add(other.position)
            yield other


def _slips(position: Position) -> Iterator[Meant]:
    """Every slip led back, with repetitions where a coordinate is 0 or the two are alike."""
    twin = exchanged(position)
    if twin:
        yield Meant("exchanged", twin)
    for place in _signs(position):
        yield Meant("sign", place)
    for place in _signs(twin) if twin else ():
        yield Meant("both", place)


def _signs(position: Position) -> Iterator[Position]:
    """A place with each choice of signs."""
    for north, east in ((1, 1), (-1, 1), (1, -1), (-1, -1)):
        yield replace(
            position,
            latitude_deg=north * position.latitude_deg,
            longitude_deg=east * position.longitude_deg,
        )


def _is_near(position: Position, near: Position) -> bool:
    """Whether a place can belong to a site."""
    return geodesy.apart_m(position, near) <= FAR_FROM_SITE_M
