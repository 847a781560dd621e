"""Where a point is, from what was surveyed: fixes of one visit averaged, surveys of several days
combined, a point measured from another.

A receiver's error hardly changes while one stands there (clocks, atmosphere, reflections), so that
many fixes of one visit are little better than one: fifty fixes gave little over one (Bettinger and
Merry, S136 in the trade notes). What comes nearer the truth is another day.
"""

import datetime
import itertools
import math
from dataclasses import dataclass

from ..earth import geodesy, uncertainty
from ..earth.ellipse import Ellipse, added, from_covariance
from ..earth.geodesy import Position
from ..earth.magnetics import LOCAL_FIELD_DEG
from ..words import say

# Phones state the radius that holds 68 % of fixes (Android, Location.getAccuracy); the W3C's
# Geolocation recommendation says 95 %.
# The first is believed, because it gives the larger uncertainty: 68 % of a circular normal lie
# within 1.51 sigma.
SIGMAS_IN_RADIUS = math.sqrt(-2.0 * math.log(0.32))
# of a fix's variance, what stays the same through a visit; common practice, no source, after S136
LASTING_SHARE = 0.9
# per coordinate: a good handheld in the open is 2.2 m off on average (S132, S133), and 2.2 / 1.2533
# = 1.75; a phone is not better
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


