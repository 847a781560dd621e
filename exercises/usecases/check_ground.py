"""What the bearings observed on a site say of its stations, compasses and points, and which line to
read next.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from ..domain.earth import geodesy, magnetics, sun
from ..domain.earth.angles import wrap
from ..domain.earth.magnetics import LOCAL_FIELD_DEG
from ..domain.earth.norths import Norths
from ..domain.earth.uncertainty import across, combine
from ..domain.planning.surroundings import Surroundings
from ..domain.surveying.ground.attraction import Ground, adjust, bent
from ..domain.surveying.ground.next_sighting import Candidate
from ..domain.surveying.ground.observed_declination import ObservedDeclination, observed_declination
from ..domain.surveying.ground.sighting import Instrument, Sighting
from ..domain.tasks import site as domain
from ..models import ObservedBearing, Site


@dataclass(frozen=True)
class Checked:
    """The observed bearings of a site, what they say, which lines could be read next, and the
    declination that shadows show or None.
    """

    rows: list[ObservedBearing]
    sightings: list[Sighting]
    ground: Ground
    candidates: list[Candidate]
    declination: ObservedDeclination | None


def checked(site: Site) -> Checked | None:
    """All that the observed bearings of a site say; None without any."""
    rows = observed_rows(site)
    if not rows:
        return None
    plain = site.as_domain()
    observed = sightings(plain, rows)
    found = adjust(observed)
    return Checked(
        rows,
        observed,
        found,
        candidates(plain, observed, found),
        _declination(plain, rows, observed, found),
    )


def _declination(
    ground: domain.Site,
    rows: Iterable[ObservedBearing],
    observed: Sequence[Sighting],
    found: Ground,
) -> ObservedDeclination | None:
    """The declination by the shadows, beside the model's on the day of the last one."""
    shadows = [row for row in rows if row.target is None]
    if not shadows:
        return None
    last = max(shadows, key=lambda row: row.observed_at)
    try:
        here = ground.point(last.station.code).position
        _, model = ground.north_of(here, last.observed_at.date())
    except (magnetics.NoDeclination, geodesy.UnsuitableGrid):
        return None
    return observed_declination(observed, found, model)


def observed_rows(site: Site) -> list[ObservedBearing]:
    """The observed bearings of a site with their points, in one query."""
    return list(ObservedBearing.objects.filter(site=site).select_related("station", "target"))


def surroundings(site: Site) -> Surroundings:
    """A site with its hazards and with the stations that were found at fault, in four queries."""
    ground = site.as_domain()
    return Surroundings(
        ground, tuple(site.hazards_as_domain()), bent(sightings(ground, observed_rows(site)))
    )


def sightings(ground: domain.Site, rows: Iterable[ObservedBearing]) -> list[Sighting]:
    """Observed bearings as `Sighting`s, magnetic, each with what it should be; `ground`
    is their site as plain values.

    The declination's own uncertainty is the compass's affair (all lines share it); the survey's is
    the line's. A reading of a day that no model covers is kept as it was read, with nothing to
    compare it with.
    """
    return [_sighting(ground, row) for row in rows]


def _sighting(ground: domain.Site, row: ObservedBearing) -> Sighting:
    """One observed bearing."""
    here = ground.point(row.station.code)
    target = row.target.code if row.target else ""
    try:
        norths, _ = ground.north_of(here.position, row.observed_at.date())
    except (magnetics.NoDeclination, geodesy.UnsuitableGrid):
        return Sighting(here.code, target, row.bearing_deg, row.compass, north=row.north)
    read = Sighting(
        here.code,
        target,
        norths.turn(row.bearing_deg, row.north, "magnetic"),
        row.compass,
        north=row.north,
        declination_deg=norths.declination_deg,
    )
    if row.target is None:
        return _beside_sun(read, here, norths, row)
    return _beside_line(read, here, ground.point(target), norths)


