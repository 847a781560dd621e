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
    return any(
        geodesy.apart_m(one.as_domain().position, found.as_domain().position) < SAME_M
        and (one.measured_on, one.method) == (found.measured_on, found.method)
        for one in point.surveys.all()
    )


def _rename(point, row):
    """Take over the name, and the mark where the sheet has one."""
    mark = point.mark if row.mark is None else row.mark[:200]
    if (point.name, point.mark) != (row.name, mark) and (mark or point.is_target):
        type(point).objects.filter(pk=point.pk).update(name=row.name, mark=mark)


@transaction.atomic
def bring_in(*, site, rows, again, by, now, on, source):
    """Store rows (`exchange.rows.Row`, none refused): new points, and surveys of those that are
    there as `again` says (COMBINE, REPLACE or LEAVE).

    Returns how many points were made and how many were surveyed again. Raises CannotSurvey, naming
    the line; nothing is stored then.
    """
    Site.objects.select_for_update().get(pk=site.pk)
    points, made, surveyed = {point.code: point for point in site.points.all()}, [], 0
    for row in rows:
        try:
            found = survey_site.unsaved(
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
            if row.action == "new":
                points[row.code] = survey_site.new_point(
                    found=found,
                    point=Point(
                        site=site,
                        code=row.code,
                        name=row.name,
                        mark=(row.mark or "")[:200],
                        is_target=True if row.is_target is None else row.is_target or not row.mark,
                    ),
                )
                made.append(row.code)
            elif (
                row.action == "survey"
                and again != LEAVE
                and row.code in points
                and not _is_there(points[row.code], found)
            ):
                survey_site.add_survey(
                    point=points[row.code], found=found, replaces=again == REPLACE
                )
                surveyed += 1
            if row.code in points and row.code not in made:
                _rename(points[row.code], row)
        except CannotSurvey as error:
            raise CannotSurvey(
                say(
                    "Line {line}: {reason} Nothing was brought in.",
                    line=row.line,
                    reason=error.args[0],
                )
            ) from error
    for row in rows:
        if row.code in made and row.sees:
            plan_course.set_visible(
                station=points[row.code],
                targets=[points[code] for code in row.sees if code in points],
            )
    return len(made), surveyed
