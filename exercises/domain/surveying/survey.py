"""Where a point is, from what was surveyed: fixes of one visit averaged, surveys of several days
combined, a point measured from another.

A receiver's error hardly changes while one stands there (clocks, atmosphere, reflections), so that
many fixes of one visit are little better than one: fifty fixes gave little over one (P. Bettinger
and K. Merry, on the number of position fixes). What comes nearer the truth is another day.
"""

from __future__ import annotations

import datetime
import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from ..earth import geodesy, uncertainty
from ..earth.ellipse import Ellipse, added, crosswise, from_covariance
from ..earth.geodesy import EastNorth, Position
from ..earth.magnetics import LOCAL_FIELD_DEG, Declination
from ..earth.norths import Norths
from ..words import say
from . import weighted_mean

# Phones state the radius that holds 68 % of fixes (Android, Location.getAccuracy); the W3C's
# Geolocation recommendation says 95 %. The first is believed, because it gives the larger
# uncertainty: 68 % of a circular normal lie within 1.51 sigma.
SIGMAS_IN_RADIUS = math.sqrt(-2.0 * math.log(0.32))
# of a fix's variance, what stays the same through a visit; common practice, no source, after
# Bettinger and Merry
LASTING_SHARE = 0.9
# per coordinate: a good handheld in the open is 2.2 m off on average (P. Bolstad et al., GPS test
# in Minnesota; "Handheld GPS comparison", Northern Journal of Applied Forestry 22(1), 2005), and
# 2.2 / 1.2533 = 1.75; a phone is not better
VISIT_FLOOR_M = 1.75
LEAST_FIXES = 2
OUTLIER_SIGMAS = 3.0  # of a survey against the mean of the others; common practice, no source
METHODS_OF_RECEIVERS = ("receiver", "averaged")


class NoFixes(ValueError):
    """No position that could be averaged. The message says what to do."""


@dataclass(frozen=True)
class Fix:
    """One position of a phone: where, the radius in metres that it states, when, and the height in
    metres if it told one.
    """

    position: Position
    radius_m: float
    at: datetime.datetime
    height_m: float | None = None


@dataclass(frozen=True)
class Visit:
    """What one visit with a phone gives: the mean position, its standard uncertainty per
    coordinate, how the fixes scatter, how long it took, and the mean height or None.
    """

    position: Position
    accuracy_m: float
    scatter_m: float
    fixes: int
    seconds: float
    height_m: float | None


def average(fixes: Iterable[Fix]) -> Visit:
    """The weighted mean of a visit's fixes, as `Visit`. Raises NoFixes below two.

    Weights are 1 / radius squared. A fix's sigma is the larger of what the phones stated and what
    the fixes scatter; nine tenths of its variance stay however long one stands (LASTING_SHARE), and
    the result is never better than VISIT_FLOOR_M.
    """
    ordered = sorted(fixes, key=lambda fix: fix.at)
    number = len(ordered)
    if number < LEAST_FIXES:
        raise NoFixes(
            say("The phone gave no two positions yet. Stand still on the mark for a minute.")
        )
    origin = ordered[0].position
    weights = [1.0 / max(fix.radius_m, 0.5) ** 2 for fix in ordered]
    places = [geodesy.east_north_m(origin, fix.position) for fix in ordered]
    (east_m, north_m), squares = weighted_mean.of_places(places, weights)
    total = math.fsum(weights)
    scatter_m = math.sqrt(squares / total / 2.0 * number / (number - 1))
    stated_m = math.sqrt(number / total) / SIGMAS_IN_RADIUS
    lasting = math.sqrt(LASTING_SHARE + (1.0 - LASTING_SHARE) / number)
    heights = [fix.height_m for fix in ordered if fix.height_m is not None]
    return Visit(
        geodesy.moved(origin, east_m, north_m),
        max(VISIT_FLOOR_M, max(scatter_m, stated_m) * lasting),
        scatter_m,
        number,
        (ordered[-1].at - ordered[0].at).total_seconds(),
        math.fsum(heights) / len(heights) if heights else None,
    )


@dataclass(frozen=True)
class Survey:
    """One determination of a point: position, standard error ellipse, method, the day it was made
    on (None: not noted), and from where it was measured, if from a point.
    """

    position: Position
    ellipse: Ellipse
    method: str
    on: datetime.date | None
    start: str = ""

    @property
    def shares_error_with(self) -> tuple[str, ...] | None:
        """What two surveys with the same answer share their error by: the day of a receiver, the
        picture of a map, the point it was measured from.
        """
        if self.method in METHODS_OF_RECEIVERS:
            return "receiver", str(self.on)
        if self.method == "map":
            return ("map",)
        return (self.method, self.start) if self.start else None


@dataclass(frozen=True)
class Combined:
    """A point from all of its surveys: position, ellipse, and for each survey how far it lies off
    and whether that is too much to be chance.
    """

    position: Position
    ellipse: Ellipse
    off_m: tuple[float, ...]
    outliers: tuple[bool, ...]


