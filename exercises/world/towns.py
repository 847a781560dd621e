"""Towns of the world: the nearest to a place, those of a name, the largest of a stretch of map."""

import functools
import gzip
import math
import sys
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ..domain.earth import geodesy
from ..domain.earth.geodesy import Position
from ..domain.earth.plain_text import few_marks
from ..domain.earth.zones import is_high_seas, zone_at

HERE = Path(__file__).resolve().parent
LEAST_PEOPLE = 5000  # of a town in the table
KNOWN_PEOPLE = 1_000_000  # of a city that needs no other to be known by
CITY_PEOPLE = 100_000  # of a city that people know who ask for a small town
MOST_FOUND = 8
FARTHEST_M = 500_000.0  # of a town that still tells somebody where a place is


@dataclass(frozen=True, slots=True)
class Town:
    """A town: its country as a code of ISO 3166, its middle to half a kilometre, its people to two
    figures, and the name of its time zone.
    """

    name: str
    country: str
    latitude_deg: float
    longitude_deg: float
    people: int
    zone: str

    @property
    def position(self) -> Position:
        """Its middle."""
        return Position(self.latitude_deg, self.longitude_deg)


@dataclass(frozen=True)
class Whereabouts:
    """Where a place lies: its time zone, whether that is one of the high seas, and the nearest town
    of its zone, with how many metres away the place is from it, at which true bearing; None on the
    high seas and where no town lies within FARTHEST_M.
    """

    position: Position
    zone: str
    is_high_seas: bool
    town: Town | None
    away_m: float = 0.0
    bearing_deg: float = 0.0


def whereabouts(position: Position) -> Whereabouts:
    """Where a place lies, as `Whereabouts`. A town of another zone, which is another country as a
    rule, is never named for a place on land.
    """
    zone = zone_at(position)
    nowhere = Whereabouts(position, zone, is_high_seas(zone), None)
    if not (towns := _of_zones().get(zone, ())):
        return nowhere
    town = min(towns, key=functools.partial(_roughly_away, position))
    try:
        line = geodesy.sight_line(town.position, position)
    except geodesy.SamePoint:
        return replace(nowhere, town=town)
    if line.distance_m > FARTHEST_M:
        return nowhere
    return replace(nowhere, town=town, away_m=line.distance_m, bearing_deg=line.bearing_deg)


def named(text: str) -> list[Town]:
    """The towns that a text may mean, at most MOST_FOUND: those of that name, then those that begin
    with it, then those with it inside, the largest first of each. Accents and case do not matter.
    """
    wanted = folded(text)
    if not wanted:
        return []
    found = [(name, town) for name, town in _folded() if wanted in name]
    found.sort(
        key=lambda pair: (pair[0] != wanted, not pair[0].startswith(wanted), -pair[1].people)
    )
    return [town for _, town in found[:MOST_FOUND]]


def city_by(town: Town) -> Whereabouts | None:
    """Where a town lies from the nearest city of CITY_PEOPLE that is larger than itself; None for
    one of KNOWN_PEOPLE.
    """
    if town.people >= KNOWN_PEOPLE:
        return None
    larger = [city for city in _cities() if city.people > town.people]
    city = min(larger, key=functools.partial(_roughly_away, town.position))
    line = geodesy.sight_line(city.position, town.position)
    return Whereabouts(town.position, town.zone, False, city, line.distance_m, line.bearing_deg)


def largest_in(south: float, west: float, north: float, east: float, most: int = 12) -> list[Town]:
    """The largest towns of a stretch of map (degrees; `east` may pass 180), at most so many and
    none beside a larger one: their names, level and a third of it wide, do not meet.
    """
    apart_lat, apart_lon = (north - south) / 12, (east - west) / 3
    chosen: list[Town] = []
    for town in _by_people():
        longitude = west + (town.longitude_deg - west) % 360
        if not (south <= town.latitude_deg <= north and longitude <= east):
            continue
        if all(
            abs(town.latitude_deg - other.latitude_deg) > apart_lat
            or abs(town.longitude_deg - other.longitude_deg) > apart_lon
            for other in chosen
        ):
            chosen.append(town)
            if len(chosen) == most:
                break
    return chosen


def folded(text: str) -> str:
    """A name without accents and case.

    >>> folded(" São Tomé ")
    'sao tome'
    """
    apart = unicodedata.normalize("NFKD", few_marks(text.casefold()))
    return " ".join("".join(sign for sign in apart if not unicodedata.combining(sign)).split())


def country_name(code: str, language: str) -> str:
    """What a country is called in a language, in English where the table has no such column."""
    names = _countries().get(code, {})
    return names.get(language) or names.get("en", "")


def _roughly_away(position: Position, town: Town) -> float:
    """How far a town is on a sphere, as the square of the chord: enough to find the nearest."""
    lat, lon = math.radians(position.latitude_deg), math.radians(position.longitude_deg)
    other_lat, other_lon = math.radians(town.latitude_deg), math.radians(town.longitude_deg)
    return (
        math.sin((lat - other_lat) / 2) ** 2
        + math.cos(lat) * math.cos(other_lat) * math.sin((lon - other_lon) / 2) ** 2
    )


@functools.cache
def all_towns() -> tuple[Town, ...]:
    """Every town of the table, read once."""
    with gzip.open(HERE / "towns.tsv.gz", "rt", encoding="utf-8") as lines:
        cells = (line.rstrip("\n").split("\t") for line in lines)
        return tuple(
            Town(
                name,
                sys.intern(country),
                float(latitude),
                float(longitude),
                int(people),
                sys.intern(zone),
            )
            for name, country, latitude, longitude, people, zone in cells
        )


@functools.cache
def _of_zones() -> Mapping[str, Sequence[Town]]:
    """The towns of each time zone."""
    zones: dict[str, list[Town]] = {}
    for town in all_towns():
        zones.setdefault(town.zone, []).append(town)
    return zones


@functools.cache
def _by_people() -> list[Town]:
    return sorted(all_towns(), key=lambda town: -town.people)


@functools.cache
def _cities() -> list[Town]:
    return [town for town in _by_people() if town.people >= CITY_PEOPLE]


@functools.cache
def _folded() -> list[tuple[str, Town]]:
    return [(folded(town.name), town) for town in all_towns()]


@functools.cache
def _countries() -> Mapping[str, Mapping[str, str]]:
    """Names by language, by code."""
    lines = (HERE / "countries.tsv").read_text(encoding="utf-8").splitlines()
    _, *languages = lines[0].split("\t")
    rows = (line.split("\t") for line in lines[1:])
    return {code: dict(zip(languages, names, strict=True)) for code, *names in rows}
