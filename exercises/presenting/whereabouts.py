"""A place said back: in words that a person can hold against what was meant, and on a small map."""

from dataclasses import dataclass

from django.utils.translation import get_language

from ..domain.tasks.meant_place import Doubt, doubt
from ..domain.words import say
from ..drawing.locator import Window, locator
from ..exchange.slips import slip
from ..languages import local, tell, told
from ..world import land, towns
from .position_findings import towards

BESIDE_M = 1500.0  # of a town's middle, which is known to half a kilometre
NORTH_SOUTH = say("south"), say("north")
EAST_WEST = say("west"), say("east")


@dataclass(frozen=True)
class SaidPlace:
    """A place ready to show: the text that means it, where it lies in words, its time zone, what
    speaks against it ("" for nothing), the same place with latitude and longitude exchanged (None
    unless there is a doubt), and the drawing.
    """

    text: str
    latitude: float
    longitude: float
    words: str
    zone: str
    doubt: str
    exchanged: "Instead | None"
    drawing: str


@dataclass(frozen=True)
class Instead:
    """Another place that may have been meant: the text that means it, and where it lies."""

    text: str
    words: str


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
        zone=zone_words(where.zone),
        doubt=_doubt_words(doubted, position, near) if doubted else "",
        exchanged=instead(doubted.exchanged) if doubted and doubted.exchanged else None,
        drawing=_drawing(position, words),
    )


def instead(position):
    """Another place to choose, as `Instead`."""
    return Instead(as_text(position), where_words(towns.whereabouts(position)))


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
    """Where a place lies, in one sentence: `42.1247° south, 146.2048° east: Australia, 101 km to
    the north-west of New Norfolk.`
    """
    place = degrees_words(where.position)
    if where.is_high_seas:
        return tell("{place}: open sea, far from any coast.", place=place)
    if where.town is None:
        return tell("{place}: far from any town.", place=place)
    town = where.town.name
    country = towns.country_name(where.town.country, get_language())
    if where.away_m < BESIDE_M:
        return tell("{place}: {country}, in {town}.", place=place, country=country, town=town)
    return tell(
        "{place}: {country}, {kilometres:.0f} km {direction} of {town}.",
        place=place,
        country=country,
        kilometres=where.away_m / 1000.0,
        direction=towards(where.bearing_deg),
        town=town,
    )


def degrees_words(position):
    """A position to ten metres, with its hemispheres in words."""
    return tell(
        "{latitude:.4f}° {north}, {longitude:.4f}° {east}",
        latitude=abs(position.latitude_deg),
        north=NORTH_SOUTH[position.latitude_deg >= 0],
        longitude=abs(position.longitude_deg),
        east=EAST_WEST[position.longitude_deg >= 0],
    )


def zone_words(zone):
    """A time zone as people read it: `Australia/Port Lincoln`."""
    return zone.replace("_", " ")


def place_choices(form):
    """What may be taken instead of a text that gave no place, as `Instead`s: towns of that name, or
    the place with latitude and longitude exchanged. `form` is a `PlaceForm`.
    """
    found = [Instead(as_text(town.position), town_words(town)) for town in form.towns]
    return found + ([instead(form.exchanged)] if form.exchanged else [])


def town_words(town):
    """A town to choose from a list, with what tells it from others of its name."""
    return tell(
        "{town}, {country} ({zone})",
        town=town.name,
        country=towns.country_name(town.country, get_language()),
        zone=zone_words(town.zone),
    )


def _doubt_words(doubted: Doubt, position, near):
    """What speaks against a place, and what to do."""
    if doubted.code == "exchanged":
        return tell("Latitude and longitude look exchanged.")
    if doubted.code == "far":
        return tell(
            "This is far from the points of the site. {slip}", slip=told(slip(position, near))
        )
    return tell("This lies in open sea. Check both numbers and their signs.")


def _drawing(position, words):
    window = Window(position.latitude_deg, position.longitude_deg)
    return locator(window, land.outlines(), towns.largest_in(*window.box(), most=6), words)
