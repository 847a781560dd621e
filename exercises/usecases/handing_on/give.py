"""An export: rows as plain values, referring to each other by numbers that stay."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db import transaction
from django.db.models import Q, QuerySet

from ...exchange.whole import archive
from ...models import Course, CourseClass, HandedId, Kit, Site
from .. import purge_names
from .kinds import CLASS, COURSE, KINDS, KIT, OF_MODEL, SITE, Kind, Root

Rows = dict[str, list[dict[str, Any]]]
Numbers = Mapping[str, Mapping[int, uuid.UUID]]


@transaction.atomic
def document(
    *, owner: AbstractUser, site: Site | None, with_names: bool, now: datetime
) -> dict[str, Any]:
    """All that an instructor has, or one site with their own classes on it, as plain values. A site
    of somebody else's that their classes use goes along, with the courses that they use of it.

    Without names they are let go as by `purge_names`, in a transaction that is taken back: one rule
    says what a name is.
    """
    roots = _roots(owner, site)
    numbers = {kind.name: _numbers(owner, kind, roots) for kind in KINDS}
    begun = transaction.savepoint()
    if not with_names:
        for course_class in roots[CLASS].filter(names_purged_at=None):
            purge_names.let_go(course_class, now)
    rows = _collected(roots, numbers)
    transaction.savepoint_rollback(begun)
    return {
        "format": archive.FORMAT,
        "version": archive.VERSION,
        "made_at": now.astimezone(UTC).isoformat(),
        "holds": "site" if site else "instructor",
        "with_names": with_names,
        "rows": rows,
    }


def _roots(owner: AbstractUser, site: Site | None) -> dict[Root, QuerySet[Any]]:
    classes = CourseClass.objects.kept().filter(owner=owner)
    if site:
        return {
            SITE: Site.objects.filter(pk=site.pk),
            COURSE: Course.objects.kept().filter(site=site),
            KIT: Kit.objects.none(),
            CLASS: classes.filter(course__site=site),
        }
    used = classes.values("course")
    return {
        SITE: Site.objects.kept().filter(Q(owner=owner) | Q(courses__in=used)).distinct(),
        COURSE: Course.objects.kept().filter(Q(site__owner=owner) | Q(pk__in=used)),
        KIT: Kit.objects.filter(owner=owner),
        CLASS: classes,
    }


def _rows(kind: Kind, roots: Mapping[Root, QuerySet[Any]]) -> QuerySet[Any]:
    inside = {f"{kind.to('pk')}__in": roots[kind.root].order_by().values("pk")}
    found: QuerySet[Any] = kind.model._base_manager.filter(**inside).order_by("pk")
    return found


def _numbers(
    owner: AbstractUser, kind: Kind, roots: Mapping[Root, QuerySet[Any]]
) -> dict[int, uuid.UUID]:
    """The numbers of rows by their keys; those that have none get one for good."""
    rows = _rows(kind, roots)
    given = HandedId.objects.filter(owner=owner, kind=kind.name, row__in=rows.values("pk"))
    numbers = dict(given.values_list("row", "uid"))
    new = [
        HandedId(owner=owner, kind=kind.name, row=pk)
        for pk in rows.values_list("pk", flat=True)
        if pk not in numbers
    ]
    HandedId.objects.bulk_create(new, batch_size=1000)
    return numbers | {one.row: one.uid for one in new}


def _collected(roots: Mapping[Root, QuerySet[Any]], numbers: Numbers) -> Rows:
    """Rows by kind, in the order in which they came to be. What refers to a row that does not go
    along loses the reference, or stays here too where it makes no sense without.
    """
    going: dict[str, dict[int, str]] = {}
    rows: Rows = {}
    for kind in KINDS:
        going[kind.name] = {pk: str(uid) for pk, uid in numbers[kind.name].items()}
        rows[kind.name] = []
        for row in _rows(kind, roots).values("pk", *(field.attname for field in kind.carried())):
            plain = dict(_plain(kind, row, going))
            if any(plain[field.name] is None for field in kind.carried() if not field.null):
                going[kind.name].pop(row["pk"], None)
            else:
                rows[kind.name].append({"id": going[kind.name][row["pk"]], **plain})
    return rows


def _plain(
    kind: Kind, row: Mapping[str, Any], going: Mapping[str, Mapping[int, str]]
) -> Iterator[tuple[str, Any]]:
    for field in kind.carried():
        value = row[field.attname]
        if field.is_relation:
            value = going[OF_MODEL[field.related_model].name].get(value)
        elif isinstance(value, datetime):
            value = value.astimezone(UTC).isoformat()
        elif isinstance(value, date | uuid.UUID):
            value = str(value)
        yield field.name, value
