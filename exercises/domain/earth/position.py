"""A point on the Earth."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..words import say


class PositionOutOfRange(ValueError):
    """Latitude, longitude or height is not a number or not on the Earth."""


RANGES = {
    "latitude_deg": (-90.0, 90.0),
    "longitude_deg": (-180.0, 180.0),
    "elevation_m": (-1000.0, 9000.0),
}


@dataclass(frozen=True)
class Position:
    """A point in WGS 84: degrees, north and east positive; height in metres above the ellipsoid or
    sea level, None where nobody knows it.
    """

    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None = None

    def __post_init__(self) -> None:
        for name, (least, most) in RANGES.items():
            value = getattr(self, name)
            if value is None and name == "elevation_m":
                continue
            is_number = isinstance(value, (int, float)) and math.isfinite(value)
            if not (is_number and least <= value <= most):
                raise PositionOutOfRange(
                    say(
                        "The {name} {value} is not between {least:g} and {most:g}.",
                        name=_said(name),
                        value=value,
                        least=least,
                        most=most,
                    )
                )

    @property
    def assumed_height_m(self) -> float:
        """The height to compute with where any height will do, metres: sea level where it is not
        known.
        """
        return 0.0 if self.elevation_m is None else self.elevation_m


def _said(name: str) -> str:
    """A coordinate in words, for a message."""
    if name == "elevation_m":
        return say("elevation")
    return say("latitude") if name == "latitude_deg" else say("longitude")
