"""What the page of a site shows of its ground on a day: map, norths, sight lines, what is near."""

from django.utils.formats import date_format

from ..domain.earth import magnetics
from ..domain.earth.angles import difference
from ..domain.earth.geodesy import Position, UnsuitableGrid
from ..domain.earth.magnetics import NoDeclination
from ..domain.planning.ground_checks import station_findings
from ..drawing.norths import norths_in_words, norths_picture
from ..drawing.plan import plan
from ..drawing.signs import desk_signs
from ..languages import tell, tell_many, told
from .findings import said
from .site_map import sight_lines, site_map

HIGHER_M = 1000.0  # what a note on unknown heights tells the declination for


def ground_on(known, position, pairs, on, chosen=""):
    """A site's ground, with all that is known of it (`Surroundings`), on a date. `pairs` are the
    (station, target) that are noted as seen, `chosen` is the point whose lines the map shows at
    first. Where the norths cannot be told, `trouble` says why.
    """
    ground, hazards = known.site, known.hazards
    # a point may have got another code between the two questions
    pairs = [pair for pair in pairs if ground.points.keys() >= set(pair)]
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
    shown = {
        "norths_words": "",
        "norths_picture": "",
        "lines": [],
        "norths_elsewhere": [],
        "trouble": "",
    }
    try:
        norths, declination = ground.north_of(position, on)
        words = _norths_words(norths, declination, on), _assumed_words(ground, position, on)
        shown["norths_words"] = " ".join(filter(None, words))
        shown["norths_picture"] = norths_picture(norths)
        shown["lines"] = sight_lines(ground, pairs, on)
        shown["norths_elsewhere"] = _elsewhere(norths, shown["lines"])
    except (NoDeclination, UnsuitableGrid) as error:
        shown["trouble"] = told(error)
    return shown


def _elsewhere(norths, lines):
    """The norths at stations where other figures are shown than at the middle of the site, so that
    each row of the table adds up.
    """
    stations = {}
    for line in lines:
        if line["shown"] != norths.as_printed():
            stations.setdefault(line["shown"], {})[line["station"]] = None
    return [
        tell("From {stations}: {norths}", stations=", ".join(codes), norths=norths_in_words(shown))
        for shown, codes in stations.items()
    ]


def _norths_words(norths, declination, on):
    return tell(
        "{norths} {model}, {date}, ± {degrees:.1f}°. {warning}",
        norths=norths_in_words(norths),
        model=declination.model,
        date=date_format(on, "DATE_FORMAT"),
        degrees=declination.uncertainty_deg,
        warning=declination.warning,
    )


def _assumed_words(ground, position, on):
    """At which height declination is computed where none is known, and what that may cost; empty
    where every point has its height.
    """
    unknown = sum(point.position.elevation_m is None for point in ground.points.values())
    if not unknown:
        return ""
    higher = Position(position.latitude_deg, position.longitude_deg, HIGHER_M)
    low, high = (magnetics.declination(place, on).degrees for place in (position, higher))
    return tell_many(
        "The height of {number} point is not known: declination is taken at sea level there. "
        "{higher:.0f} m higher it would be {degrees:.2f}° other.",
        "The heights of {number} points are not known: declination is taken at sea level there. "
        "{higher:.0f} m higher it would be {degrees:.2f}° other.",
        unknown,
        higher=HIGHER_M,
        degrees=abs(difference(high, low)),
    )
