"""Store the corners of a traverse as surveys: of new points, and of points that are there."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.contrib.auth.models import AbstractUser
from django.db import transaction

from ..domain.earth import geodesy
from ..domain.earth.ellipse import Ellipse
from ..domain.earth.geodesy import Position
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..domain.words import say
from ..models import Point, Site, Survey
from . import survey_site
from .survey_site import SAME_PLACE_M, CannotSurvey


@dataclass(frozen=True)
class SurveyedCorner:
    """A corner of a traverse: its code, where it is and how well that is known, and what it is
    called and where one stands, should it be new.
    """

    code: str
    position: Position
    ellipse: Ellipse
    name: str = ""
    mark: str = ""


@transaction.atomic
def store_traverse(
    *,
    site: Site,
    form_id: UUID,
    corners: Sequence[SurveyedCorner],
    details: Mapping[str, Any],
    measured_on: date,
    by: AbstractUser | None,
    now: datetime,
) -> int:
    """Store a survey for each corner, all or none; a corner whose code the site does not have
    becomes a point. `details` say how it was measured; their "from" is the point whose error the
    corners share. How many corners there are. The same form again changes nothing.

    Raises CannotSurvey, whose message names the point.
    """
    Site.objects.select_for_update().get(pk=site.pk)
    rows = site.points.select_for_update().prefetch_related("surveys")
    points = {point.code: point for point in rows}
    if _is_stored(site, form_id, corners):
        return len(corners)
    new: list[tuple[Point, Survey]] = []
    again: list[tuple[Point, Survey]] = []
    for corner in corners:
        there = points.get(corner.code)
        try:
            survey = _survey(
                site, form_id, _at_height(corner, there), details, measured_on, by, now
            )
            if there:
                survey_site.check_more(there, replaces=False)
                again.append((there, survey))
            else:
                survey_site.check_new(corner.code, points)
                points[corner.code] = _point(site, corner)
                new.append((points[corner.code], survey))
        except CannotSurvey as error:
            raise _refused(corner, error) from error
    survey_site.new_points(surveyed=new)
    survey_site.add_surveys(surveyed=again, replaces=False)
    return len(corners)


def _refused(corner: SurveyedCorner, error: CannotSurvey) -> CannotSurvey:
    """The refusal of a corner, which names it."""
    return CannotSurvey(
        say(
            "Point {code}: {reason} Nothing was stored.",
            code=corner.code,
            reason=error.args[0],
        )
    )


def _client_id(form_id: UUID, code: str) -> UUID:
    """The identifier of a corner's survey: the same for the same form."""
    return uuid.uuid5(form_id, code)


def _is_stored(site: Site, form_id: UUID, corners: Sequence[SurveyedCorner]) -> bool:
    """Whether the form has stored these corners before. Raises CannotSurvey where it has stored
    others.
    """
    kept = {
        row.client_id: row
        for row in Survey.objects.select_related("point").filter(
            client_id__in=[_client_id(form_id, corner.code) for corner in corners]
        )
    }
    if not kept:
        return False
    for corner in corners:
        row = kept.get(_client_id(form_id, corner.code))
        if not (
            row
            and row.point.site_id == site.pk
            and geodesy.apart_m(row.as_domain().position, corner.position) < SAME_PLACE_M
        ):
            raise CannotSurvey(
                say("This form has stored a traverse already. Load the page again for another one.")
            )
    return True


def _at_height(corner: SurveyedCorner, there: Point | None) -> SurveyedCorner:
    """The corner at the height of the point that is there: a traverse measures none."""
    if there is None:
        return corner
    return replace(corner, position=replace(corner.position, elevation_m=there.elevation_m))


def _survey(
    site: Site,
    form_id: UUID,
    corner: SurveyedCorner,
    details: Mapping[str, Any],
    measured_on: date,
    by: AbstractUser | None,
    now: datetime,
) -> Survey:
    """The unsaved survey of a corner. Raises CannotSurvey."""
    if geodesy.apart_m(site.position(), corner.position) > FAR_FROM_SITE_M:
        raise CannotSurvey(
            say(
                "This is more than {most:.0f} km from the site. Look at the legs.",
                most=FAR_FROM_SITE_M / 1000.0,
            )
        )
    return survey_site.unsaved(
        corner.position,
        corner.ellipse,
        Point.Method.SURVEYED,
        measured_on=measured_on,
        by=by,
        now=now,
        details=details,
        client_id=_client_id(form_id, corner.code),
    )


def _point(site: Site, corner: SurveyedCorner) -> Point:
    """The unsaved point of a new corner: a station where its mark is described, else a target."""
    return Point(
        site=site,
        code=corner.code,
        name=corner.name[:80] or corner.code,
        mark=corner.mark[:200],
        is_target=not corner.mark,
    )