def combine(surveys: Iterable[Survey]) -> Combined:
    """The weighted mean of one or more surveys of a point, as `Combined`. Raises ValueError for
    none.

    Surveys that share their error (`Survey.shares_error_with`) are averaged first, by their
    weights, and are no better together than their errors moving as one; the rest are independent
    and weighted by their inverse covariance. Where they disagree more than their uncertainties
    allow, the ellipse grows by the root of chi-squared over its degrees of freedom (Birge 1932,
    Phys. Rev. 40, 207), so that a contradiction is never called precise. A survey is an outlier
    when it lies more than OUTLIER_SIGMAS from the mean of the others, by both uncertainties: the
    worst first, then the next without it; of the last two both are flagged, since nothing says
    which is wrong. Outliers are flagged, not left out: that is for a person to decide.
    """
    surveys = list(surveys)
    if not surveys:
        raise ValueError("no surveys to combine")
    origin = surveys[0].position
    mean = _mean(origin, surveys)
    freedom = 2.0 * (mean.groups - 1)
    birge = math.sqrt(max(1.0, mean.chi2 / freedom)) if freedom else 1.0
    ellipse = replace(
        mean.ellipse, major_m=mean.ellipse.major_m * birge, minor_m=mean.ellipse.minor_m * birge
    )
    off_m = tuple(geodesy.apart_m(mean.position, survey.position) for survey in surveys)
    return Combined(mean.position, ellipse, off_m, _outliers(origin, surveys))


@dataclass(frozen=True)
class _Mean:
    """The weighted mean of surveys, its ellipse, chi-squared of the independent groups about it,
    and how many groups there are.
    """

    position: Position
    ellipse: Ellipse
    chi2: float
    groups: int


def _mean(origin: Position, surveys: Sequence[Survey]) -> _Mean:
    """The weighted mean, by the normal equations of the independent groups; the heights that
    are known are averaged with the same trust.
    """
    shared = [
        [survey for _, survey in numbered]
        for _, numbered in itertools.groupby(
            sorted(enumerate(surveys), key=_group_key), key=_group_key
        )
    ]
    as_one = [_as_one(origin, members) for members in shared]
    ellipses = [ellipse for _, ellipse in as_one]
    groups = [weighted_mean.group(place, ellipse.covariance()) for place, ellipse in as_one]
    meeting = weighted_mean.meeting(groups)
    trust = [1.0 / ellipse.accuracy_m**2 for ellipse in ellipses]
    heights = [_height_m(members) for members in shared]
    return _Mean(
        replace(geodesy.moved(origin, *meeting.place), elevation_m=_trusted_m(heights, trust)),
        from_covariance(*meeting.covariance),
        meeting.chi2,
        len(groups),
    )


def _height_m(members: Sequence[Survey]) -> float | None:
    """The mean height of surveys that share their error, metres, of those that know one; None where
    none does.
    """
    heights = [survey.position.elevation_m for survey in members]
    return _trusted_m(heights, [1.0] * len(heights))


def _trusted_m(heights: Sequence[float | None], trust: Sequence[float]) -> float | None:
    """The weighted mean of the heights that are known, metres; None where none is."""
    known = [
        (weight, height)
        for weight, height in zip(trust, heights, strict=True)
        if height is not None
    ]
    if not known:
        return None
    total = math.fsum(weight for weight, _ in known)
    return math.fsum(weight * height for weight, height in known) / total


def _as_one(origin: Position, members: Sequence[Survey]) -> tuple[EastNorth, Ellipse]:
    """East and north of surveys that share their error, and their ellipse together.

    Weights are 1 / accuracy squared. Errors that move as one add with their weights (the best
    member's ellipse, scaled), and where the members lie farther apart than that, the ellipse grows
    by Birge's ratio within the group.
    """
    places = [geodesy.east_north_m(origin, survey.position) for survey in members]
    weights = [1.0 / survey.ellipse.accuracy_m**2 for survey in members]
    middle, chi2 = weighted_mean.of_places(places, weights)
    best = min((survey.ellipse for survey in members), key=lambda ellipse: ellipse.accuracy_m)
    if len(members) == 1:
        return middle, best
    together_m = math.fsum(
        weight * survey.ellipse.accuracy_m for weight, survey in zip(weights, members, strict=True)
    ) / math.fsum(weights)
    freedom = 2.0 * (len(members) - 1)
    grown = together_m / best.accuracy_m * math.sqrt(max(1.0, chi2 / freedom))
    return middle, replace(best, major_m=best.major_m * grown, minor_m=best.minor_m * grown)


def day_at(moment: datetime.datetime, longitude_deg: float) -> datetime.date:
    """The date at a moment (aware) by the sun at a longitude: a visit at nine and one at two are of
    one day everywhere on Earth.
    """
    return (moment.astimezone(datetime.UTC) + datetime.timedelta(hours=longitude_deg / 15.0)).date()


def _group_key(numbered: tuple[int, Survey]) -> tuple[str, ...]:
    """What a survey, with its number, is grouped by."""
    number, survey = numbered
    return survey.shares_error_with or ("alone", f"{number:06d}")


