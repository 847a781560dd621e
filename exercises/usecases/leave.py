"""An account goes: what passes on to others, and what goes with it for good.

- A class with a co-instructor is theirs from then on; every other class goes, with its people and
  readings.
- A site or kit that is shared passes on to another member of the organisation, one who leads it
  first. One that somebody else's class stands on passes on to them. Every other one goes.
- An organisation that nobody else leads is led by its oldest member; without one it ends.
- Roles in others' classes end. Where the account's name stands in what stays it becomes a dash.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser
from django.db import transaction
from django.db.models import Q

from ..domain.running import roles
from ..domain.words import say
from ..models import (
    CheckItem,
    Course,
    CourseClass,
    FieldNote,
    Headcount,
    HeadcountMark,
    Issue,
    Key,
    Kit,
    KitEntry,
    Member,
    Organisation,
    Person,
    Reading,
    Rotation,
    RotationMark,
    SeenTo,
    Site,
    TrailEntry,
)
from . import trail
from .arrange import free_name
from .without_names import NOBODY

# where an account's name stands as a text, in a class or a kit that stays
NAMED: tuple[tuple[Any, str, str], ...] = (
    (Headcount, "begun_by", "course_class"),
    (HeadcountMark, "by", "headcount__course_class"),
    (CheckItem, "done_by", "course_class"),
    (FieldNote, "by", "course_class"),
    (SeenTo, "by", "course_class"),
    (Rotation, "made_by", "course_class"),
    (RotationMark, "by", "rotation__course_class"),
    (Issue, "issued_by", "course_class"),
    (KitEntry, "by_name", "course_class"),
)


class CannotLeave(ValueError):
    """An account that cannot go now. The message says why and what to do."""


@dataclass(frozen=True)
class Passed:
    """A row that passes on, and to whom: a site, a class or a kit."""

    kind: str
    row: Any
    to: AbstractUser


@dataclass(frozen=True)
class Leaving:
    """What becomes of what an account has. `people` and `readings` are those of the classes that
    go; `ending` are organisations that end.
    """

    classes: Sequence[CourseClass]
    sites: Sequence[Site]
    kits: Sequence[Kit]
    people: int
    readings: int
    passed: Sequence[Passed]
    ending: Sequence[Organisation]
    open_classes: Sequence[CourseClass]


def what_becomes(account: AbstractUser) -> Leaving:
    """What would become of it now; nothing is changed."""
    classes = {row: _heir_of_class(row) for row in CourseClass.objects.filter(owner=account)}
    sites = {row: _heir_of_site(row, classes) for row in Site.objects.filter(owner=account)}
    kits = {row: _heir_of_kit(row, classes) for row in Kit.objects.filter(owner=account)}
    going = [row for row, heir in classes.items() if heir is None]
    everything: tuple[tuple[str, Mapping[Any, AbstractUser | None]], ...] = (
        ("site", sites),
        ("kit", kits),
        ("class", classes),
    )
    alone = Organisation.objects.filter(members=account).exclude(
        pk__in=Member.objects.exclude(user=account).values("organisation")
    )
    return Leaving(
        classes=going,
        sites=[row for row, heir in sites.items() if heir is None],
        kits=[row for row, heir in kits.items() if heir is None],
        people=Person.objects.filter(course_class__in=going).count(),
        readings=Reading.objects.filter(course_class__in=going).count(),
        passed=[
            Passed(kind, row, heir)
            for kind, rows in everything
            for row, heir in rows.items()
            if heir
        ],
        ending=list(alone),
        open_classes=[row for row in classes if row.is_open],
    )


def _heir_of_class(row: CourseClass) -> AbstractUser | None:
    """Its first co-instructor with an account; what lies in the bin has none."""
    if row.removed_at is not None:
        return None
    staff = row.staff.filter(
        role=roles.CO_INSTRUCTOR, user__isnull=False, user__is_active=True, ended_at=None
    )
    first = staff.order_by("since", "pk").first()
    return first.user if first else None


def _heir_in(organisation: Organisation | None, account_pk: int) -> AbstractUser | None:
    """Another member: one who leads first, then who is in it for longest."""
    if organisation is None:
        return None
    members = organisation.memberships.filter(user__is_active=True).exclude(user=account_pk)
    first = members.order_by("-leads", "since", "pk").first()
    return first.user if first else None


def _user_of(
    used: Any, account_pk: int, classes: dict[CourseClass, AbstractUser | None]
) -> AbstractUser | None:
    """Whose class, of somebody else's or one that passes on, stands on something."""
    for row in used.order_by("pk"):
        heir = row.owner if row.owner_id != account_pk else classes.get(row)
        if heir:
            return heir
    return None


