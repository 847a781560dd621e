"""Where the points of a site are: surveys added, set aside and combined; hazards drawn; bearings
observed on the ground.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.contrib.auth.models import AbstractUser
from django.db import IntegrityError, transaction

from ..domain.earth import geodesy
from ..domain.earth.ellipse import Ellipse, circle
from ..domain.earth.geodesy import Position
from ..domain.surveying.survey import combine
from ..domain.words import say
from ..exchange.rows import WORST_M
from ..models import Hazard, ObservedBearing, Point, Site, Survey

MOST_POINTS = 500
MOST_SURVEYS, MOST_KEPT = 60, 200  # in use; with those set aside, of which the oldest go
MOST_HAZARDS = 60
MOST_OBSERVED = 500
SAME_PLACE_M = 0.001
PLACE_FIELDS = (
    "latitude",
    "longitude",
    "elevation_m",
    "accuracy_m",
    "method",
    "major_m",
    "minor_m",
    "azimuth_deg",
)


class CannotSurvey(ValueError):
    """A survey that cannot be stored. The message says why and what to do."""


def unsaved(
    position: Position,
    ellipse: Ellipse,
    method: str,
    *,
    measured_on: date | None,
    by: AbstractUser | None,
    now: datetime,
    details: Mapping[str, Any] | None = None,
    client_id: UUID | None = None,
) -> Survey:
    """A survey that is not stored yet. Raises CannotSurvey for one that is too coarse."""
    ellipse = _believed(ellipse)
    more = {"client_id": client_id} if client_id else {}
    return Survey(
        method=method,
        latitude=position.latitude_deg,
        longitude=position.longitude_deg,
        elevation_m=position.elevation_m,
        major_m=ellipse.major_m,
        minor_m=ellipse.minor_m,
        azimuth_deg=ellipse.azimuth_deg,
        measured_on=measured_on,
        by=by,
        received_at=now,
        details=details or {},
        **more,
    )


def _believed(ellipse: Ellipse) -> Ellipse:
    """An ellipse as it is stored: nothing is known better than a millimetre, for a line instead of
    an ellipse would weigh without end. Raises CannotSurvey for one that is too coarse.
    """
    if not ellipse.major_m <= WORST_M:
        raise CannotSurvey(
            say(
                "This is known to {metres:.0f} m only: too coarse for a compass course, where "
                "{most:.0f} m is the limit. Survey it better.",
                metres=min(ellipse.major_m, 1e6),
                most=WORST_M,
            )
        )
    return replace(
        ellipse,
        major_m=max(ellipse.major_m, SAME_PLACE_M),
        minor_m=max(ellipse.minor_m, SAME_PLACE_M),
    )


@transaction.atomic
def new_point(*, point: Point, survey: Survey) -> Point:
    """Store an unsaved point with its first survey, also unsaved. Raises CannotSurvey when the site
    is full.
    """
    Site.objects.select_for_update().get(pk=point.site_id)
    _check_room(Point.objects.filter(site=point.site_id).count())
    _place_at(point, survey)
    if Survey.objects.filter(client_id=survey.client_id).exists():
        raise CannotSurvey(
            say("This form has stored a point already. Load the page again for another one.")
        )
    try:
        with transaction.atomic():
            point.save()
            survey.point = point
            survey.save()
    except IntegrityError as error:
        raise _code_taken() from error
    return point


def check_new(code: str, taken: Collection[str]) -> None:
    """Raise CannotSurvey where a site with points of these codes holds no more, or has the code."""
    _check_room(len(taken))
    if code in taken:
        raise _code_taken()


def _check_room(number: int) -> None:
    if number >= MOST_POINTS:
        raise CannotSurvey(say("A site holds {most} points. Delete some first.", most=MOST_POINTS))


def _code_taken() -> CannotSurvey:
    return CannotSurvey(say("This site has a point of that code already. Give each point its own."))


@transaction.atomic
def new_points(*, surveyed: Sequence[tuple[Point, Survey]]) -> None:
    """Store many unsaved points of a site that is locked, each with its first survey ((point,
    survey) pairs), all of which `check_new` has let pass.
    """
    for point, survey in surveyed:
        _place_at(point, survey)
    Point.objects.bulk_create([point for point, _ in surveyed])
    for point, survey in surveyed:
        survey.point = point
    Survey.objects.bulk_create([survey for _, survey in surveyed])


@transaction.atomic
def add_survey(*, point: Point, survey: Survey, replaces: bool = False) -> Point:
    """Store another survey of a point and combine; with `replaces` the earlier ones are set aside.
    The same `client_id` again changes nothing.

    Raises CannotSurvey for a client id that belongs to another point, and when the point has too
    many.
    """
    point = _locked(point.pk, point.code)
    kept = Survey.objects.filter(client_id=survey.client_id).first()
    if kept:
        if kept.point_id != point.pk:
            raise CannotSurvey(say("This survey was stored for another point already."))
        return point
    check_more(point, replaces=replaces)
    add_surveys(surveyed=[(point, survey)], replaces=replaces)
    return point


def _locked(pk: int, code: str) -> Point:
    """A point as it is now, locked. Raises CannotSurvey where it was removed meanwhile."""
    point = Point.objects.select_for_update().filter(pk=pk).first()
    if point is None:
        raise CannotSurvey(say("Point {code} is not on the site any more.", code=code))
    return point


def check_more(point: Point, *, replaces: bool) -> None:
    """Raise CannotSurvey where a point has too many surveys for another beside them."""
    if not replaces and sum(not kept.is_set_aside for kept in point.surveys.all()) >= MOST_SURVEYS:
        raise CannotSurvey(
            say(
                "Point {code} has {most} surveys, which is enough to tell where it is.",
                code=point.code,
                most=MOST_SURVEYS,
            )
        )


@transaction.atomic
def add_surveys(*, surveyed: Sequence[tuple[Point, Survey]], replaces: bool) -> None:
    """Store another survey each of points that are locked, as (point, unsaved survey) pairs that
    `check_more` has let pass, and combine; with `replaces` the earlier ones are set aside.

    The number of queries does not grow with the points, when their surveys were fetched before.
    """
    stored: list[Survey] = []
    outdated: list[Survey] = []
    for point, survey in surveyed:
        earlier = list(point.surveys.all())
        survey.point = point
        if not earlier:
            earlier = [_first(point, survey)]
            stored += earlier
        stored.append(survey)
        if replaces:
            for kept in earlier:
                kept.is_set_aside = True
            outdated += earlier[:-MOST_KEPT]
        _place_by(point, [kept for kept in [*earlier, survey] if not kept.is_set_aside])
    points = [point for point, _ in surveyed]
    if replaces:
        Survey.objects.filter(point__in=points).update(is_set_aside=True)
        Survey.objects.filter(pk__in=[kept.pk for kept in outdated if kept.pk]).delete()
    Survey.objects.bulk_create(stored)
    rewrite(points, PLACE_FIELDS)


def rewrite(points: Sequence[Point], fields: Sequence[str]) -> None:
    """Write the fields of many stored points. One insertion that gives way to what is there takes a
    fifth of the time of `bulk_update`.
    """
    Point.objects.bulk_create(
        points, update_conflicts=True, unique_fields=["pk"], update_fields=fields
    )


def _first(point: Point, survey: Survey) -> Survey:
    """What a point stands for that was stored without a survey, so that its numbers are not lost:
    unsaved, received with another survey.
    """
    return Survey(
        point=point,
        method=point.method,
        latitude=point.latitude,
        longitude=point.longitude,
        elevation_m=point.elevation_m,
        major_m=point.accuracy_m,
        minor_m=point.accuracy_m,
        received_at=survey.received_at,
    )


@transaction.atomic
def set_aside(*, survey: Survey, is_set_aside: bool) -> Point:
    """Leave a survey out of its point's position, or take it in again. Raises CannotSurvey for the
    last one in use.
    """
    point = _locked(survey.point_id, survey.point.code)
    others = point.surveys.filter(is_set_aside=False).exclude(pk=survey.pk)
    if is_set_aside and not others.exists():
        raise CannotSurvey(
            say(
                "This is the only survey in use: without it point {code} would be nowhere.",
                code=point.code,
            )
        )
    Survey.objects.filter(pk=survey.pk).update(is_set_aside=is_set_aside)
    _place_by(point, list(point.surveys.filter(is_set_aside=False)))
    point.save(update_fields=PLACE_FIELDS)
    return point


def _place_at(point: Point, survey: Survey) -> None:
    """Put a point where its only survey says."""
    row = survey.as_domain()
    _place(point, row.position, row.ellipse, survey.method)


def _place_by(point: Point, surveys: Sequence[Survey]) -> None:
    """Put a point where its surveys in use say together."""
    together = combine([survey.as_domain() for survey in surveys])
    best = min(surveys, key=lambda survey: survey.major_m)
    _place(point, together.position, together.ellipse, best.method)


def _place(point: Point, position: Position, ellipse: Ellipse, method: str) -> None:
    """Write down where a point is, and how well that is known."""
    point.latitude, point.longitude, point.elevation_m = (
        position.latitude_deg,
        position.longitude_deg,
        position.elevation_m,
    )
    point.accuracy_m, point.method = ellipse.accuracy_m, method
    is_round = ellipse.major_m - ellipse.minor_m < 1e-6
    point.major_m, point.minor_m, point.azimuth_deg = (
        (None, None, None) if is_round else (ellipse.major_m, ellipse.minor_m, ellipse.azimuth_deg)
    )


@transaction.atomic
def change_point(
    *, point: Point, is_moved: bool, by: AbstractUser, now: datetime, on: date
) -> Point:
    """Store a point whose form was changed; where its position or its accuracy was typed anew
    (`is_moved`), that is a survey that replaces the earlier ones.
    """
    _locked(point.pk, point.code)
    point.save(update_fields=["code", "name", "mark", "is_target"])
    if not is_moved:
        return point
    survey = unsaved(
        geodesy.Position(point.latitude, point.longitude, point.elevation_m),
        circle(point.accuracy_m),
        point.method,
        measured_on=on,
        by=by,
        now=now,
        details={"how": "typed"},
    )
    return add_survey(point=point, survey=survey, replaces=True)


@transaction.atomic
def move_points(
    *,
    site: Site,
    moves: Iterable[tuple[str, Position]],
    accuracy_m: float,
    by: AbstractUser | None,
    now: datetime,
    on: date,
) -> None:
    """Put points where they were dragged to on the map: (code, Position) pairs. Each is a survey
    off a map that replaces the earlier ones, all or none.
    """
    rows = {point.code: point for point in site.points.select_for_update()}
    for code, position in moves:
        if code not in rows:
            raise CannotSurvey(
                say(
                    "There is no point “{code}” on this site any more. Load the page again.",
                    code=code,
                )
            )
        place = geodesy.Position(
            position.latitude_deg, position.longitude_deg, rows[code].elevation_m
        )
        add_survey(
            point=rows[code],
            replaces=True,
            survey=unsaved(
                place,
                circle(accuracy_m),
                Point.Method.MAP,
                measured_on=on,
                by=by,
                now=now,
                details={"how": "dragged"},
            ),
        )


@transaction.atomic
def add_hazard(*, hazard: Hazard) -> Hazard:
    """Store an unsaved hazard. Raises hazards.BadShape for an outline that makes no sense,
    CannotSurvey when the site has too many.
    """
    hazard.as_domain()
    if hazard.pk is None and Hazard.objects.filter(site=hazard.site_id).count() >= MOST_HAZARDS:
        raise CannotSurvey(
            say("A site holds {most} hazards. Delete some first.", most=MOST_HAZARDS)
        )
    hazard.save()
    return hazard


@transaction.atomic
def observe(*, bearings: Sequence[ObservedBearing]) -> None:
    """Store observed bearings of one form; the same form again changes nothing. Raises CannotSurvey
    when the site has too many.
    """
    if not bearings:
        return
    if ObservedBearing.objects.filter(site=bearings[0].site_id).count() >= MOST_OBSERVED:
        raise CannotSurvey(
            say("A site holds {most} observed bearings. Delete old ones first.", most=MOST_OBSERVED)
        )
    for bearing in bearings:
        try:
            with transaction.atomic():
                bearing.save()
        except IntegrityError as error:
            if not _is_noted(bearing):
                raise CannotSurvey(
                    say(
                        "This form has noted another bearing already. Load the page again and "
                        "type this one."
                    )
                ) from error


def _is_noted(bearing: ObservedBearing) -> bool:
    """Whether the same bearing of the same form is stored."""
    kept = ObservedBearing.objects.filter(
        site=bearing.site_id, client_id=bearing.client_id, station=bearing.station_id
    ).first()
    return kept is not None and (kept.target_id, kept.bearing_deg) == (
        bearing.target_id,
        bearing.bearing_deg,
    )
