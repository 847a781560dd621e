"""Where the sun stands: an independent true bearing against local attraction. The only importer of
ephem.

The bearing is taken of the *shadow* of a plumb line. Nobody ever looks at the sun, least of all
along a compass.
"""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass

import ephem

from ..words import say
from .angles import back, difference, wrap
from .geodesy import Position

# below, the shadow is long and faint, and refraction no longer small; common practice, no source
LOWEST_DEG = 5.0
HIGHEST_DEG = 65.0  # above, the shadow is short and turns fast; common practice, no source
# the sun is 0.53 degrees wide, and the shadow's edge as soft as its half
SHADOW_EDGE_DEG = 0.27 / math.sqrt(3.0)


class NoShadow(ValueError):
    """The sun gives no shadow that could be used. The message says when to come back."""


@dataclass(frozen=True)
class Sun:
    """True azimuth and geometric elevation in degrees, and how fast the azimuth grows, degrees per
    minute of time.
    """

    azimuth_deg: float
    elevation_deg: float
    turning_deg_per_min: float

    @property
    def shadow_deg(self) -> float:
        """The true bearing along the shadow, away from the sun."""
        return back(self.azimuth_deg)

    def uncertainty_deg(self, clock_s: float) -> float:
        """Standard uncertainty of the shadow's bearing when the clock is good to some seconds
        either way (GUM 4.3.7), degrees.
        """
        return math.hypot(
            abs(self.turning_deg_per_min) * clock_s / 60.0 / math.sqrt(3.0), SHADOW_EDGE_DEG
        )


def sun(position: Position, at: datetime.datetime) -> Sun:
    """Where the sun stands at a position at a time (aware), as `Sun`. It may be below the horizon.

    Without refraction, which does not turn an azimuth. Good to 0.0002 degrees of azimuth against
    the Solar Position Algorithm (Reda and Andreas, NREL/TP-560-34302) in tests/domain/test_sun.py.
    Source: VSOP87 through ephem.
    """
    here, later = _azimuth(position, at), _azimuth(position, at + datetime.timedelta(minutes=1))
    return Sun(wrap(here[0]), here[1], difference(later[0], here[0]))


def shadow(position: Position, at: datetime.datetime) -> Sun:
    """`sun`, where its shadow can be used. Raises NoShadow while it is too low or too high."""
    where = sun(position, at)
    if where.elevation_deg < LOWEST_DEG:
        raise NoShadow(
            say(
                "The sun stands {degrees:.0f}° high then: no usable shadow. Check the date, the "
                "time and the time zone, or come when it is at least {least:.0f}° high.",
                degrees=where.elevation_deg,
                least=LOWEST_DEG,
            )
        )
    if where.elevation_deg > HIGHEST_DEG:
        raise NoShadow(
            say(
                "The sun stands {degrees:.0f}° high then: the shadow is short and turns fast. "
                "Come in the morning or in the evening.",
                degrees=where.elevation_deg,
            )
        )
    return where


def _azimuth(position: Position, at: datetime.datetime) -> tuple[float, float]:
    """The sun's true azimuth and geometric elevation, degrees."""
    observer = ephem.Observer()
    observer.lat, observer.lon = (
        math.radians(position.latitude_deg),
        math.radians(position.longitude_deg),
    )
    observer.elevation, observer.pressure = position.assumed_height_m, 0
    observer.date = at.astimezone(datetime.UTC).replace(tzinfo=None)
    body = ephem.Sun(observer)
    return math.degrees(body.az), math.degrees(body.alt)
