"""Slow down who guesses: after some failures a door stays shut for a while."""

from datetime import timedelta

from django.db.models import F

from ..models import Failures

MOST_FAILURES, WITHIN = (
    200,
    timedelta(minutes=10),
)  # of 190 million codes: a guess in a hundred thousand years; too many for a child who plays


def is_shut(*, door, now):
    """Whether a door has seen too many failures lately."""
    return Failures.objects.filter(
        door=door, number__gte=MOST_FAILURES, since__gt=now - WITHIN
    ).exists()


def note_failure(*, door, now):
    """Count a failure. The count begins anew when the last one began long enough ago."""
    Failures.objects.get_or_create(door=door, defaults={"since": now})
    Failures.objects.filter(door=door, since__lte=now - WITHIN).update(number=0, since=now)
    Failures.objects.filter(door=door).update(number=F("number") + 1)