def average(fixes):
    """The weighted mean of a visit's fixes, as `Visit`. Raises NoFixes below two.

    Weights are 1 / radius squared. A fix's sigma is the larger of what the phones stated and what
    the fixes scatter; nine tenths of its variance stay however long one stands (LASTING_SHARE), and
    the result is never better than VISIT_FLOOR_M.
    """
    fixes = sorted(fixes, key=lambda fix: fix.at)
    if len(fixes) < LEAST_FIXES:
        raise NoFixes(
            say("The phone gave no two positions yet. Stand still on the mark for a minute.")
        )
    origin, weights = fixes[0].position, [1.0 / max(fix.radius_m, 0.5) ** 2 for fix in fixes]
    total = math.fsum(weights)
    places = [geodesy.east_north_m(origin, fix.position) for fix in fixes]
    east, north = (
        math.fsum(w * place[axis] for w, place in zip(weights, places, strict=True)) / total
        for axis in (0, 1)
    )
    spread = (
        math.fsum(
            w * ((e - east) ** 2 + (n - north) ** 2)
            for w, (e, n) in zip(weights, places, strict=True)
        )
        / total
    )
    scatter_m = math.sqrt(spread / 2.0 * len(fixes) / (len(fixes) - 1))
    stated_m = math.sqrt(len(fixes) / total) / SIGMAS_IN_RADIUS
    one_m = max(scatter_m, stated_m)
    accuracy_m = max(
        VISIT_FLOOR_M, one_m * math.sqrt(LASTING_SHARE + (1.0 - LASTING_SHARE) / len(fixes))
    )
    heights = [fix.height_m for fix in fixes if fix.height_m is not None]
    return Visit(
        geodesy.moved(origin, east, north),
        accuracy_m,
        scatter_m,
        len(fixes),
        (fixes[-1].at - fixes[0].at).total_seconds(),
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
    def shares_error_with(self):
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


def combine(surveys):
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
    position, ellipse, chi2, groups = _mean(origin, surveys)
    birge = math.sqrt(max(1.0, chi2 / (2.0 * (groups - 1)))) if groups > 1 else 1.0
    ellipse = Ellipse(ellipse.major_m * birge, ellipse.minor_m * birge, ellipse.azimuth_deg)
    off_m = tuple(geodesy.apart_m(position, survey.position) for survey in surveys)
    return Combined(position, ellipse, off_m, _outliers(origin, surveys))


def _mean(origin, surveys):
    """Position and ellipse of the weighted mean, chi-squared of the independent groups about it,
    and how many there are; heights are averaged with the same trust.
    """
    groups = [
        list(group)
        for _, group in itertools.groupby(
            sorted(enumerate(surveys), key=_group_key), key=_group_key
        )
    ]
    sums, heights, means = [0.0] * 5, [], []
    for group in groups:
        members = [survey for _, survey in group]
        (east, north), own = _as_one(origin, members)
        ee, nn, en = own.covariance()
        determinant = ee * nn - en * en
        if determinant < 1e-12 * ee * nn:
            ee, nn, en = (
                ee + 1e-6,
                nn + 1e-6,
                en,
            )  # a line instead of an ellipse: give it a millimetre of width
            determinant = ee * nn - en * en
        p, q, r = nn / determinant, ee / determinant, -en / determinant
        for place, value in enumerate((p, q, r, p * east + r * north, r * east + q * north)):
            sums[place] += value
        means.append((east, north, p, q, r))
        heights.append(
            (
                1.0 / own.accuracy_m**2,
                math.fsum(survey.position.elevation_m for survey in members) / len(members),
            )
        )
    p, q, r, along_east, along_north = sums
    determinant = p * q - r * r
    east, north = (
        (q * along_east - r * along_north) / determinant,
        (p * along_north - r * along_east) / determinant,
    )
    place = geodesy.moved(origin, east, north)
    height_m = math.fsum(w * h for w, h in heights) / math.fsum(w for w, _ in heights)
    chi2 = math.fsum(
        pp * (e - east) ** 2 + qq * (n - north) ** 2 + 2.0 * rr * (e - east) * (n - north)
        for e, n, pp, qq, rr in means
    )
    return (
        Position(place.latitude_deg, place.longitude_deg, height_m),
        from_covariance(q / determinant, p / determinant, -r / determinant),
        chi2,
        len(groups),
    )


def _as_one(origin, members):
    """East and north of surveys that share their error, and their ellipse together.

    Weights are 1 / accuracy squared. Errors that move as one add with their weights (the best
    member's ellipse, scaled), and where the members lie farther apart than that, the ellipse grows
    by Birge's ratio within the group.
    """
    places = [geodesy.east_north_m(origin, survey.position) for survey in members]
    weights = [1.0 / survey.ellipse.accuracy_m**2 for survey in members]
    total = math.fsum(weights)
    east, north = (
        math.fsum(weight * place[axis] for weight, place in zip(weights, places, strict=True))
        / total
        for axis in (0, 1)
    )
    best = min((survey.ellipse for survey in members), key=lambda ellipse: ellipse.accuracy_m)
    moving = (
        math.fsum(
            weight * survey.ellipse.accuracy_m
            for weight, survey in zip(weights, members, strict=True)
        )
        / total
        / best.accuracy_m
    )
    chi2 = math.fsum(
        weight * ((place[0] - east) ** 2 + (place[1] - north) ** 2)
        for weight, place in zip(weights, places, strict=True)
    )
    grown = (
        moving * math.sqrt(max(1.0, chi2 / (2.0 * (len(members) - 1)))) if len(members) > 1 else 1.0
    )
    return (east, north), Ellipse(best.major_m * grown, best.minor_m * grown, best.azimuth_deg)


def day_at(moment, longitude_deg):
    """The date at a moment (aware) by the sun at a longitude: a visit at nine and one at two are of
    one day everywhere on Earth.
    """
    return (moment.astimezone(datetime.UTC) + datetime.timedelta(hours=longitude_deg / 15.0)).date()


def _group_key(numbered):
    number, survey = numbered
    return survey.shares_error_with or ("alone", f"{number:06d}")


def _outliers(origin, surveys):
    """Which surveys are too far from the others to be chance."""
    left, flagged = list(range(len(surveys))), set()
    while len(left) > 1:
        worst, sigmas = max(
            (
                (
                    place,
                    _sigmas_off(
                        origin, surveys[place], [surveys[other] for other in left if other != place]
                    ),
                )
                for place in left
            ),
            key=lambda pair: pair[1],
        )
        if sigmas <= OUTLIER_SIGMAS:
            break
        flagged |= set(left) if len(left) == 2 else {worst}
        left.remove(worst)
    return tuple(place in flagged for place in range(len(surveys)))


def _sigmas_off(origin, survey, others):
    """How far a survey lies from the mean of others, in sigmas of both along that direction."""
    mean, ellipse, _, _ = _mean(origin, others)
    if geodesy.apart_m(mean, survey.position) < geodesy.MILLIMETRE:
        return 0.0
    line = geodesy.sight_line(mean, survey.position)
    return line.distance_m / added(ellipse, survey.ellipse).along(line.bearing_deg)


@dataclass(frozen=True)
class Radiation:
    """A point measured from another: its true bearing there, position, standard error ellipse, and
    the declination that was used, east positive, or None.
    """

    position: Position
    ellipse: Ellipse
    true_bearing_deg: float
    declination_deg: float | None


def radiate(
    site,
    station,
    bearing_deg,
    north,
    distance_m,
    *,
    bearing_uncertainty_deg,
    distance_uncertainty_m,
    on,
):
    """A point from a bearing in a named north and a horizontal distance, measured at a station of a
    site on a date, as `Radiation`.

    Uncertainties are standard ones. Across the line the bearing's (with the declination's where it
    was magnetic) acts over the distance, along it the distance's; the station's own ellipse is
    added. Local attraction at the station is not in it: check it (`attraction`). Raises what
    `site.north_of` raises. Source: polar plot, FM 3-25.26 ch. 6; propagation, JCGM 100:2008, 5.1.2.
    """
    start = site.point(station)
    norths, declination = site.north_of(start.position, on)
    true_deg = norths.turn(bearing_deg, north, "true")
    turned_deg = uncertainty.combine(
        (bearing_uncertainty_deg, declination.uncertainty_deg, LOCAL_FIELD_DEG)
        if north == "magnetic"
        else (bearing_uncertainty_deg,)
    )
    across_m = distance_m * math.tan(math.radians(min(turned_deg, 60.0)))
    own = (
        Ellipse(distance_uncertainty_m, across_m, true_deg % 180.0)
        if distance_uncertainty_m >= across_m
        else Ellipse(across_m, distance_uncertainty_m, (true_deg + 90.0) % 180.0)
    )
    return Radiation(
        geodesy.destination(start.position, true_deg, distance_m),
        added(start.error, own),
        true_deg,
        declination.degrees if north == "magnetic" else None,
    )
