"""An answer that is a place: the spots that may be named, how a grid reference or coordinates are
read, and how far off a place is.

Flat ground round the task's station, metres east and north of it.
"""

import math
import re
from dataclasses import dataclass, replace

from ..earth import coordinates, geodesy
from ..earth.ellipse import Ellipse
from ..earth.geodesy import Position
from ..surveying.position_lines import PositionLine
from ..surveying.traverse import Leg, Misclosure
from ..words import say

# within which a grid reference of figures alone repeats; FM 3-25.26 ch. 4 from memory
SQUARE_M = 100_000.0
FIGURES = re.compile(
    r"E?\s*(\d{2,5})\s*[ ,/]\s*N?\s*(\d{2,5})|(\d{4}|\d{6}|\d{8}|\d{10})", re.IGNORECASE
)
FULL_GRID = re.compile(
    r"(\d{6,7}(?:[.,]\d+)?)\s*(?:m?E)?[\s,;]+(\d{6,8}(?:[.,]\d+)?)\s*(?:m?N)?", re.IGNORECASE
)
# half of the square that an answer may name: eight figures, or four decimals of a degree
COARSEST_M = 6.0
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # I and O are read as a line and a nought
SAME_PLACE_M = 5.0  # places nearer than this are one cross on the map
FARTHEST_M = 5_000.0  # a place farther from its task is a slip of typing


class NotASpot(ValueError):
    """What names neither a spot nor a place near the task. The message says what can be written."""


@dataclass(frozen=True)
class Spot:
    """A place with a code: a lettered spot of the practice map, or a marker on the ground."""

    code: str
    east_m: float
    north_m: float


@dataclass(frozen=True)
class Where:
    """The right place of an answer and what led to it.

    `latitude_deg`, `longitude_deg` and `epsg` say where the origin lies and in which grid figures
    are read. `ellipse` is the standard error ellipse that sound technique leaves; `full_m` and
    `part_m` are the bands. `spots` may be named, one of them, `right`, is right. `lines` are the
    bearings of a fix, `legs` those of a walk; bearings are true.
    """

    latitude_deg: float
    longitude_deg: float
    epsg: int
    east_m: float
    north_m: float
    ellipse: Ellipse
    full_m: float
    part_m: float
    spots: tuple[Spot, ...] = ()
    right: str = ""
    lines: tuple[PositionLine, ...] = ()
    legs: tuple[Leg, ...] = ()

    @property
    def origin(self):
        """The origin as a position."""
        return Position(self.latitude_deg, self.longitude_deg)

    @property
    def position(self):
        """The right place as a position."""
        return geodesy.moved(self.origin, self.east_m, self.north_m)

    def widened(self, times):
        """The same with wider bands, for a person who cannot read as finely: what a bearing is off
        by moves a place in proportion.
        """
        return replace(self, full_m=self.full_m * times, part_m=self.part_m * times)

    def spot(self, code):
        """The spot of a code, in capitals or not, or None."""
        return next((spot for spot in self.spots if spot.code.upper() == code.upper()), None)


def from_plain(row):
    """The `Where` that `dataclasses.asdict` was given; None of None."""
    return row and Where(
        **{
            **row,
            "ellipse": Ellipse(**row["ellipse"]),
            "spots": tuple(Spot(**one) for one in row["spots"]),
            "lines": tuple(PositionLine(**one) for one in row["lines"]),
            "legs": tuple(Leg(**one) for one in row["legs"]),
        }
    )


@dataclass(frozen=True)
class Placed:
    """A place that was given: the spot's code, empty for coordinates; metres east and north of the
    answer's origin; half of what it was rounded to, metres.
    """

    spot: str
    east_m: float
    north_m: float
    half_m: float = 0.0


def named(where, code):
    """A spot that was named, as `Placed`. Raises NotASpot."""
    spot = where.spot(code)
    if spot is None:
        raise NotASpot(
            say(
                "“{text}” is not a spot here. Use one of: {codes}.",
                text=code[:40],
                codes=", ".join(one.code for one in where.spots),
            )
        )
    return Placed(spot.code, spot.east_m, spot.north_m)


def read(where, text):
    """What was written: a spot's code, a grid reference in figures (`4293 0221`, `42930221`), full
    grid coordinates, or any notation of `coordinates.read_place`.

    Figures alone are those of the grid in use, the south-west corner of a square as maps have it:
    its middle is meant. Raises NotASpot.
    """
    text = text.strip()
    if where.spot(text):
        return named(where, text)
    try:
        position, half_m = _position(where, text)
    except (coordinates.NotAPlace, geodesy.UnsuitableGrid) as error:
        codes = ", ".join(one.code for one in where.spots)
        raise NotASpot(
            say(
                "“{text}” is neither a spot ({codes}) nor a place. Write a letter, a grid "
                "reference such as 4293 0221, or coordinates.",
                text=text[:40],
                codes=codes,
            )
        ) from error
    return at(where, position, half_m)


def at(where, position, half_m):
    """A position as `Placed`. Raises NotASpot far from the task."""
    if half_m > COARSEST_M:
        raise NotASpot(
            say(
                "That names a square of {metres:.0f} m: too large to be a position. Give the "
                "reference to 10 m, such as 4293 0221.",
                metres=2.0 * half_m,
            )
        )
    east_m, north_m = geodesy.east_north_m(where.origin, position)
    if math.hypot(east_m, north_m) > FARTHEST_M:
        raise NotASpot(
            say(
                "That is {distance:.0f} km from here. Check the figures: east first, then north.",
                distance=math.hypot(east_m, north_m) / 1000.0,
            )
        )
    return Placed("", east_m, north_m, half_m)


