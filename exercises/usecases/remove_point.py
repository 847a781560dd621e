"""Remove a point of a site with all that hangs on it, and put it back."""

from __future__ import annotations

from django.core import serializers
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError, Q, QuerySet

from ..domain.words import say
from ..models import ObservedBearing, Point, Site, Visible


class CannotRemovePoint(ValueError):
    """A point that cannot be removed, or put back. The message says why and what to do."""


def goes_with(point: Point) -> dict[str, int]:
    """How much goes with a point."""
    return {
        "surveys": point.surveys.count(),
        "lines": _lines(point).count(),
        "observed": _observed(point).count(),
    }


def _lines(point: Point) -> QuerySet[Visible]:
    return Visible.objects.filter(Q(station=point) | Q(target=point))


def _observed(point: Point) -> QuerySet[ObservedBearing]:
    return ObservedBearing.objects.filter(Q(station=point) | Q(target=point))


@transaction.atomic
def remove_point(*, point: Point) -> str:
    """Remove a point that no task uses; returns what `put_point_back` needs, as JSON. Raises
    CannotRemovePoint.
    """
    Site.objects.select_for_update().get(pk=point.site_id)  # as `plan_course.locked` does
    if not Point.objects.filter(pk=point.pk).exists():
        raise CannotRemovePoint(say("Point {code} is not on the site any more.", code=point.code))
    rows = [point, *point.surveys.all(), *_lines(point), *_observed(point)]
    kept = serializers.serialize("json", rows)
    try:
        point.delete()
    except ProtectedError as error:
        raise CannotRemovePoint(
            say(
                "Point {code} is used by a task. Take the task out of its course first.",
                code=point.code,
            )
        ) from error
    return kept


def put_point_back(*, site: Site, kept: str) -> Point:
    """Put a point of a site back with all that hung on it, as `remove_point` returned it. Raises
    CannotRemovePoint where another has its code by now, or a point that it belongs with is gone.
    """
    rows = list(serializers.deserialize("json", kept))
    point = rows[0].object
    if not isinstance(point, Point) or point.site_id != site.pk:
        raise CannotRemovePoint(say("This point is of another site."))
    others = set(site.points.values_list("pk", flat=True)) | {point.pk}
    try:
        with transaction.atomic():
            for row in rows:
                ends = {getattr(row.object, end, None) for end in ("station_id", "target_id")}
                if ends - {None} <= others:  # what led to a point that is gone stays gone
                    row.save()
    except IntegrityError as error:
        raise CannotRemovePoint(
            say("The site has another point {code} by now.", code=point.code)
        ) from error
    return point
