"""Note who did what in a class, so that everybody who runs it can read it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from django.contrib.auth.models import AbstractUser

from ..models import CourseClass, TrailEntry


class By(Protocol):
    """Who acts: an account or none, and what they are called."""

    @property
    def user(self) -> AbstractUser | None:
        """The account, of who has one."""

    @property
    def name(self) -> str:
        """What they are called."""


@dataclass(frozen=True)
class Account:
    """Somebody who acts with an account."""

    user: AbstractUser

    @property
    def name(self) -> str:
        """The name that they sign in with."""
        return str(self.user.get_username())


@dataclass(frozen=True)
class Named:
    """Somebody who acts without one."""

    name: str
    user: None = None


def note(
    *,
    course_class: CourseClass,
    by: By,
    now: datetime,
    verb: str,
    before: Mapping[str, Any] | None = None,
    after: Mapping[str, Any] | None = None,
) -> None:
    """Note an act in the transaction in which it is done. `verb` is one of `presenting.trail`;
    before and after hold what it changed, as JSON can hold it.
    """
    TrailEntry.objects.create(
        course_class=course_class,
        at=now,
        by=by.user,
        by_name=by.name,
        verb=verb,
        before=dict(before or {}),
        after=dict(after or {}),
    )


def forget(*, course_class: CourseClass, names: Collection[str]) -> None:
    """Let names of people who go for good go from the trail as well."""
    for entry in course_class.trail.filter(verb__in=("merged", "unmerged")):
        for plain in (entry.before, entry.after):
            if plain.get("name") in names:
                plain["name"] = "—"
        entry.save(update_fields=["before", "after"])
