"""A place as people write it for an answer: a letter of the map, a grid reference, coordinates."""

from __future__ import annotations

import math
import re

from ..earth import coordinates, geodesy
from ..earth.geodesy import EastNorth, Position
from ..earth.plain_text import plain
from ..words import say
from .forms.place import NotASpot, Place, Placed

# within which a grid reference of figures alone repeats; FM 3-25.26 ch. 4 from memory
SQUARE_M = 100_000.0
FIGURES = re.compile(
    r"E?\s*(\d{2,5})\s*[ ,/]\s*N?\s*(\d{2,5})|(\d{4}|\d{6}|\d{8}|\d{10})", re.IGNORECASE
)
METRES = r"([0-9]{6,8}(?:[.,][0-9]{1,6})?|[0-9]{1,3}(?: [0-9]{3}){1,2}(?:[.,][0-9]{1,6})?)"
FULL_GRID = re.compile(
    rf"(?:E\s*)?{METRES}\s*(?:m\s?)?E?[\s,;]+(?:N\s*)?{METRES}\s*(?:m\s?)?N?",
    re.IGNORECASE,
)
# half of the square that an answer may name: eight figures, or four decimals of a degree
COARSEST_M = 6.0
FARTHEST_M = 5_000.0  # a place farther from its task is a slip of typing


def read(place: Place, text: str) -> Placed:
    """What was written: a spot's code, a grid reference in figures (`4293 0221`, `42930221`), full
    grid coordinates, or any notation of `coordinates.read_place`.

    Figures alone are those of the grid in use, the south-west corner of a square as maps have it:
    its middle is meant. Raises NotASpot.
    """
    text = text.strip()
    if place.spot(text):
        return place.named(text)
    try:
        position, half_m = _position(place, text)
    except (coordinates.NotAPlace, geodesy.UnsuitableGrid) as error:
        codes = ", ".join(spot.code for spot in place.spots)
        raise NotASpot(
            say(
                "“{text}” is neither a spot ({codes}) nor a place. Write a letter, a grid "
                "reference such as 4293 0221, or coordinates.",
                text=text[:40],
                codes=codes,
            )
        ) from error
    return at(place, position, half_m)


def at(place: Place, position: Position, half_m: float) -> Placed:
    """A position as `Placed`. Raises NotASpot far from the task."""
    if half_m > COARSEST_M:
        raise NotASpot(
            say(
                "That names a square of {metres:.0f} m: too large to be a position. Give the "
                "reference to 10 m, such as 4293 0221.",
                metres=2.0 * half_m,
            )
        )
    east_m, north_m = geodesy.east_north_m(place.origin, position)
    if math.hypot(east_m, north_m) > FARTHEST_M:
        raise NotASpot(
            say(
                "That is {distance:.0f} km from here. Check the figures: east first, then north.",
                distance=math.hypot(east_m, north_m) / 1000.0,
            )
        )
    return Placed("", east_m, north_m, half_m)


def _position(place: Place, text: str) -> tuple[Position, float]:
    """The position written, and half of what it was rounded to, metres."""
    text = plain(text)
    if full := FULL_GRID.fullmatch(text):
        written = coordinates.read_grid(full[1], full[2], place.epsg)
        return written.position, written.resolution_m
    if short := FIGURES.fullmatch(text):
        east, north = (short[1], short[2]) if short[1] else _halved(short[3])
        if len(east) == len(north):
            return _from_figures(place, east, north)
    written = coordinates.read_place(text, place.origin)
    return written.position, written.resolution_m


def _halved(figures: str) -> tuple[str, str]:
    """The figures of a reference in one piece: east, north."""
    middle = len(figures) // 2
    return figures[:middle], figures[middle:]


def _from_figures(place: Place, east: str, north: str) -> tuple[Position, float]:
    """The middle of the square of a short grid reference that lies nearest to the task, and half
    its side.
    """
    side_m = SQUARE_M / 10 ** len(east)
    here = geodesy.easting_northing(place.position, place.epsg)
    easting_m, northing_m = (
        _nearest_m(int(figures) * side_m + side_m / 2.0, metres)
        for figures, metres in zip((east, north), here, strict=True)
    )
    position, _ = geodesy.from_epsg(easting_m, northing_m, place.epsg)
    return position, side_m / 2.0


def _nearest_m(within_m: float, here_m: float) -> float:
    """The coordinate that lies so far within its square of 100 km, the nearest to here; metres."""
    return within_m + round((here_m - within_m) / SQUARE_M) * SQUARE_M


def sheet_km(place: Place) -> tuple[int, ...]:
    """The kilometres round about that a grid reference may begin with, as `(least east, most east,
    least north, most north)` in the figures of the grid: what a phone knows to ask whether a
    reference is on the map, and too coarse to give a place away."""
    far_m = max(FARTHEST_M / 2.0, 2.0 * place.reach_m)
    east, north = geodesy.easting_northing(place.origin, place.epsg)
    return tuple(
        int((metres + off) // 1000.0) for metres in (east, north) for off in (-far_m, far_m)
    )


def figures(place: Place, count: int = 4) -> str:
    """The right place as a grid reference of `count` figures each: the square that it lies in."""
    side_m = SQUARE_M / 10**count
    return " ".join(
        f"{int(metres % SQUARE_M // side_m):0{count}d}"
        for metres in geodesy.easting_northing(place.position, place.epsg)
    )


def slips_of_figures(place: Place, count: int = 4) -> list[EastNorth]:
    """Where the right place's reference leads with two neighbouring figures exchanged: metres east
    and north of the origin, each different place once.
    """
    side_m = SQUARE_M / 10**count
    slips = []
    for axis, text in enumerate(figures(place, count).split()):
        for at in range(count - 1):
            swapped = text[:at] + text[at + 1] + text[at] + text[at + 2 :]
            off_m = (int(swapped) - int(text)) * side_m
            if off_m and abs(off_m) < FARTHEST_M:
                slips.append(
                    (
                        place.east_m + (off_m if axis == 0 else 0.0),
                        place.north_m + (off_m if axis == 1 else 0.0),
                    )
                )
    return slips