def _heir_of_site(
    row: Site, classes: dict[CourseClass, AbstractUser | None]
) -> AbstractUser | None:
    shared = _heir_in(row.organisation, row.owner_id) if row.removed_at is None else None
    used = CourseClass.objects.filter(course__site=row)
    return shared or _user_of(used, row.owner_id, classes)


def _heir_of_kit(row: Kit, classes: dict[CourseClass, AbstractUser | None]) -> AbstractUser | None:
    used = CourseClass.objects.filter(Q(kit=row) | Q(issues__compass__kit=row)).distinct()
    return _heir_in(row.organisation, row.owner_id) or _user_of(used, row.owner_id, classes)


@transaction.atomic
def delete_account(*, account: AbstractUser, now: datetime) -> Leaving:
    """Let an account go for good, and say what became of what it had. Raises CannotLeave while a
    class of its own is open: somebody may be out there.
    """
    account = get_user_model().objects.select_for_update().get(pk=account.pk)
    leaving = what_becomes(account)
    if leaving.open_classes:
        raise CannotLeave(
            say(
                "Your class “{name}” is open. Close it first, then delete the account.",
                name=leaving.open_classes[0].name,
            )
        )
    for passed in leaving.passed:
        _pass_on(passed, now)
    going = CourseClass.objects.filter(owner=account)
    going.update(removed_at=now)  # the database lets readings go only with what lies in the bin
    going.delete()
    Course.objects.filter(site__owner=account).delete()
    Site.objects.filter(owner=account).delete()
    Kit.objects.filter(owner=account).delete()
    _leave_organisations(account, leaving.ending)
    _forget_name(account)
    account.delete()
    return leaving


def _pass_on(passed: Passed, now: datetime) -> None:
    row, heir = passed.row, passed.to
    if isinstance(row, Site):
        row.name = free_name(row.name, heir.sites.kept())
    if isinstance(row, CourseClass):
        row.staff.filter(user=heir).delete()
        trail.note(course_class=row, by=trail.Named(NOBODY), now=now, verb="passed_on")
    row.owner = heir
    row.save(update_fields=["owner", *(["name"] if isinstance(row, Site) else [])])


def _leave_organisations(account: AbstractUser, ending: Sequence[Organisation]) -> None:
    for organisation in ending:
        organisation.delete()
    for membership in Member.objects.filter(user=account, leads=True):
        others = membership.organisation.memberships.exclude(user=account)
        if not others.filter(leads=True).exists():
            heir = _heir_in(membership.organisation, account.pk)
            others.filter(user=heir).update(leads=True)


def _forget_name(account: AbstractUser) -> None:
    """The account's name becomes a dash where it acted in what stays; keys that it froze are the
    owner's.
    """
    name = account.get_username()
    for key in Key.objects.filter(frozen_by=account).select_related("course_class"):
        Key.objects.filter(pk=key.pk).update(frozen_by=key.course_class.owner_id)
    acted = TrailEntry.objects.filter(by=account)
    classes = set(acted.values_list("course_class", flat=True))
    acted.update(by_name=NOBODY)
    for model, field, way in NAMED:
        model.objects.filter(**{f"{way}__in": classes, field: name}).update(**{field: NOBODY})
    KitEntry.objects.filter(course_class=None, by_name=name).update(by_name=NOBODY)
