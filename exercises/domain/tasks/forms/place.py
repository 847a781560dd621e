"""An answer that is a place: the spots that may be named, and how far off a place is.

Flat ground round the task's station, metres east and north of it.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, fields, replace
from typing import TYPE_CHECKING, Any, ClassVar

from ...earth import geodesy
from ...earth.angle_units import DEGREES, AngleUnit
from ...earth.ellipse import SCALE_95, Ellipse, added
from ...earth.geodesy import EastNorth, Position
from ...surveying.position_lines import PositionLine
from ...surveying.traverse import Leg, Misclosure
from ...words import say
from .. import wants
from ..bands import FULL, NONE, PARTIAL, Band
from .base import PLANE, Form, Grade

if TYPE_CHECKING:
    from ..answer import Answer

HAIR_M = 1e-9  # of rounding, forgiven at the limits of a band
LEAST_AXIS_M = 1e-6  # an ellipse's axis of nothing still divides


class NotASpot(ValueError):
    """What names neither a spot nor a place near the task. The message says what can be written."""


@dataclass(frozen=True)
class Spot:
    """A place with a code: a lettered spot of the practice map, or a marker on the ground. `survey`
    is the standard error ellipse of a marker; None of a spot that is where it is drawn.
    """

    code: str
    east_m: float
    north_m: float
    survey: Ellipse | None = None


@dataclass(frozen=True)
class Placed:
    """A place that was given: the spot's code, empty for coordinates; metres east and north of the
    answer's origin; half of what it was rounded to, metres.
    """

    spot: str
    east_m: float
    north_m: float
    half_m: float = 0.0


@dataclass(frozen=True)
class Miss:
    """How far a place is from the right one: metres; the same in units of the standard error
    ellipse; along and across the way that led there, metres; and its direction.
    """

    error_m: float
    units: float
    along_m: float
    across_m: float
    east_m: float
    north_m: float


@dataclass(frozen=True)
class PlaceGrade(Grade):
    """The grade of a place: by how much it misses the right one."""

    miss: Miss


@dataclass(frozen=True)
class Place(Form):
    """The right place of an answer.

    `latitude_deg`, `longitude_deg` and `epsg` say where the origin lies and in which grid figures
    are read. `ellipse` is the standard error ellipse that sound technique and the surveys leave;
    `full_m` and `part_m` are the bands. `spots` may be named; one of them, `right`, is right.
    `survey` is the part of the ellipse that moves every answer alike, the survey of the mark that
    one stands on or seeks; None in keys that were frozen without it.
    """

    code = "place"
    space = PLANE
    band = wants.METRES
    fewest_spots: ClassVar[int] = 0  # with fewer, who guesses is often right

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
    survey: Ellipse | None = None

    @property
    def origin(self) -> Position:
        """The origin as a position."""
        return Position(self.latitude_deg, self.longitude_deg)

    @property
    def position(self) -> Position:
        """The right place as a position."""
        return geodesy.moved(self.origin, self.east_m, self.north_m)

    @property
    def length_m(self) -> float:
        """The length of the way that leads there, metres; 0 where none is walked."""
        return 0.0

    @property
    def along_deg(self) -> float:
        """The direction that counts as along: the longer axis of the ellipse."""
        return self.ellipse.azimuth_deg

    @property
    def reach_m(self) -> float:
        """How far out the known points lie, metres."""
        return 0.0

    @property
    def best_cut_deg(self) -> float | None:
        """The best angle between two of the lines that lead there, (0, 90]; None without lines."""
        return None

    def position_lines(self) -> tuple[PositionLine, ...]:
        """The lines that meet in it."""
        return ()

    def known_points(self) -> dict[str, EastNorth]:
        """The known points that it is found from, by code."""
        return {}

    def segments(self) -> list[tuple[EastNorth, EastNorth]]:
        """The straight pieces that lead there, each from and to."""
        return []

    def with_survey(self, ellipse: Ellipse) -> Ellipse:
        """The ellipse of some technique, with the survey of the mark added."""
        return added(ellipse, self.survey) if self.survey else ellipse

    @property
    def surveys_m(self) -> float:
        """What the surveys leave along the longer axis of the ellipse, metres."""
        right = self.spot(self.right)
        surveys = (self.survey, right.survey if right else None)
        azimuth_deg = self.ellipse.azimuth_deg
        return math.hypot(*(survey.along(azimuth_deg) for survey in surveys if survey))

    def spot(self, code: str) -> Spot | None:
        """The spot of a code, in capitals or not, or None."""
        return next((spot for spot in self.spots if spot.code.upper() == code.upper()), None)

    def named(self, code: str) -> Placed:
        """A spot that was named. Raises NotASpot."""
        spot = self.spot(code)
        if spot is None:
            raise NotASpot(
                say(
                    "“{text}” is not a spot here. Use one of: {codes}.",
                    text=code[:40],
                    codes=", ".join(spot.code for spot in self.spots),
                )
            )
        return Placed(spot.code, spot.east_m, spot.north_m)

    def choices(self, answer: Answer) -> list[str]:
        """The codes of the spots."""
        return sorted((spot.code for spot in self.spots), key=lambda code: (len(code), code))

    def parse(
        self, answer: Answer, text: str, *, is_mils: bool = False, unit: AngleUnit = DEGREES
    ) -> Placed:
        """The spot that was named. Raises NotASpot."""
        return self.named(text.strip())

    def columns(self, seen: Placed) -> dict[str, Any]:
        """A spot is kept by its code, so that it means the same however the key moves."""
        if seen.spot:
            return {"target": seen.spot}
        return {"east_m": seen.east_m, "north_m": seen.north_m, "half_m": seen.half_m}

    def restore(self, kept: Any) -> Placed:
        """What was given, from its columns. Raises NotASpot where the spot is gone."""
        if kept.target:
            return self.named(kept.target)
        return Placed("", kept.east_m, kept.north_m, kept.half_m)

    def heard_elsewhere(self, answer: Answer) -> tuple[str, str]:
        """The kind and the right spot."""
        return answer.kind, self.right

    def is_right(self, answer: Answer, seen: Placed) -> bool:
        """Whether the spot named is the one asked for."""
        return bool(seen.spot) and seen.spot == self.right

    def grade(self, answer: Answer, seen: Placed) -> PlaceGrade:
        """By the band in metres, or within the 95 % ellipse of sound technique where that reaches
        further: nobody pays for lines that cut badly. A wrong spot earns nothing where the right
        one could have been named, but for one within the bands.
        """
        miss = self.miss(seen)
        is_full = (
            self.is_right(answer, seen)
            or miss.error_m <= self.full_m + HAIR_M
            or (not seen.spot and miss.units <= SCALE_95)
        )
        is_partial = miss.error_m <= self.part_m + HAIR_M
        return PlaceGrade(FULL if is_full else PARTIAL if is_partial else NONE, miss)

    def miss(self, placed: Placed) -> Miss:
        """By how much a place misses the right one.

        The distance in units of the ellipse is sqrt(d' S^-1 d), 2.448 at the 95 % ellipse
        (ellipse.py). A place that was rounded is as far as its middle.
        """
        off = Misclosure(placed.east_m - self.east_m, placed.north_m - self.north_m, self.length_m)
        major, minor = off.split(self.ellipse.azimuth_deg)
        units = math.hypot(
            major / max(self.ellipse.major_m, LEAST_AXIS_M),
            minor / max(self.ellipse.minor_m, LEAST_AXIS_M),
        )
        along_m, across_m = off.split(self.along_deg)
        return Miss(off.linear_m, units, along_m, across_m, off.east_m, off.north_m)

    def figures(self, answer: Answer, grade: PlaceGrade) -> dict[str, Any]:
        """The right spot, and metres: off, in units of the ellipse, along and across."""
        miss = grade.miss
        return {
            "expected_place": self.right,
            "error_m": miss.error_m,
            "error_ellipses": miss.units,
            "along_m": miss.along_m,
            "across_m": miss.across_m,
        }

    def widened(self, times: float) -> Place:
        """The same with wider bands."""
        return replace(self, full_m=self.full_m * times, part_m=self.part_m * times)

    def limits(self, band: Band) -> tuple[float, float, str]:
        """Full and part credit in metres."""
        return self.full_m, self.part_m, "m"

    def to_plain(self) -> dict[str, Any]:
        """What JSON holds of it. Every place has lines and legs there, if empty."""
        return {"lines": (), "legs": (), **asdict(self)}

    @classmethod
    def from_plain(cls, row: dict[str, Any]) -> Place:
        """The place that `to_plain` was given; an older key lacks what was not known yet."""
        made = {field.name: row[field.name] for field in fields(cls) if field.name in row}
        parts = {
            "spots": _spot,
            "lines": lambda item: PositionLine(**item),
            "legs": lambda item: Leg(**item),
        }
        made |= {
            name: tuple(part(item) for item in made[name])
            for name, part in parts.items()
            if name in made
        }
        ellipses = {"ellipse": _ellipse(made["ellipse"]), "survey": _ellipse(made.get("survey"))}
        return cls(**{**made, **ellipses})


def _spot(row: dict[str, Any]) -> Spot:
    """A spot, as JSON holds it."""
    return Spot(**{**row, "survey": _ellipse(row.get("survey"))})


def _ellipse(row: dict[str, Any] | None) -> Ellipse | None:
    """An ellipse, as JSON holds it, or None."""
    return Ellipse(**row) if row else None
