"""What the bearings observed on a site say of its stations, compasses and points."""

import math

from ..domain.earth import geodesy, magnetics, sun
from ..domain.earth.angles import wrap
from ..domain.earth.magnetics import LOCAL_FIELD_DEG
from ..domain.earth.uncertainty import across, combine
from ..domain.surveying import attraction
from ..models import ObservedBearing


def observed_rows(site):
    """The observed bearings of a site with their points, in one query."""
    return list(ObservedBearing.objects.filter(site=site).select_related("station", "target"))


def sightings(ground, rows):
    """Observed bearings as `attraction.Sighting`s, magnetic, each with what it should be; `ground`
    is their site as plain values.

    The declination's own uncertainty is the compass's affair (all lines share it); the survey's is
    the line's. A reading of a day that no model covers is kept as it was read, with nothing to
    compare it with.
    """
    return [_sighting(ground, row) for row in rows]


def _sighting(ground, row):
    here = ground.point(row.station.code)
    try:
        norths, _ = ground.north_of(here.position, row.observed_at.date())
    except (magnetics.NoDeclination, geodesy.UnsuitableGrid):
        return attraction.Sighting(
            here.code, row.target.code if row.target else "", row.bearing_deg, row.compass
        )
    read_deg = norths.turn(row.bearing_deg, row.north, "magnetic")
    if row.target is None:
        shadow = sun.sun(here.position, row.observed_at)
        error_deg = combine((shadow.uncertainty_deg(row.clock_s or 0.0), LOCAL_FIELD_DEG))
        return attraction.Sighting(
            here.code,
            "",
            read_deg,
            row.compass,
            computed_deg=norths.turn(shadow.shadow_deg, "true", "magnetic"),
            computed_error_deg=error_deg,
        )
    there = ground.point(row.target.code)
    try:
        line = geodesy.sight_line(here.position, there.position)
    except geodesy.SamePoint:
        return attraction.Sighting(here.code, there.code, read_deg, row.compass)
    error_m = math.hypot(here.error.across(line.bearing_deg), there.error.across(line.bearing_deg))
    return attraction.Sighting(
        here.code,
        there.code,
        read_deg,
        row.compass,
        computed_deg=wrap(line.bearing_deg - norths.declination_deg),
        computed_error_deg=combine((across(error_m, line.distance_m), LOCAL_FIELD_DEG)),
        true_deg=line.bearing_deg,
        distance_m=line.distance_m,
    )