def _beside_sun(
    read: Sighting, here: domain.Point, norths: Norths, row: ObservedBearing
) -> Sighting:
    """A bearing along the sun's shadow, with where the shadow lay."""
    shadow = sun.sun(here.position, row.observed_at)
    return replace(
        read,
        computed_deg=norths.turn(shadow.shadow_deg, "true", "magnetic"),
        computed_error_deg=combine((shadow.uncertainty_deg(row.clock_s or 0.0), LOCAL_FIELD_DEG)),
    )


def _beside_line(
    read: Sighting, here: domain.Point, there: domain.Point, norths: Norths
) -> Sighting:
    """A bearing to a point, with what the coordinates say; without it where both are one place."""
    try:
        line = geodesy.sight_line(here.position, there.position)
    except geodesy.SamePoint:
        return read
    return replace(
        read,
        computed_deg=wrap(line.bearing_deg - norths.declination_deg),
        computed_error_deg=_error_deg(here, there, line),
        true_deg=line.bearing_deg,
        distance_m=line.distance_m,
    )


def _error_deg(here: domain.Point, there: domain.Point, line: geodesy.SightLine) -> float:
    """The standard uncertainty of a magnetic bearing from coordinates, but for the declination."""
    error_m = math.hypot(here.error.across(line.bearing_deg), there.error.across(line.bearing_deg))
    return combine((across(error_m, line.distance_m), LOCAL_FIELD_DEG))


def candidates(
    ground: domain.Site, sightings: Sequence[Sighting], found: Ground
) -> list[Candidate]:
    """The lines that could be read next, from the stations that were read from: to what is noted as
    seen there and to the other ends of lines that were read; with each compass in use, and with
    another one.
    """
    ends = {(sighting.station, sighting.target) for sighting in sightings if sighting.target}
    back = {(target, station) for station, target in ends if target in found.attraction}
    seen = {
        (station, target) for station in found.attraction for target in ground.choices_from(station)
    }
    instruments: list[Instrument | None] = [*found.compasses, None]
    return [
        Candidate(station, target, instrument, error_deg)
        for station, target, error_deg in _with_errors(ground, sorted(ends | back | seen))
        for instrument in instruments
    ]


def _with_errors(
    ground: domain.Site, lines: Iterable[tuple[str, str]]
) -> Iterator[tuple[str, str, float]]:
    """Lines between two different places, with the uncertainty of their bearings in degrees."""
    for station, target in lines:
        here, there = ground.point(station), ground.point(target)
        try:
            line = geodesy.sight_line(here.position, there.position)
        except geodesy.SamePoint:
            continue
        yield station, target, _error_deg(here, there, line)


def note_otherwise(*, site: Site, instrument: Instrument) -> int:
    """Note all bearings of a compass on a site the other way: as read with the declination set
    where they were noted as not set, and the other way round. Returns how many there were.
    """
    rows = ObservedBearing.objects.filter(
        site=site, compass=instrument.compass, north=instrument.north
    )
    return rows.update(north=instrument.noted_otherwise.north)


@dataclass(frozen=True)
class MagneticLine:
    """A line of a site as a compass should read it: its bearing, degrees magnetic, with its
    standard error, and its length.
    """

    station: str
    target: str
    bearing_deg: float
    error_deg: float
    distance_m: float

    @property
    def code(self) -> str:
        """How a form names it."""
        return f"{self.station}>{self.target}"


def magnetic_lines(
    ground: domain.Site, pairs: Iterable[tuple[str, str]], on: date
) -> list[MagneticLine]:
    """The lines that are seen on a site as compasses should read them on a day, the longest first;
    none on a day or ground of which the norths cannot be told.
    """
    lines = []
    for station, target in pairs:
        here, there = ground.point(station), ground.point(target)
        try:
            line = ground.sight_line(station, target)
            norths, declination = ground.north_of(here.position, on)
        except (magnetics.NoDeclination, geodesy.UnsuitableGrid, geodesy.SamePoint):
            continue
        error_deg = combine((_error_deg(here, there, line), declination.uncertainty_deg))
        magnetic_deg = norths.turn(line.bearing_deg, "true", "magnetic")
        lines.append(MagneticLine(station, target, magnetic_deg, error_deg, line.distance_m))
    return sorted(lines, key=lambda line: -line.distance_m)
