"""What pages of kits need, in a fixed number of queries."""

from __future__ import annotations

from typing import Any

from django.db.models import Prefetch, QuerySet
from django.db.models.fields.json import KeyTransform

from .models import CourseClass, Issue, Kit, KitCompass, Results


def kit_compasses(kit: Kit) -> list[KitCompass]:
    """The compasses of a kit with their logs, and as `out` where each is now, in three queries."""
    out = Issue.objects.filter(returned_at=None).select_related("person__same_as", "course_class")
    return list(kit.compasses.prefetch_related("entries", Prefetch("issues", out, to_attr="out")))


def compasses_out(course_class: CourseClass) -> QuerySet[Issue]:
    """The compasses that are out with a class, in one query."""
    return course_class.issues.filter(returned_at=None).select_related("compass", "person__same_as")


def said_in_classes(compass: KitCompass) -> list[tuple[CourseClass, Any]]:
    """What closed classes that took a compass's kit out found of it, the latest first: (class, what
    its diagnosis kept of the compass), in one query.
    """
    rows = (
        Results.objects.filter(
            course_class__kit=compass.kit_id,
            course_class__state=CourseClass.State.CLOSED,
            course_class__removed_at=None,
            found__compasses__has_key=compass.number,
        )
        .select_related("course_class")
        .defer("known", "counts", "found")
        .annotate(found_compasses=KeyTransform("compasses", "found"))
        .order_by("-course_class__date", "-course_class__pk")
    )
    return [(row.course_class, row.found_compasses[compass.number]) for row in rows]
