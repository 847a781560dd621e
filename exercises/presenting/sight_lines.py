"""What a station sees, ready to print: the targets with bearing and length, what is expected within
a reach and what stands against it, which tasks ask for a line, and what was changed.
"""

from __future__ import annotations

from ..domain.earth.geodesy import UnsuitableGrid
from ..domain.earth.magnetics import NoDeclination
from ..drawing.plan import bearing_text
from ..drawing.signs import FRAMED
from ..languages import tell
from .lengths import desk_length
from .site_map import site_map


def rows(ground, station, sights, tasks, on):
    """A row for each of the `sights` of a station. `tasks` are those that need a line, by its
    codes; bearings are true, and magnetic on a date.
    """
    noted = set(ground.visible.get(station, ()))
    norths = _norths(ground, station, on)
    return [
        {
            "code": sight.target,
            "name": ground.point(sight.target).name,
            "is_noted": sight.target in noted,
            "line": _line_text(sight.line, norths),
            "length_m": round(sight.line.distance_m, 2) if sight.line else None,
            "against": _against(sight),
            "tasks": tasks.get((station, sight.target), []),
        }
        for sight in sights
    ]


def lines_map(ground, middle, station, hazards):
    """The map of a site on which the lines of one station are chosen, and which says nothing of
    others.
    """
    pairs = [(station, target) for target in ground.visible.get(station, ())]
    whole = site_map(ground, middle, pairs, hazards)
    points = [
        {**point, "sign": point["sign"].removesuffix(FRAMED), "note": ""}
        for point in whole["points"]
    ]
    return {**whole, "points": points, "station": station}


def _norths(ground, station, on):
    """The norths at a station on a date; None where they cannot be told."""
    try:
        return ground.north_of(ground.point(station).position, on)[0]
    except (NoDeclination, UnsuitableGrid):
        return None


def _line_text(line, norths):
    """Bearing and length of a line: `023° true, 357° magnetic, 381 m`, or in feet; "" for none."""
    if line is None:
        return ""
    bearings = [bearing_text(line.bearing_deg, "true")]
    if norths:
        magnetic_deg = norths.turn(line.bearing_deg, "true", "magnetic")
        bearings.append(bearing_text(magnetic_deg, "magnetic"))
    return ", ".join([*bearings, desk_length(line.distance_m)])


def _against(sight):
    """Why a target is not expected to be seen, however near it is; "" where nothing is known."""
    if sight.line is None:
        return tell("It stands where the station is: there is no line.")
    if sight.rise is None:
        return ""
    return tell(
        "By the heights, the ground at {point} rises {metres:.1f} m over the line.",
        point=sight.rise.point,
        metres=sight.rise.below_m,
    )


def changed_text(station, added, taken):
    """What was changed from a station, in a sentence."""
    values = {"station": station, "added": ", ".join(added), "taken": ", ".join(taken)}
    if added and taken:
        return tell("{station} sees {added} now, and {taken} no longer.", **values)
    if added:
        return tell("{station} sees {added} now.", **values)
    if taken:
        return tell("{station} does not see {taken} any longer.", **values)
    return tell("Nothing changed for {station}.", **values)
