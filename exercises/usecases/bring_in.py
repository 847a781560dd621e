"""Take the points of a file into a site: all rows that were chosen, or none."""

from django.db import transaction

from ..domain.earth import geodesy
from ..domain.words import say
from ..exchange.rows import SAME_M
from ..models import Point, Site
from . import plan_course, survey_site
from .survey_site import CannotSurvey

COMBINE, REPLACE, LEAVE = "combine", "replace", "leave"


def _is_there(point, found):
    """Whether the same survey was brought in before: same place, day and method."""
    position = found.as_domain().position
    return any(
        (kept.measured_on, kept.method) == (found.measured_on, found.method)
        and geodesy.apart_m(kept.as_domain().position, position) < SAME_M
        for kept in point.surveys.all()
    )


def _rename(point, row):
    """Take over the name, and the mark where the sheet has one."""
    mark = point.mark if row.mark is None else row.mark[:200]
    if (point.name, point.mark) != (row.name, mark) and (mark or point.is_target):
        type(point).objects.filter(pk=point.pk).update(name=row.name, mark=mark)


def _survey(row, by, now, on, source):
    """The unsaved survey that a row is. Raises CannotSurvey."""
    return survey_site.unsaved(
        row.position,
        row.ellipse,
        row.method,
        measured_on=on,
        by=by,
        now=now,
        details={
            "how": "file",
            "source": source[:60],
            "line": row.line,
            "notation": row.place.notation,
            "transformation": row.place.transformation,
            "transformation_m": row.place.transformation_m,
        },
    )


def _point(site, row):
    """The unsaved point that a row is."""
    return Point(
        site=site,
        code=row.code,
        name=row.name,
        mark=(row.mark or "")[:200],
        is_target=True if row.is_target is None else row.is_target or not row.mark,
    )


@transaction.atomic
def bring_in(*, site, rows, again, by, now, on, source):
    """Store rows (`exchange.rows.Row`, none refused): new points, and surveys of those that are
    there as `again` says (COMBINE, REPLACE or LEAVE).

    Returns how many points were made and how many were surveyed again. Raises CannotSurvey, naming
    the line; nothing is stored then.
    """
    Site.objects.select_for_update().get(pk=site.pk)
    points = {point.code: point for point in site.points.prefetch_related("surveys")}
    made, surveyed = {}, 0
    for row in rows:
        try:
            found = _survey(row, by, now, on, source)
            if row.action == "new":
                survey_site.check_new(row.code, points)
                points[row.code] = _point(site, row)
                made[row.code] = points[row.code], found
                continue
            if row.code not in points:
                continue
            point = points[row.code]
            if row.action == "survey" and again != LEAVE and not _is_there(point, found):
                survey_site.add_survey(point=point, found=found, replaces=again == REPLACE)
                surveyed += 1
            _rename(point, row)
        except CannotSurvey as error:
            raise CannotSurvey(
                say(
                    "Line {line}: {reason} Nothing was brought in.",
                    line=row.line,
                    reason=error.args[0],
                )
            ) from error
    survey_site.new_points(surveyed=list(made.values()))
    for row in rows:
        if row.code in made and row.sees:
            seen = [points[code] for code in row.sees if code in points]
            plan_course.set_visible(station=points[row.code], targets=seen)
    return len(made), surveyed
