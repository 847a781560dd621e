"""Ground with surveyed points, and the tasks of a course on it: plain values, checked once,
here.
"""

from __future__ import annotations

import contextlib
import datetime
import functools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from ..earth import geodesy, magnetics
from ..earth.angle_units import DEGREES, AngleUnit
from ..earth.ellipse import Ellipse, circle
from ..earth.norths import Norths
from ..surveying.traverse import Leg
from ..words import say
from .bands import Band

# of a place, where nothing else is said; common practice, no source
FULL_CREDIT_M, PART_CREDIT_M = 15.0, 30.0
# a class walks; a point this far off is a typing mistake, not a landmark
FAR_FROM_SITE_M = 20_000.0


Lines = tuple[tuple[str, geodesy.SightLine], ...]  # each with the code of its target


class UnknownPoint(ValueError):
    """A code that no point of the site has."""


@dataclass(frozen=True)
class Point:
    """A surveyed position. `accuracy_m` is the standard uncertainty of each horizontal coordinate,
    metres; `ellipse` says more, where directions differ.

    `mark` says where exactly to stand, in words; it is empty for a point that nobody stands on.
    `is_target` says whether it can be sighted.
    """

    code: str
    name: str
    position: geodesy.Position
    accuracy_m: float
    mark: str = ""
    ellipse: Ellipse | None = None
    is_target: bool = True

    @property
    def error(self) -> Ellipse:
        """The standard error ellipse; a circle where nothing better is known."""
        return self.ellipse or circle(self.accuracy_m)

    @property
    def is_station(self) -> bool:
        """Whether somebody can stand here."""
        return bool(self.mark)


@dataclass(frozen=True)
class Site:
    """Points by code, the targets visible from each station (station code to target codes), an EPSG
    code or None for UTM, and the middle, if it is known.

    What is seen from a station is reckoned once: the tasks of a course ask for the same again.
    """

    points: dict[str, Point]
    visible: dict[str, tuple[str, ...]] = field(default_factory=dict)
    grid_epsg: int | None = None
    middle: geodesy.Position | None = None

    def point(self, code: str) -> Point:
        """The point of a code. Raises UnknownPoint."""
        try:
            return self.points[code]
        except KeyError:
            raise UnknownPoint(say("There is no point “{code}” on this site.", code=code)) from None

    def targets_from(self, station: str) -> tuple[str, ...]:
        """Codes of the targets that can be seen from a station; without a note of them, every other
        point.
        """
        return self.visible.get(station) or tuple(code for code in self.points if code != station)

    def choices_from(self, station: str) -> tuple[str, ...]:
        """Codes of the targets worth asking for at a station: those noted as seen; where nothing is
        noted on the whole site, every other one that can be sighted.
        """
        seen = self.visible.get(station, ()) if self.visible else self.targets_from(station)
        return tuple(code for code in seen if self.points[code].is_target)

    def sight_line(self, station: str, target: str) -> geodesy.SightLine:
        """The sight line between two points, by code. Raises UnknownPoint, or SamePoint."""
        return geodesy.sight_line(self.point(station).position, self.point(target).position)

    @functools.cached_property
    def stations(self) -> tuple[str, ...]:
        """Codes of the points on which somebody can stand."""
        return tuple(code for code, point in self.points.items() if point.is_station)

    def lines_from(self, station: str) -> Lines:
        """The sight lines to the targets seen from a station, but for those that lie on it."""
        if station not in self._lines:
            self._lines[station] = tuple(self._apart(station, self.targets_from(station)))
        return self._lines[station]

    def lines_to_stations(self, station: str) -> Lines:
        """The sight lines to the other stations, seen or not, but for those that lie on it."""
        if station not in self._to_stations:
            others = (code for code in self.stations if code != station)
            self._to_stations[station] = tuple(self._apart(station, others))
        return self._to_stations[station]

    def view_from(self, station: str) -> tuple[tuple[str, float], ...]:
        """(code, true bearing in degrees) of the targets seen from a station, sorted."""
        if station not in self._view:
            lines = self.lines_from(station)
            self._view[station] = tuple(sorted((code, line.bearing_deg) for code, line in lines))
        return self._view[station]

    def _apart(
        self, station: str, targets: Iterable[str]
    ) -> Iterator[tuple[str, geodesy.SightLine]]:
        """The sight lines to those targets that lie apart from a station."""
        for code in targets:
            with contextlib.suppress(geodesy.SamePoint):
                yield code, self.sight_line(station, code)

    @functools.cached_property
    def _lines(self) -> dict[str, Lines]:
        return {}

    @functools.cached_property
    def _to_stations(self) -> dict[str, Lines]:
        return {}

    @functools.cached_property
    def _view(self) -> dict[str, tuple[tuple[str, float], ...]]:
        return {}

    def epsg(self, position: geodesy.Position) -> int:
        """The grid in use: the site's own, else the UTM zone of the position."""
        return self.grid_epsg or geodesy.utm_epsg(position)

    def sheet_epsg(self, position: geodesy.Position) -> int:
        """The grid of the site's map, on which grid references are read: that of its middle, or of
        a position where no middle is known.
        """
        return self.epsg(self.middle or position)

    def north_of(
        self, position: geodesy.Position, on: datetime.date
    ) -> tuple[Norths, magnetics.Declination]:
        """The norths at a position on a date, and the declination with its model: `(Norths,
        Declination)`.
        """
        declination = magnetics.declination(position, on)
        convergence_deg = geodesy.convergence(position, self.sheet_epsg(position))
        return Norths(declination.degrees, convergence_deg), declination


@dataclass(frozen=True)
class Task:
    """One thing asked at a station. `north` is the asked one; `given_deg` and `given_north` are set
    where a bearing is given.

    `feedback` says when a participant learns the answer (`tasks.telling`); empty: as the class
    has it. `angle_way` is how they come by the angle between two norths (`tasks.north_angle`);
    empty: as its kind has it. `more` are further points of a position from bearings; `legs` those
    of a walk before its last one, in the asked north; `full_credit_m` and `part_credit_m` the band
    of an answer that is a place.
    """

    label: str
    kind: str
    station: str
    target: str
    north: str
    band: Band
    given_deg: float | None = None
    given_north: str = ""
    feedback: str = ""
    more: tuple[str, ...] = ()
    legs: tuple[Leg, ...] = ()
    full_credit_m: float = FULL_CREDIT_M
    part_credit_m: float = PART_CREDIT_M
    angle_way: str = ""


@dataclass(frozen=True)
class Compass:
    """What is known of the instrument of a reading: its step in degrees, whether the site's
    declination is set on it, and what its dial is marked in.
    """

    graduation_deg: float = 2.0
    declination_is_set: bool = False
    unit: AngleUnit = DEGREES

    @property
    def dial_north(self) -> str:
        """The north that its dial shows."""
        return "true" if self.declination_is_set else "magnetic"

    @property
    def dial(self) -> Compass:
        """The same whatever its step: all that mistakes follow from."""
        return Compass(declination_is_set=self.declination_is_set, unit=self.unit)


UNSET = Compass()
