"""Slow down who guesses: after some failures a door stays shut for a while."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import F

from ..models import Failures

# of 190 million codes: a guess in a hundred thousand years; too many for a child who plays
MOST_FAILURES, WITHIN = 200, timedelta(minutes=10)


def is_shut(*, door: str, now: datetime) -> bool:
    """Whether a door has seen too many failures lately."""
    failures = Failures.objects.filter(door=door, since__gt=now - WITHIN)
    return bool(failures.filter(number__gte=MOST_FAILURES).exists())


def note_failure(*, door: str, now: datetime) -> None:
    """Count a failure. The count begins anew when the last one began long enough ago."""
    Failures.objects.get_or_create(door=door, defaults={"since": now})
    Failures.objects.filter(door=door, since__lte=now - WITHIN).update(number=0, since=now)
    Failures.objects.filter(door=door).update(number=F("number") + 1)
