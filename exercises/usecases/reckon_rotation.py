"""Reckon a rotation for the groups of a class."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from .. import queries
from ..domain.running import rotation_ground
from ..domain.running.rotation import Rotation
from ..domain.running.rotation_time import CourseInformation, fitted
from ..domain.running.rotation_values import Group
from ..models import CourseClass
from .open_class import compute_key

SEED = 4  # of the search: what is asked for twice is the same rotation


def groups_of(course_class: CourseClass) -> list[Group]:
    """The groups of a class with how many are in each, 1 where nobody is named yet."""
    return [
        Group(group.name, len(group.people.all()) or 1)
        for group in course_class.groups.prefetch_related("people")
    ]


def reckoned(
    *,
    course_class: CourseClass,
    groups: Sequence[Group],
    minutes: float,
    helpers: int,
    twice: Collection[str] = (),
    kept: Collection[str] = (),
) -> Rotation:
    """The rotation of these groups within so many minutes; the same whenever it is asked for.
    `helpers` is how many people can stand somewhere, `twice` are stations that take two groups at
    once, `kept` the names of dangers whose crossing somebody keeps.

    Raises NoRotation, NotReady.
    """
    key = queries.current_key(course_class)
    answers = (
        key.counted()
        if key
        else compute_key(course_class.course, course_class.date, course_class.key_source)
    )
    site = course_class.course.site
    problem = rotation_ground.problem(
        answers,
        site.as_domain(),
        groups,
        hazards=site.hazards_as_domain(),
        kept=kept,
        places=dict.fromkeys(twice, 2),
        minutes=minutes,
        helpers=helpers,
    )
    return fitted(problem, CourseInformation(answers), rng=np.random.default_rng(SEED))
