"""What the map of a site shows, as plain values for its script; and the sight lines as a table, for
print and for who sees no map.
"""

from django.conf import settings

from .. import vocabulary
from ..domain.earth import geodesy
from ..domain.earth.ellipse import SCALE_95
from ..domain.earth.uncertainty import across
from ..domain.planning.hazards import KINDS
from ..drawing.signs import FRAMED, desk_sign_of, desk_signs
from ..languages import tell, told
from .lengths import desk_length, desk_lengths
from .units import IN_DEGREES


def site_map(ground, middle, lines, hazards):
    """Points with their 95 % ellipses, lines as pairs of codes, hazards, and the tiles below them,
    if any.
    """
    return {
        "middle": [middle.latitude_deg, middle.longitude_deg],
        "points": [_point(point, ground) for point in ground.points.values()],
        "lines": [list(pair) for pair in lines],
        "signs": desk_signs(),
        "hazards": [_hazard(hazard) for hazard in hazards],
        "lengths": _unit_of_lengths(),
        "tiles": tiles(),
    }


def _unit_of_lengths():
    """In what the map tells lengths: the sign of the unit, and what one is worth in metres."""
    unit = desk_lengths().unit
    return {"sign": unit.code, "worth_m": unit.worth_m}


def tiles():
    """The tiles below a map with what their owner wants to read on it, or None."""
    if not settings.TILES_URL:
        return None
    return {"url": settings.TILES_URL, "credit": settings.TILES_CREDIT}


def _point(point, ground):
    sign = desk_sign_of(point, ground)
    return {
        "code": point.code,
        "name": point.name,
        "at": [point.position.latitude_deg, point.position.longitude_deg],
        "sign": sign,
        "note": tell("no line") if sign.endswith(FRAMED) else "",
        "ellipse": [
            point.error.major_m * SCALE_95,
            point.error.minor_m * SCALE_95,
            point.error.azimuth_deg,
        ],
    }


def _hazard(hazard):
    return {
        "name": f"{hazard.name} ({told(vocabulary.HAZARDS[hazard.kind])})",
        "danger": KINDS[hazard.kind].is_danger,
        "area": hazard.is_area,
        "corners": [[corner.latitude_deg, corner.longitude_deg] for corner in hazard.corners],
    }


def sight_lines(ground, pairs, on):
    """Rows of a table: from, to, the bearing in each north, the norths as shown by which these lie
    apart, the length, and by how much the survey alone may turn it, 95 %.
    """
    rows = []
    for station, target in pairs:
        try:
            line = ground.sight_line(station, target)
        except geodesy.SamePoint:
            continue
        begin, end = ground.point(station), ground.point(target)
        norths, _ = ground.north_of(begin.position, on)
        error_m = (
            begin.error.across(line.bearing_deg) ** 2 + end.error.across(line.bearing_deg) ** 2
        ) ** 0.5
        rows.append(
            {
                "station": station,
                "target": target,
                "norths": IN_DEGREES.in_each_north(norths, line.bearing_deg, "true"),
                "shown": norths.as_printed(),
                "length": desk_length(line.distance_m),
                "survey_deg": 1.96 * across(error_m, line.distance_m),
            }
        )
    return rows
