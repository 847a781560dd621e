"""What a database does not check of rows that come from outside: that values kept as JSON are what
pages take them for, and that rows which refer to two others refer to two of one class or site.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db.models import F

from ...domain.earth import geodesy
from ...domain.words import say
from ...exchange.whole.archive import NotExport
from .kinds import NAMED

AS_DOMAIN = ("point", "survey", "hazard", "task", "key", "reply", "kit_entry", "rotation")
IN_ADDRESS = re.compile(r"[-\w]+", re.ASCII)  # a compass is looked up by its number
TYPES: Mapping[str, tuple[type, ...]] = {"float": (float, int), "int": (int,), "str": (str,)}
# of a kind: two ways that must lead to the same row
SAME = (
    ("visible", "station__site", "target__site"),
    ("observed_bearing", "site", "station__site"),
    ("observed_bearing", "site", "target__site"),
    ("task", "course__site", "station__site"),
    ("task", "course__site", "target__site"),
    ("task", "course__site", "second__site"),
    ("task", "course__site", "third__site"),
    ("person", "course_class", "group__course_class"),
    ("person", "course_class", "compass__course_class"),
    ("person", "course_class", "same_as__course_class"),
    ("reading", "course_class", "person__course_class"),
    ("reply", "course_class", "reading__course_class"),
    ("label", "course_class", "reading__course_class"),
    ("issue", "course_class", "person__course_class"),
    ("headcount_mark", "headcount__course_class", "person__course_class"),
)


def _refused(what: str) -> NotExport:
    return NotExport(
        say("The export does not fit together, so nothing was taken in: {what}", what=what)
    )


def must_be_sound(kind: str, row: Any) -> None:
    """Let a row become what pages read. Raises NotExport where it cannot."""
    try:
        if kind in AS_DOMAIN:
            _check(row.as_domain())
        if kind == "site":
            place = row.position()
            geodesy.easting_northing(place, row.grid_epsg or geodesy.utm_epsg(place))
        if kind == "kit_compass" and not IN_ADDRESS.fullmatch(row.number):
            raise ValueError("number")
        if kind == "key":
            _check([*row.counted()])
            _check(row.stated())
            _check(row.known_compasses())
            _check_points(row.points)
            if not isinstance(row.answers, list):
                raise TypeError("answers")
            _check_texts(row.dropped)
        if kind == "rotation":
            _check_texts([*row.helpers.values()])
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, ArithmeticError) as error:
        raise _refused(kind) from error


def _check(value: Any) -> None:
    """Whether numbers of plain values are numbers and texts are texts, however deep."""
    if is_dataclass(value):
        for field in fields(value):
            found = getattr(value, field.name)
            wanted = TYPES.get(str(field.type).removesuffix(" | None"))
            if wanted and found is not None and not isinstance(found, wanted):
                raise TypeError(field.name)
            _check(found)
    elif isinstance(value, Mapping):
        for one in value.values():
            _check(one)
    elif isinstance(value, Iterable) and not isinstance(value, str):
        for one in value:
            _check(one)


def _check_points(points: Any) -> None:
    for point in points.values():
        for name in ("name", "mark"):
            if not isinstance(point[name], str):
                raise TypeError(name)
        for name in ("latitude", "longitude", "accuracy_m"):
            if isinstance(point[name], bool) or not isinstance(point[name], int | float):
                raise TypeError(name)


def _check_texts(found: Iterable[Any]) -> None:
    if not all(isinstance(one, str) for one in found):
        raise TypeError("text")


def must_fit_together(owner: AbstractUser) -> None:
    """Raises NotExport where a row of an account refers to two that do not belong together."""
    for name, one, other in SAME:
        kind = NAMED[name]
        rows = kind.model._base_manager.filter(**{kind.owner: owner, f"{other}__isnull": False})
        if rows.exclude(**{one: F(other)}).exists():
            raise _refused(f"{name}: {one}, {other}")