def _outliers(origin: Position, surveys: Sequence[Survey]) -> tuple[bool, ...]:
    """Which surveys are too far from the others to be chance."""
    left = list(range(len(surveys)))
    flagged: set[int] = set()
    while len(left) > 1:
        off = {
            place: _sigmas_off(
                origin, surveys[place], [surveys[other] for other in left if other != place]
            )
            for place in left
        }
        worst = max(off, key=off.__getitem__)
        if off[worst] <= OUTLIER_SIGMAS:
            break
        flagged |= set(left) if len(left) == 2 else {worst}
        left.remove(worst)
    return tuple(place in flagged for place in range(len(surveys)))


def _sigmas_off(origin: Position, survey: Survey, others: Sequence[Survey]) -> float:
    """How far a survey lies from the mean of others, in sigmas of both along that direction."""
    mean = _mean(origin, others)
    if geodesy.apart_m(mean.position, survey.position) < geodesy.MILLIMETRE:
        return 0.0
    line = geodesy.sight_line(mean.position, survey.position)
    return line.distance_m / added(mean.ellipse, survey.ellipse).along(line.bearing_deg)


class SurveyedPoint(Protocol):
    """A point of the ground, as far as measuring from it needs to know."""

    @property
    def position(self) -> Position:
        """Where it is."""

    @property
    def error(self) -> Ellipse:
        """Its standard error ellipse."""


class SurveyedGround(Protocol):
    """Ground with surveyed points: `tasks.site.Site`, which lies above this room."""

    def point(self, code: str) -> SurveyedPoint:
        """The point of a code."""

    def north_of(self, position: Position, on: datetime.date) -> tuple[Norths, Declination]:
        """The norths at a position on a date, and the declination."""


@dataclass(frozen=True)
class Radiation:
    """A point measured from another: its true bearing there, position, standard error ellipse, the
    declination that was used, east positive, or None, and by how many metres the position lies
    nearer than the distance measured, because the line may be turned.
    """

    position: Position
    ellipse: Ellipse
    true_bearing_deg: float
    declination_deg: float | None
    nearer_m: float


def radiate(
    site: SurveyedGround,
    station: str,
    bearing_deg: float,
    north: str,
    distance_m: float,
    *,
    bearing_uncertainty_deg: float,
    distance_uncertainty_m: float,
    on: datetime.date,
) -> Radiation:
    """A point from a bearing in a named north and a horizontal distance, measured at a station of a
    site on a date, as `Radiation`.

    Uncertainties are standard ones: the bearing's (with the declination's where it was magnetic)
    and the distance's; the station's own ellipse is added. A bearing that is off carries the point
    round on an arc, so that the mean of where it may lie is nearer than the distance, which is the
    position given, and along the line it is less certain than the tape (`_on_an_arc`). Local
    attraction at the station is not in it: check it (`attraction`). Raises what `site.north_of`
    raises. Source: polar plot, FM 3-25.26 ch. 6; propagation, JCGM 100:2008, 5.1.2.
    """
    start = site.point(station)
    norths, declination = site.north_of(start.position, on)
    true_deg = norths.turn(bearing_deg, north, "true")
    turning_deg = [bearing_uncertainty_deg]
    if north == "magnetic":
        turning_deg += [declination.uncertainty_deg, LOCAL_FIELD_DEG]
    arc = _on_an_arc(distance_m, distance_uncertainty_m, uncertainty.combine(turning_deg))
    return Radiation(
        geodesy.destination(start.position, true_deg, arc.mean_m),
        added(start.error, crosswise(true_deg, arc.along_m, arc.across_m)),
        true_deg,
        declination.degrees if north == "magnetic" else None,
        distance_m - arc.mean_m,
    )


@dataclass(frozen=True)
class _Arc:
    """Where the end of a line lies that may be turned: the mean along the line, and the standard
    uncertainties along and across it, metres.
    """

    mean_m: float
    along_m: float
    across_m: float


def _on_an_arc(distance_m: float, distance_sigma_m: float, turned_deg: float) -> _Arc:
    """The moments of `distance * (cos t, sin t)` for a normal turn t and a distance independent of
    it. To second order the mean is short by d t^2 / 2 and the variance along grows by d^2 t^4 / 2;
    these are exact, from the mean of cos t, exp(-t^2 / 2): Mardia & Jupp (2000), Directional
    Statistics, 3.4.8. Checked by simulation in tests/domain/test_radiated_arc.py.

    >>> arc = _on_an_arc(1500.0, 1.0, 5.0)
    >>> round(1500.0 - arc.mean_m, 1), round(arc.along_m, 1), round(arc.across_m)
    (5.7, 8.1, 130)
    """
    shrunk = math.exp(-(math.radians(turned_deg) ** 2))  # the square of the mean of cos t
    square = distance_m**2 + distance_sigma_m**2
    along = square * (1.0 + shrunk**2) / 2.0 - distance_m**2 * shrunk
    return _Arc(
        distance_m * math.sqrt(shrunk),
        math.sqrt(max(0.0, along)),
        math.sqrt(square * (1.0 - shrunk**2) / 2.0),
    )