def _position(where, text):
    if found := FULL_GRID.fullmatch(text):
        place = coordinates.read_grid(found[1], found[2], where.epsg)
        return place.position, place.resolution_m
    if found := FIGURES.fullmatch(text):
        east, north = (
            (found[1], found[2])
            if found[1]
            else (found[3][: len(found[3]) // 2], found[3][len(found[3]) // 2 :])
        )
        if len(east) == len(north):
            return _from_figures(where, east, north)
    place = coordinates.read_place(text, where.origin)
    return place.position, place.resolution_m


def _from_figures(where, east, north):
    """The middle of the square of a short grid reference that lies nearest to the task, and half
    its side.
    """
    side_m = SQUARE_M / 10 ** len(east)
    here = geodesy.easting_northing(where.position, where.epsg)
    metres = []
    for figures, own in zip((east, north), here, strict=True):
        within = int(figures) * side_m + side_m / 2.0
        metres.append(within + round((own - within) / SQUARE_M) * SQUARE_M)
    return geodesy.from_epsg(*metres, where.epsg)[0], side_m / 2.0


def sheet_km(where):
    """The kilometres round about that a grid reference may begin with, as `(least east, most east,
    least north, most north)` in the figures of the grid: what a phone knows to ask whether a
    reference is on the map, and too coarse to give a place away."""
    far_m = max(
        [FARTHEST_M / 2.0, *(2.0 * math.hypot(line.east_m, line.north_m) for line in where.lines)]
    )
    east, north = geodesy.easting_northing(where.origin, where.epsg)
    return tuple(
        int((metres + off) // 1000.0) for metres in (east, north) for off in (-far_m, far_m)
    )


def figures(where, count=4):
    """The right place as a grid reference of `count` figures each: the square that it lies in."""
    side_m = SQUARE_M / 10**count
    return " ".join(
        f"{int(metres % SQUARE_M // side_m):0{count}d}"
        for metres in geodesy.easting_northing(where.position, where.epsg)
    )


def slips_of_figures(where, count=4):
    """Where the right place's reference leads with two neighbouring figures exchanged: metres east
    and north of the origin, each different place once.
    """
    side_m = SQUARE_M / 10**count
    found = []
    for axis, text in enumerate(figures(where, count).split()):
        for at in range(count - 1):
            swapped = text[:at] + text[at + 1] + text[at] + text[at + 2 :]
            off_m = (int(swapped) - int(text)) * side_m
            if off_m and abs(off_m) < FARTHEST_M:
                found.append(
                    (
                        where.east_m + (off_m if axis == 0 else 0.0),
                        where.north_m + (off_m if axis == 1 else 0.0),
                    )
                )
    return found


@dataclass(frozen=True)
class Miss:
    """How far a place is from the right one: metres; the same in units of the standard error
    ellipse; along and across the way from the station to the right place (or, at a fix, the longer
    and the shorter axis of the ellipse), metres; and its direction."""

    error_m: float
    units: float
    along_m: float
    across_m: float
    east_m: float
    north_m: float


def miss(where, placed):
    """By how much a place misses the right one, as `Miss`.

    The distance in units of the ellipse is sqrt(d' S^-1 d), 2.448 at the 95 % ellipse (ellipse.py).
    A place that was rounded is as far as its middle.
    """
    off = Misclosure(
        placed.east_m - where.east_m,
        placed.north_m - where.north_m,
        math.fsum(leg.distance_m for leg in where.legs),
    )
    major, minor = off.split(where.ellipse.azimuth_deg)
    units = math.hypot(
        major / max(where.ellipse.major_m, 1e-6), minor / max(where.ellipse.minor_m, 1e-6)
    )
    along_m, across_m = off.split(_way(where))
    return Miss(off.linear_m, units, along_m, across_m, off.east_m, off.north_m)


def _way(where):
    """The direction that counts as along: from beginning to end of a walk, of its last leg where it
    comes back; of a fix the ellipse's longer axis.
    """
    if not where.legs:
        return where.ellipse.azimuth_deg
    straight = math.hypot(where.east_m, where.north_m)
    return (
        math.degrees(math.atan2(where.east_m, where.north_m))
        if straight > 1.0
        else where.legs[-1].bearing_deg
    )


def lettered(answers, taken):
    """The answers with the spots of their fixes lettered, no letter twice and none that is a
    point's code: from west to east, so that the order says nothing.

    Answers that seek the same place share its spots: two letters on one cross would give both of
    them away.
    """
    letters = (
        letter
        for letter in [*LETTERS, *(f"{one}{other}" for one in LETTERS for other in LETTERS)]
        if letter not in taken
    )
    found, sets = [], []
    for answer in answers:
        if answer.where and answer.where.lines:
            before = next(
                (
                    where
                    for where in sets
                    if geodesy.apart_m(where.position, answer.where.position) < SAME_PLACE_M
                ),
                None,
            )
            answer = replace(
                answer,
                where=_shared(answer.where, before) if before else _lettered(answer.where, letters),
            )
            sets.append(answer.where)
        found.append(answer)
    return tuple(found)


def _lettered(where, letters):
    spots = sorted(where.spots, key=lambda spot: (spot.east_m, spot.north_m))
    renamed = {spot.code: next(letters) for spot in spots}
    return replace(
        where,
        right=renamed[where.right],
        spots=tuple(replace(spot, code=renamed[spot.code]) for spot in spots),
    )


def _shared(where, before):
    """The spots of an earlier answer that seeks the same place, as seen from this one's origin."""
    east_m, north_m = geodesy.east_north_m(where.origin, before.origin)
    return replace(
        where,
        right=before.right,
        spots=tuple(
            replace(spot, east_m=spot.east_m + east_m, north_m=spot.north_m + north_m)
            for spot in before.spots
        ),
    )
