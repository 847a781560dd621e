"""Names in what was told while a class was out: rotation, notes, what was seen to, and the kit."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from ..models import CourseClass, FieldNote, Issue, KitEntry, Rotation, RotationMark, SeenTo
from ..models.course_class import name_key
from .without_names import NOBODY, without_names


def clear(
    course_class: CourseClass,
    *,
    names: Collection[str],
    groups: Mapping[str, str],
) -> None:
    """Let the names go; `groups` are the new names of groups by their old ones."""
    _rename_groups(course_class, {**_gone_groups(course_class), **groups})
    for rotation in Rotation.objects.filter(course_class=course_class):
        rotation.helpers = dict.fromkeys(rotation.helpers, NOBODY)
        rotation.save(update_fields=["helpers"])
    Rotation.objects.filter(course_class=course_class).update(made_by="")
    RotationMark.objects.filter(rotation__course_class=course_class).update(by="")
    SeenTo.objects.filter(course_class=course_class).update(by="")
    FieldNote.objects.filter(course_class=course_class).update(by="")
    Issue.objects.filter(course_class=course_class).update(issued_by="")
    known = {name_key(name) for name in names}
    for entry in KitEntry.objects.filter(course_class=course_class):
        if name_key(entry.by_name) in known:
            entry.by_name = NOBODY
            entry.save(update_fields=["by_name"])
    _clear_words(course_class, names)


def forget(course_class: CourseClass, *, names: Collection[str]) -> None:
    """Let the names of one person go, and of groups that are no more and were called after them."""
    gone = _gone_groups(course_class)
    theirs = {old: new for old, new in gone.items() if without_names(old, names) != old}
    _rename_groups(course_class, theirs)
    _clear_words(course_class, names)


def _clear_words(course_class: CourseClass, names: Collection[str]) -> None:
    """Names in notes and in the kit's log."""
    for told in (FieldNote, KitEntry):
        for row in told.objects.filter(course_class=course_class):
            row.words = without_names(row.words, names)
            row.save(update_fields=["words"])


def _gone_groups(course_class: CourseClass) -> dict[str, str]:
    """New names for groups that are no more and still stand in rotations or the log of a kit."""
    rotations = list(Rotation.objects.filter(course_class=course_class))
    told = {
        *(group["code"] for rotation in rotations for group in rotation.plan["groups"]),
        *RotationMark.objects.filter(rotation__in=rotations).values_list("group", flat=True),
        *Issue.objects.filter(course_class=course_class).values_list("group_name", flat=True),
    }
    here = set(course_class.groups.values_list("name", flat=True))
    gone = sorted(name for name in told - here if name and not name.isdecimal())
    return {name: f"{NOBODY}{place}" for place, name in enumerate(gone, start=1)}


def _rename_groups(course_class: CourseClass, groups: Mapping[str, str]) -> None:
    """Groups have their new names in the plan, whose numbers stay, and wherever they are told."""
    for rotation in Rotation.objects.filter(course_class=course_class):
        rotation.plan = renamed(rotation.plan, groups)
        rotation.save(update_fields=["plan"])
    marks = RotationMark.objects.filter(rotation__course_class=course_class)
    issues = Issue.objects.filter(course_class=course_class)
    for old, new in groups.items():
        marks.filter(group=old).update(group=new)
        issues.filter(group_name=old).update(group_name=new)


def renamed(plan: Mapping[str, Any], groups: Mapping[str, str]) -> dict[str, Any]:
    """A rotation's plan (`rotation_plain.as_plain`) with other names of groups."""

    def new(name: str) -> str:
        return groups.get(name, name)

    return {
        **plan,
        "groups": [{**group, "code": new(group["code"])} for group in plan["groups"]],
        "rounds": [
            {
                **one,
                "at": {new(group): station for group, station in one["at"].items()},
                "waits": [new(group) for group in one["waits"]],
            }
            for one in plan["rounds"]
        ],
        "walks": [{**walk, "group": new(walk["group"])} for walk in plan["walks"]],
    }
