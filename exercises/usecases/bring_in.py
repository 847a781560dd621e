"""Take the points of a file into a site: all rows that were chosen, or none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from django.contrib.auth.models import AbstractUser
from django.db import transaction

from ..domain.earth import geodesy
from ..domain.words import say
from ..exchange.rows import SAME_M, Row
from ..models import Point, Site, Survey
from . import plan_course, survey_site
from .survey_site import CannotSurvey

REPLACE, LEAVE = "replace", "leave"


@transaction.atomic
def bring_in(
    *,
    site: Site,
    rows: Sequence[Row],
    again: str,
    by: AbstractUser | None,
    now: datetime,
    on: date,
    source: str,
) -> tuple[int, int]:
    """Store rows (`exchange.rows.Row`, none refused): new points, and surveys of those that are
    there as `again` says (REPLACE, LEAVE, or else combine).

    How many points are new and how many were surveyed again. Raises CannotSurvey, whose message
    names the line; nothing is stored then.
    """
    Site.objects.select_for_update().get(pk=site.pk)
    there = site.points.select_for_update().prefetch_related("surveys")
    points = {point.code: point for point in there}
    made: list[tuple[Point, Survey]] = []
    again_surveyed: list[tuple[Point, Survey]] = []
    renamed: list[Point] = []
    for row in rows:
        try:
            survey = _survey(row, by=by, now=now, on=on, source=source)
            if row.action == "new":
                survey_site.check_new(row.code, points)
                points[row.code] = _point(site, row)
                made.append((points[row.code], survey))
                continue
            point = points.get(row.code)
            if point and _is_wanted(row, point, survey, again):
                survey_site.check_more(point, replaces=again == REPLACE)
                again_surveyed.append((point, survey))
            if point and _rename(point, row):
                renamed.append(point)
        except CannotSurvey as error:
            raise _refused(row, error) from error
    survey_site.new_points(surveyed=made)
    survey_site.add_surveys(surveyed=again_surveyed, replaces=again == REPLACE)
    survey_site.rewrite(renamed, ["name", "mark"])
    new = {point.code for point, _ in made}
    for row in rows:
        if row.code in new:
            _note_targets(row, points)
    return len(made), len(again_surveyed)


def _refused(row: Row, error: CannotSurvey) -> CannotSurvey:
    """The refusal of a row, which names its line."""
    return CannotSurvey(
        say(
            "Line {line}: {reason} Nothing was brought in.",
            line=row.line,
            reason=error.args[0],
        )
    )


def _note_targets(row: Row, points: Mapping[str, Point]) -> None:
    """Note what is seen from a new point, where the sheet says it."""
    if row.sees:
        targets = [points[code] for code in row.sees if code in points]
        plan_course.set_visible(station=points[row.code], targets=targets)


def _survey(
    row: Row, *, by: AbstractUser | None, now: datetime, on: date | None, source: str
) -> Survey:
    """The unsaved survey of a row, with where it comes from. Raises CannotSurvey."""
    assert row.place is not None
    details = {
        "how": "file",
        "source": source[:60],
        "line": row.line,
        "notation": row.place.notation,
        "transformation": row.place.transformation,
        "transformation_m": row.place.transformation_m,
        "transformation_is_stated": row.place.change.is_stated,
    }
    return survey_site.unsaved(
        row.position,
        row.ellipse,
        row.method,
        measured_on=on,
        by=by,
        now=now,
        details=details,
    )


def _point(site: Site, row: Row) -> Point:
    """The unsaved point of a row: a target unless the sheet says no and it can be stood on."""
    return Point(
        site=site,
        code=row.code,
        name=row.name,
        mark=(row.mark or "")[:200],
        is_target=True if row.is_target is None else row.is_target or not row.mark,
    )


def _is_wanted(row: Row, point: Point, survey: Survey, again: str) -> bool:
    """Whether the row surveys a point again, and that is to be stored."""
    return row.action == "survey" and again != LEAVE and not _is_there(point, survey)


def _is_there(point: Point, survey: Survey) -> bool:
    """Whether the same survey was brought in before: same place, day and method."""
    position = survey.as_domain().position
    return any(
        (kept.measured_on, kept.method) == (survey.measured_on, survey.method)
        and geodesy.apart_m(kept.as_domain().position, position) < SAME_M
        for kept in point.surveys.all()
    )


def _rename(point: Point, row: Row) -> bool:
    """Take over the name, and the mark where the sheet has one. Whether that changed anything."""
    mark = point.mark if row.mark is None else row.mark[:200]
    if (point.name, point.mark) == (row.name, mark) or not (mark or point.is_target):
        return False
    point.name, point.mark = row.name, mark
    return True
