"""What the page of a site shows of its ground on a day: map, norths, sight lines, what is near."""

from django.utils.formats import date_format

from ..domain.earth.geodesy import UnsuitableGrid
from ..domain.earth.magnetics import NoDeclination
from ..domain.planning.ground_checks import station_findings
from ..drawing.norths import norths_in_words, norths_picture
from ..drawing.plan import plan
from ..drawing.signs import desk_signs
from ..languages import tell, told
from .findings import said
from .site_map import sight_lines, site_map


def ground_on(known, position, pairs, on, chosen=""):
    """A site's ground, with all that is known of it (`Surroundings`), on a date. `pairs` are the
    (station, target) that are noted as seen, `chosen` is the point whose lines the map shows at
    first. Where the norths cannot be told, `trouble` says why.
    """
    ground, hazards = known.site, known.hazards
    return {
        "on": on,
        "plan": plan(ground, position, pairs, hazards),
        "signs": desk_signs(),
        "map": {**site_map(ground, position, pairs, hazards), "chosen": chosen},
        "unlined": [
            point
            for point in ground.points.values()
            if point.is_station and not ground.visible.get(point.code)
        ],
        "near": said(station_findings(known)),
        **_norths_on(ground, position, pairs, on),
    }


def _norths_on(ground, position, pairs, on):
    """The norths at the middle of a site, and its sight lines in them, as far as they can be
    told.
    """
    shown = {"norths_words": "", "norths_picture": "", "lines": [], "trouble": ""}
    try:
        norths, declination = ground.north_of(position, on)
        shown["norths_words"] = _norths_words(norths, declination, on)
        shown["norths_picture"] = norths_picture(norths)
        shown["lines"] = sight_lines(ground, pairs, on)
    except (NoDeclination, UnsuitableGrid) as error:
        shown["trouble"] = told(error)
    return shown


def _norths_words(norths, declination, on):
    return tell(
        "{norths} {model}, {date}, ± {degrees:.1f}°. {warning}",
        norths=norths_in_words(norths),
        model=declination.model,
        date=date_format(on, "DATE_FORMAT"),
        degrees=declination.uncertainty_deg,
        warning=declination.warning,
    )
