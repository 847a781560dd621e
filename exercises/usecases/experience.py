"""Begin afresh with what is believed of classes, or take all of one's own into account again."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import AbstractUser

from ..models import Experience


def forget(*, instructor: AbstractUser, now: datetime) -> None:
    """From now on only classes opened later sharpen the priors. Classes that are open keep those
    that they were opened with.
    """
    Experience.objects.update_or_create(instructor=instructor, defaults={"since": now})


def remember(*, instructor: AbstractUser) -> None:
    """Let all of the instructor's classes count again."""
    Experience.objects.filter(instructor=instructor).delete()
