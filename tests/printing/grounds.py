"""Invented grounds for prints, among them those that strain a sheet: where the declination is large
or none, where names are long, where points crowd.
"""

import datetime
from dataclasses import dataclass

from exercises.domain.earth import magnetics
from exercises.domain.earth.geodesy import Position, destination
from exercises.domain.planning.hazards import KINDS, Hazard
from exercises.domain.tasks.site import Point, Site
from exercises.languages import tell
from exercises.presenting import map_words, prints
from exercises.printing import cards, map_sheet, sheets

DAY = datetime.date(2026, 10, 3)
LONG_NAME = "Upper Whispering Terrace and Lower Bakehouse Meadow by the Old Woolshed, Eastern"


@dataclass(frozen=True)
class Place:
    """A ground for a print: its middle, how many points, how far out they lie, name and grid."""

    middle: Position
    count: int = 9
    reach_m: float = 350.0
    name: str = "Terrace"
    epsg: int | None = None


PLACES = {
    "70 north": Place(Position(70.2, 25.9)),
    "57 west": Place(Position(-75.0, 42.0)),
    "agonic": Place(Position(41.0, -6.0)),
    "nearly agonic": Place(Position(9.0, 8.0)),
    "137 east": Place(Position(-75.0, 162.0)),
    "longitude 137 east": Place(Position(35.6, 137.2)),
    "national grid": Place(Position(-45.13, 170.10), epsg=2193),
    "long names": Place(Position(-45.13, 170.10), name=LONG_NAME, epsg=2193),
    "26 points in 120 m": Place(Position(-45.13, 170.10), 26, 60.0, "Schoolyard", 2193),
}


def site_of(place, accuracy_m=0.5):
    """Points all round: stations, targets, and stations that are sighted as well."""
    points = {}
    for number in range(place.count):
        far_m = place.reach_m * (0.35 + 0.65 * ((number * 5) % 9) / 8)
        code = f"T{number}"
        points[code] = Point(
            code,
            f"thing {number}",
            destination(place.middle, 360.0 * number / place.count + 11.0 * (number % 3), far_m),
            accuracy_m,
            "peg" if number % 4 < 2 else "",
            is_target=number % 4 != 1,
        )
    return Site(points, {}, place.epsg, place.middle)


def hazards_of(place):
    """One hazard of each kind: lines that leave the map, an area, a spot on a point."""
    shapes = [[(20, 1.6), (150, 1.7)], [(40, 0.8)], [(100, 0.5), (140, 0.6), (120, 0.9)]]
    found = []
    for number, kind in enumerate(KINDS):
        shape = shapes[number % 3]
        corners = tuple(
            destination(place.middle, bearing + 37.0 * number, share * place.reach_m)
            for bearing, share in shape
        )
        found.append(Hazard(kind, f"Old {kind} at the far end", corners, len(shape) > 2))
    return found


def ground_of(place, hazards=None, lettered=None, sought=frozenset()):
    """What is drawn."""
    return map_sheet.Ground(
        site_of(place),
        place.middle,
        hazards_of(place) if hazards is None else hazards,
        sought,
        lettered or {},
    )


def printed_of(place, ground, answers=()):
    """What is said of it, with the real norths of the place."""
    norths, declination = ground.site.north_of(place.middle, DAY)
    return map_words.Printed(
        place.name,
        DAY,
        norths,
        declination,
        magnetics.annual_change_deg(place.middle, DAY),
        (datetime.date(2026, 3, 12), datetime.date(2026, 4, 2)),
        answers,
    )


def map_of(place, sheet, north="grid", **more):
    """The practice map of a place as a PDF."""
    ground = ground_of(place, **more)
    words = map_words.words_of_sheet(ground, printed_of(place, ground), north)
    return map_sheet.map_sheet(ground, [words], sheet, place.name)


LINES = [
    sheets.Line(
        str(number),
        "W8M4",
        "Read the bearing to the wind vane on the old woolshed of the upper meadow, in degrees.",
        (("magnetic", 3 if number % 2 else 1),),
    )
    for number in range(8, 40)
]


def card_of(code, tasks, cautions):
    """A card in the reader's language, of a point with a long name."""
    return cards.Card(
        code,
        LONG_NAME,
        tell("Stand here: {mark}", mark="brass pin in the lowest step, east end of the terrace"),
        tuple(f"{number}. Read the bearing to the water tank." for number in range(tasks)),
        "HTTP://192.168.4.17:8000/S/ACD34F/",
        "ACD34F",
        tell("Scan it with your phone, or type this on the first page:"),
        tell(
            "Phone, keys and knife away, two paces from other compasses. Sight and read first, "
            "then take the phone out."
        ),
        cautions,
        prints.foot(),
    )


def heads_of(cautions):
    """The words round a sheet to fill in, in the reader's language."""
    return sheets.Heads(
        LONG_NAME,
        LONG_NAME,
        (
            tell("Name"),
            tell("Compass number"),
            tell("With whom"),
            tell("Double paces in ____ m"),
        ),
        (tell("Task"), tell("At"), tell("Your answer: three digits")),
        tell(
            "Phone, keys and knife away before you sight. Read to the tick, then write three "
            "digits: 007, not\u00a07."
        ),
        cautions,
        prints.foot(),
        lambda number: tell("Page {number}", number=number),
    )
