"""What the bearings observed on a site say of its stations, compasses and points."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from ..domain.earth import geodesy, magnetics, sun
from ..domain.earth.angles import wrap
from ..domain.earth.magnetics import LOCAL_FIELD_DEG
from ..domain.earth.norths import Norths
from ..domain.earth.uncertainty import across, combine
from ..domain.planning.surroundings import Surroundings
from ..domain.surveying.attraction import Sighting, bent
from ..domain.tasks import site as domain
from ..models import ObservedBearing, Site


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
        return Sighting(here.code, target, row.bearing_deg, row.compass)
    read = Sighting(
        here.code, target, norths.turn(row.bearing_deg, row.north, "magnetic"), row.compass
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
    error_m = math.hypot(here.error.across(line.bearing_deg), there.error.across(line.bearing_deg))
    return replace(
        read,
        computed_deg=wrap(line.bearing_deg - norths.declination_deg),
        computed_error_deg=combine((across(error_m, line.distance_m), LOCAL_FIELD_DEG)),
        true_deg=line.bearing_deg,
        distance_m=line.distance_m,
    )
