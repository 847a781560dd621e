"""Let a form that arrives twice act once."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.contrib.auth.models import AbstractUser

from ..models import SentForm

KEPT = timedelta(days=1)  # a page that was left open over night may be sent again


def claim(*, user: AbstractUser, digest: str, now: datetime) -> tuple[SentForm, bool]:
    """The row of a form that has arrived, and whether it is the first: the database lets one of two
    that come at once make it. Rows older than a day go.
    """
    SentForm.objects.filter(at__lt=now - KEPT).delete()
    return SentForm.objects.get_or_create(user=user, digest=digest, defaults={"at": now})


def note(*, sent: SentForm, led_to: str) -> None:
    """Note where the answer led; empty where it led nowhere, so that nothing was done, and the same
    form may come again.
    """
    rows = SentForm.objects.filter(pk=sent.pk)
    if led_to:
        rows.update(led_to=led_to)
    else:
        rows.delete()


def led_to(*, sent: SentForm) -> str | None:
    """Where the first arrival of a form led, empty while it is being answered; None where it did
    nothing.
    """
    return SentForm.objects.filter(pk=sent.pk).values_list("led_to", flat=True).first()
