"""What goes along, kind by kind, in the order in which it is taken in: what is referred to first.

A kind says where its rows hang and which of their fields stay here: secrets of phones, what says
that something lies in the bin. Keys of this database and accounts always stay. All other fields of
a row go along, so a field that a model gains does too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.db import models as fields

from ... import models


@dataclass(frozen=True)
class Root:
    """A row that others hang on, and the way from it to the account that it is of."""

    name: str
    owner: str


SITE, COURSE = Root("site", "owner"), Root("course", "site__owner")
KIT, CLASS = Root("kit", "owner"), Root("class", "owner")


@dataclass(frozen=True)
class Kind:
    """A kind of row: its name in files, its model, its root and the way there (empty for the root
    itself), fields that stay here, and what is set in their place when it comes in.
    """

    name: str
    model: type[fields.Model]
    root: Root
    way: str = ""
    stays: frozenset[str] = frozenset()

    def to(self, lookup: str) -> str:
        """A lookup from the row, through its root.

        A task's, where "course" is the way, `to("site")` is "course__site".
        """
        return f"{self.way}__{lookup}" if self.way else lookup

    @property
    def owner(self) -> str:
        """The account that a row is of, as a lookup."""
        return self.to(self.root.owner)

    def carried(self) -> Iterator[Any]:
        """The fields that go along, in the model's order; references among them."""
        for field in self.model._meta.concrete_fields:
            if not (field.primary_key or is_account(field) or field.name in self.stays):
                yield field


def is_account(field: Any) -> bool:
    """Whether a field refers to an account, which never goes along."""
    return bool(field.is_relation) and field.related_model._meta.label == settings.AUTH_USER_MODEL


BIN = frozenset({"removed_at"})
KINDS = (
    Kind("site", models.Site, SITE, stays=BIN | {"organisation"}),
    Kind("point", models.Point, SITE, "site"),
    Kind("survey", models.Survey, SITE, "point__site"),
    Kind("visible", models.Visible, SITE, "station__site"),
    Kind("hazard", models.Hazard, SITE, "site"),
    Kind("observed_bearing", models.ObservedBearing, SITE, "site"),
    Kind("course", models.Course, COURSE, stays=BIN),
    Kind("task", models.Task, COURSE, "course"),
    Kind("kit", models.Kit, KIT, stays=frozenset({"organisation"})),
    Kind("kit_compass", models.KitCompass, KIT, "kit"),
    Kind("class", models.CourseClass, CLASS, stays=BIN),
    Kind("key", models.Key, CLASS, "course_class"),
    Kind("group", models.Group, CLASS, "course_class"),
    Kind("compass", models.Compass, CLASS, "course_class"),
    Kind(
        "person",
        models.Person,
        CLASS,
        "course_class",
        stays=frozenset({"name_key", "personal_code", "join_token", "joined_on", "joined_from"}),
    ),
    Kind("reading", models.Reading, CLASS, "course_class"),
    Kind("reply", models.Reply, CLASS, "course_class"),
    Kind("label", models.Label, CLASS, "course_class"),
    Kind("paper_entry", models.PaperEntry, CLASS, "person__course_class"),
    Kind("kit_entry", models.KitEntry, KIT, "compass__kit"),
    Kind("issue", models.Issue, CLASS, "course_class"),
    Kind("check_item", models.CheckItem, CLASS, "course_class"),
    Kind("headcount", models.Headcount, CLASS, "course_class"),
    Kind("headcount_mark", models.HeadcountMark, CLASS, "headcount__course_class"),
    Kind("seen_to", models.SeenTo, CLASS, "course_class"),
    Kind("field_note", models.FieldNote, CLASS, "course_class"),
    Kind("rotation", models.Rotation, CLASS, "course_class"),
    Kind("rotation_mark", models.RotationMark, CLASS, "rotation__course_class"),
    Kind("trail_entry", models.TrailEntry, CLASS, "course_class"),
)
NAMED = {kind.name: kind for kind in KINDS}
OF_MODEL = {kind.model: kind for kind in KINDS}
