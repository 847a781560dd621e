"""Constraints that many tables have alike. Their names read as sentences: `check_promises` says
them of a row that breaks one. A value that is not known (NULL) breaks none.
"""

from collections.abc import Iterable

from django.db.models import CheckConstraint, F, Q
from django.db.models.functions import Length, Trim
from django.db.models.lookups import GreaterThan


def filled(table: str, *fields: str) -> list[CheckConstraint]:
    """Texts that are never empty, nor spaces alone."""
    return [
        CheckConstraint(
            condition=Q(GreaterThan(Length(Trim(field)), 0)), name=f"{table}_{field}_is_not_empty"
        )
        for field in fields
    ]


def known(
    table: str, field: str, codes: Iterable[str], *, or_empty: bool = False
) -> CheckConstraint:
    """A code of a vocabulary, which may be empty where nothing was chosen."""
    allowed = [*([""] if or_empty else []), *codes]
    return CheckConstraint(
        condition=Q(**{f"{field}__in": allowed}), name=f"{table}_{field}_is_known"
    )


def between(table: str, field: str, least: float, most: float) -> CheckConstraint:
    """A number from `least` to `most`, both included."""
    return CheckConstraint(
        condition=Q(**{f"{field}__gte": least, f"{field}__lte": most}),
        name=f"{table}_{field}_is_in_range",
    )


def on_circle(table: str, field: str) -> CheckConstraint:
    """Degrees in [0, 360)."""
    return CheckConstraint(
        condition=Q(**{f"{field}__gte": 0, f"{field}__lt": 360}),
        name=f"{table}_{field}_is_on_the_circle",
    )


def at_least(table: str, field: str, least: float) -> CheckConstraint:
    """A number from `least` on."""
    return CheckConstraint(
        condition=Q(**{f"{field}__gte": least}), name=f"{table}_{field}_is_not_too_small"
    )


def above_zero(table: str, field: str) -> CheckConstraint:
    """A number greater than 0."""
    return CheckConstraint(
        condition=Q(**{f"{field}__gt": 0}), name=f"{table}_{field}_is_above_zero"
    )


def in_order(table: str, first: str, then: str) -> CheckConstraint:
    """A moment that is not before another."""
    return CheckConstraint(
        condition=Q(**{f"{then}__gte": F(first)}), name=f"{table}_{then}_is_not_before_{first}"
    )


def together(table: str, *fields: str) -> CheckConstraint:
    """Values that are all known, or none of them."""
    none = Q(**dict.fromkeys(fields))
    every = Q(**{f"{field}__isnull": False for field in fields})
    return CheckConstraint(
        condition=none | every, name=f"{table}_{fields[0]}_is_known_with_{fields[-1]}"
    )
