"""A place said back: in words that a person can hold against what was meant, and on a small map."""

from dataclasses import dataclass

from django.utils.translation import get_language

from ..domain.earth import geodesy
from ..domain.earth.angles import wrap
from ..domain.tasks.meant_place import Doubt, doubt
from ..domain.words import say
from ..drawing.locator import Window, locator
from ..languages import local, tell, told
from ..world import land, towns

MOST_MEANT = 3  # places to choose from
SAME_M = 0.5  # two points nearer than that are told as one place
BESIDE_M = 1500.0  # of a town's middle, which is known to half a kilometre
SIDES = (
    say("north of"),
    say("north-east of"),
    say("east of"),
    say("south-east of"),
    say("south of"),
    say("south-west of"),
    say("west of"),
    say("north-west of"),
)
SLIPS = {
    "exchanged": say("Exchange latitude and longitude"),
    "sign": say("Change the sign"),
    "both": say("Exchange latitude and longitude, and change the sign"),
}
WHY = {
    "far": say("This is far from the points of the site."),
    "sea": say("This lies in open sea."),
    "away": say("This lies in another time zone than your device."),
}


@dataclass(frozen=True)
class Instead:
    """Another place that may have been meant: the text that means it, what a button for it says,
    and where it lies ("" where the button says it).
    """

    text: str
    act: str
    words: str


@dataclass(frozen=True)
class SaidPlace:
    """A place ready to show: the text that means it, where it lies in words, its time zone ("" at
    sea), what speaks against it ("" for nothing), what may have been meant instead, the drawing.
    """

    text: str
    latitude: float
    longitude: float
    words: str
    zone: str
    doubt: str
    instead: list[Instead]
    drawing: str


def said_place(position, near=None, own_zone=""):
    """A place said back, as `SaidPlace`. `near` is where other points of its site lie or None,
    `own_zone` the time zone of who typed it or "".
    """
    where, doubted = towns.whereabouts(position), doubt(position, near, own_zone)
    words = where_words(where)
    return SaidPlace(
        text=as_text(position),
        latitude=position.latitude_deg,
        longitude=position.longitude_deg,
        words=words,
        zone="" if where.is_high_seas else zone_words(where.zone),
        doubt=_doubt_words(doubted) if doubted else "",
        instead=[_meant(meant.slip, meant.position) for meant in doubted.meant[:MOST_MEANT]]
        if doubted
        else [],
        drawing=_drawing(position),
    )


def _meant(slip, position):
    """A place that may have been meant, as `Instead`."""
    words = where_words(towns.whereabouts(position))
    return Instead(as_text(position), told(SLIPS[slip]), words)


def as_text(position):
    """A position as it stands in a field, to a decimetre, with the reader's decimal mark: what is
    read back as the same.
    """
    latitude, longitude = (
        local(f"{position.latitude_deg:.6f}"),
        local(f"{position.longitude_deg:.6f}"),
    )
    return f"{latitude}; {longitude}" if "," in latitude else f"{latitude}, {longitude}"


def where_words(where):
    """Where a place lies, in one sentence: `42.1247° south, 146.2048° east: Australia, 101 km
    north-west of New Norfolk.`
    """
    place = degrees_words(where.position)
    if where.is_high_seas:
        return tell("{place}: open sea.", place=place)
    if where.town is None:
        return tell("{place}: far from any town.", place=place)
    town = where.town.name
    country = towns.country_name(where.town.country, get_language())
    if where.away_m < BESIDE_M:
        return tell("{place}: {country}, in {town}.", place=place, country=country, town=town)
    return tell(
        "{place}: {country}, {kilometres:.0f} km {side} {town}.",
        place=place,
        country=country,
        kilometres=where.away_m / 1000.0,
        side=_side(where.bearing_deg),
        town=town,
    )


def degrees_words(position):
    """A position to ten metres, with its hemispheres in words."""
    return f"{_latitude(position.latitude_deg)}, {_longitude(position.longitude_deg)}"


def _latitude(degrees):
    if degrees < 0:
        return tell("{degrees:.4f}° south", degrees=-degrees)
    return tell("{degrees:.4f}° north", degrees=degrees)


def _longitude(degrees):
    if degrees < 0:
        return tell("{degrees:.4f}° west", degrees=-degrees)
    return tell("{degrees:.4f}° east", degrees=degrees)


def _side(bearing_deg):
    """On which side of something a place lies: the nearest of eight."""
    return SIDES[round(wrap(bearing_deg) / 45.0) % 8]


def point_words(position, others, place=""):
    """Where a point lies, by the nearest of the site's `others` (domain points), in one sentence:
    `45.1310° south, 170.1010° east, 138 m south-east of A.` `place` is its position in other words.
    """
    place = place or degrees_words(position)
    apart = [(geodesy.apart_m(other.position, position), other) for other in others]
    away_m, other = min(apart, key=lambda pair: pair[0], default=(0.0, None))
    if other is None:
        return tell("{place}.", place=place)
    if away_m < SAME_M:
        return tell("{place}, where {point} is.", place=place, point=other.code)
    line = geodesy.sight_line(other.position, position)
    return tell(
        "{place}, {metres:.0f} m {side} {point}.",
        place=place,
        metres=away_m,
        side=_side(line.bearing_deg),
        point=other.code,
    )


def zone_words(zone):
    """A time zone as people read it: `Australia/Port Lincoln`."""
    return zone.replace("_", " ")


def place_choices(form):
    """What may be taken instead of a text that gave no place, as `Instead`s: towns of that name, or
    the place with latitude and longitude exchanged. `form` is a `PlaceForm`.
    """
    found = [Instead(as_text(town.position), town_words(town), "") for town in form.towns]
    return found + ([_meant("exchanged", form.exchanged)] if form.exchanged else [])


def town_words(town):
    """A town to choose from a list, with what tells it from others of its name."""
    country = towns.country_name(town.country, get_language())
    by = towns.city_by(town)
    if by is None:
        return f"{town.name}, {country}"
    return tell(
        "{town}, {country}, {kilometres:.0f} km {side} {city}",
        town=town.name,
        country=country,
        kilometres=by.away_m / 1000.0,
        side=_side(by.bearing_deg),
        city=by.town.name,
    )


def _doubt_words(doubted: Doubt):
    """What speaks against a place, and what to do."""
    slips = {meant.slip for meant in doubted.meant}
    if "exchanged" in slips:
        cure = say("Latitude and longitude look exchanged.")
    elif "sign" in slips:
        cure = say("A sign looks wrong: south and west are negative.")
    else:
        cure = say("Check both numbers and their signs.")
    return tell("{why} {cure}", why=WHY[doubted.why], cure=cure)


def _drawing(position):
    window = Window(position.latitude_deg, position.longitude_deg)
    shown = towns.largest_in(*window.box(), most=6)
    return locator(window, land.outlines(), shown, tell("Where it lies, with the towns round it."))
