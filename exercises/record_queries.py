"""What the page of records needs, in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db.models import QuerySet

from .domain.diagnosis.diagnosis import MODEL_VERSION, Diagnosis
from .domain.tasks.answer import Answer
from .models import CourseClass, Key, Label, Results


def last_labels(instructor: AbstractUser) -> list[Label]:
    """The last label of each reading of an instructor's classes, in one query."""
    labels = Label.objects.filter(course_class__owner=instructor)
    return list({label.reading_id: label for label in labels}.values())


@dataclass(frozen=True)
class HeldClass:
    """A closed class with what was found, and the key that it was found under and the first one."""

    course_class: CourseClass
    found: Diagnosis
    answers: tuple[Answer, ...]
    first_answers: tuple[Answer, ...]
    points: dict[str, Any]


def held_classes(classes: QuerySet[CourseClass]) -> list[HeldClass]:
    """Closed classes with results, oldest first, in two queries."""
    rows = list(
        Results.objects.filter(
            course_class__in=classes.filter(state=CourseClass.State.CLOSED),
            model_version=MODEL_VERSION,
        )
        .select_related("course_class")
        .order_by("course_class__date", "course_class__pk")
    )
    keys: dict[int, dict[int, Key]] = {}
    for key in Key.objects.filter(course_class__in=[row.course_class_id for row in rows]).order_by(
        "version"
    ):
        keys.setdefault(key.course_class_id, {})[key.version] = key
    return [
        HeldClass(
            row.course_class,
            row.as_domain(),
            keys[row.course_class_id][row.key_version].counted(),
            keys[row.course_class_id][1].as_domain(),
            keys[row.course_class_id][row.key_version].points,
        )
        for row in rows
    ]
