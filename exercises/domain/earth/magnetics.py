"""Declination of a place on a date, its uncertainty and its warnings. The only importer of
pygeomag.
"""

from __future__ import annotations

import calendar
import datetime
import functools
from dataclasses import dataclass

from pygeomag import GeoMag

from ..words import say
from .angles import difference
from .geodesy import Position

MODELS = {
    2010: "WMM2010",
    2015: "WMM2015v2",
    2020: "WMM2020",
    2025: "WMM2025",
}  # five years each, as pygeomag ships them
COEFFICIENTS = {
    2010: "wmm/WMM_2010.COF",
    2015: "wmm/WMM_2015v2.COF",
    2020: "wmm/WMM_2020.COF",
    2025: "wmm/WMM_2025.COF",
}
LIFE_YEARS = 5
TOLD_BEFORE = datetime.timedelta(
    days=365
)  # of the end; the next model comes out late in the last year
# horizontal field below which a compass is useless; WMM2025 report, warning zones
BLACKOUT_NT = 2000.0
# Daily swing of the declination, one sigma; the model's own error is carried separately. Cave
# surveyors' mailing list, February 2017, after the British Geological Survey.
LOCAL_FIELD_DEG = 0.1
CAUTION_NT = 6000.0  # horizontal field below which it is poor; same source
# Error model of declination, one sigma: sqrt(base^2 + (field / H)^2). Sources: the reports of each
# model, through pygeomag (2015, 2020) and CIRES err_model (2025); WMM2010 states none, so the
# largest of the later ones stands in.
ERROR_MODEL = {
    2010: (0.26, 5625.0),
    2015: (0.23, 5430.0),
    2020: (0.26, 5625.0),
    2025: (0.26, 5417.0),
}


class NoDeclination(ValueError):
    """No declination can be given. The message says why and what to do."""


class ModelExpired(NoDeclination):
    """The date lies outside the life of every model that is installed."""


class BlackoutZone(NoDeclination):
    """The horizontal field is so weak here that a compass does not point."""


@dataclass(frozen=True)
class Declination:
    """Declination in degrees, east positive, with its one-sigma uncertainty, its model, and a
    warning or an empty text.
    """

    degrees: float
    uncertainty_deg: float
    model: str
    warning: str = ""


@dataclass(frozen=True)
class Ending:
    """The end of the newest model that is installed: the first day that it does not cover, and in
    how many days that is, 0 or less once it has come.
    """

    day: datetime.date
    days_left: int

    @property
    def is_over(self) -> bool:
        """Whether it has ended."""
        return self.days_left <= 0


def ending(today: datetime.date) -> Ending | None:
    """The end of the newest model where it is a year away or nearer, or past; None before.

    >>> ending(datetime.date(2029, 12, 31))
    Ending(day=datetime.date(2030, 1, 1), days_left=1)
    """
    end = _end()
    return Ending(end, (end - today).days) if today >= end - TOLD_BEFORE else None


def must_cover(on: datetime.date) -> None:
    """Raises ModelExpired for a date that no installed model covers."""
    _epoch(decimal_year(on), on)


def _end() -> datetime.date:
    """The first day that no installed model covers."""
    return datetime.date(max(MODELS) + LIFE_YEARS, 1, 1)


def decimal_year(on: datetime.date) -> float:
    """A date as a decimal year: the year plus the day's index over the year's length, at 0h.

    >>> decimal_year(datetime.date(2026, 7, 2))
    2026.4986301369863
    """
    days = 366 if calendar.isleap(on.year) else 365
    return on.year + (on.timetuple().tm_yday - 1) / days


def declination(position: Position, on: datetime.date) -> Declination:
    """Declination at a position on a date, by the newest model that covers the date; at sea level
    where its height is not known.

    Raises ModelExpired for a date that no installed model covers, BlackoutZone where the horizontal
    field is below 2000 nT; warns in words below 6000 nT. The model leaves out rock, works of man
    and magnetic storms: see budget.py. Source: World Magnetic Model reports (NOAA NCEI and BGS),
    through pygeomag.
    """
    return _declination(
        position.latitude_deg, position.longitude_deg, position.assumed_height_m, on
    )


@functools.lru_cache(maxsize=4096)
def _declination(
    latitude_deg: float, longitude_deg: float, elevation_m: float, on: datetime.date
) -> Declination:
    """`declination` of plain numbers, which a cache can hold."""
    year = decimal_year(on)
    epoch = _epoch(year, on)
    # A new model object for each value: pygeomag writes into arrays of the instance, and one that
    # is shared by threads answers up to five degrees wrong without a word. It costs half a
    # millisecond, and the cache above saves most of them.
    field = GeoMag(coefficients_file=COEFFICIENTS[epoch]).calculate(
        glat=latitude_deg, glon=longitude_deg, alt=elevation_m / 1000.0, time=year
    )
    if field.h < BLACKOUT_NT:
        raise BlackoutZone(
            say(
                "At {latitude:.2f}, {longitude:.2f} the horizontal field is {field:.0f} nT: a "
                "compass does not work there (below 2000 nT).",
                latitude=latitude_deg,
                longitude=longitude_deg,
                field=field.h,
            )
        )
    base, slope = ERROR_MODEL[epoch]
    uncertainty_deg = (base**2 + (slope / field.h) ** 2) ** 0.5
    return Declination(field.d, uncertainty_deg, MODELS[epoch], _warning(field.h))


@functools.lru_cache(maxsize=256)
def annual_change_deg(position: Position, on: datetime.date) -> float:
    """How much the declination grows in the year round a date, degrees, positive towards the east,
    in (-180, 180]; of the model that covers the date. Raises ModelExpired.

    The model is linear in time, so that its dD is the difference over a year; within 0.006 degrees
    of the WMM2025 report's table up to 65 degrees of latitude.
    """
    year = decimal_year(on)
    before_deg, after_deg = (
        GeoMag(coefficients_file=COEFFICIENTS[_epoch(year, on)])
        .calculate(
            glat=position.latitude_deg,
            glon=position.longitude_deg,
            alt=position.assumed_height_m / 1000.0,
            time=when,
            allow_date_outside_lifespan=True,
        )
        .d
        for when in (year - 0.5, year + 0.5)
    )
    return difference(after_deg, before_deg)


def _epoch(year: float, on: datetime.date) -> int:
    """The first year of the newest model that covers a date, also given as a decimal year. Raises
    ModelExpired.
    """
    covering = [epoch for epoch in MODELS if epoch <= year < epoch + LIFE_YEARS]
    if covering:
        return max(covering)
    first, end = datetime.date(min(MODELS), 1, 1), _end()
    if on >= end:
        raise ModelExpired(
            say(
                "No declination for {date}: the model in use ends on {end}. Who runs this "
                "program brings the next one into it (DEVELOPERS.md, “Every five years”).",
                date=on,
                end=end,
            )
        )
    raise ModelExpired(
        say(
            "No declination for {date}: the oldest model in use begins on {first}. Check the date.",
            date=on,
            first=first,
        )
    )


def _warning(horizontal_nt: float) -> str:
    """What to say of a weak horizontal field, nanotesla; nothing of one that is strong enough."""
    if horizontal_nt >= CAUTION_NT:
        return ""
    return say(
        "The horizontal field is only {field:.0f} nT here: a compass is slow and inaccurate "
        "below 6000 nT.",
        field=horizontal_nt,
    )
