"""Take the points of a file into a site: all rows that were chosen, or none."""
from django.db import transaction

from ..domain.words import say
from ..models import Point, Site
from . import plan_course, survey_site
from .survey_site import CannotSurvey

COMBINE, REPLACE, LEAVE = "combine", "replace", "leave"


@transaction.atomic
def bring_in(*, site, rows, again, by, now, on, source):
    """Store rows (`exchange.rows.Row`, none refused): new points, and surveys of those that are there as `again` says (COMBINE, REPLACE or LEAVE).

    Returns how many points were made and how many were surveyed again. Raises CannotSurvey, naming the line; nothing is stored then.
    """
    Site.objects.select_for_update().get(pk=site.pk)
    points, made, surveyed = {point.code: point for point in site.points.all()}, [], 0
    for row in rows:
        found = survey_site.unsaved(row.position, row.ellipse, row.method, measured_on=on, by=by, now=now, details={
            "how": "file", "source": source[:60], "line": row.line, "notation": row.place.notation, "transformation": row.place.transformation, "transformation_m": row.place.transformation_m})
        try:
            if row.action == "new":
                points[row.code] = survey_site.new_point(found=found, point=Point(
                    site=site, code=row.code, name=row.name, mark=(row.mark or "")[:200], is_target=True if row.is_target is None else row.is_target or not row.mark))
                made.append(row.code)
            elif row.action == "survey" and again != LEAVE:
                survey_site.add_survey(point=points[row.code], found=found, replaces=again == REPLACE)
                surveyed += 1
        except CannotSurvey as error:
            raise CannotSurvey(say("Line {line}: {reason} Nothing was brought in.", line=row.line, reason=error.args[0])) from error
    for row in rows:
        if row.code in made and row.sees:
            plan_course.set_visible(station=points[row.code], targets=[points[code] for code in row.sees if code in points])
    return len(made), surveyed
