"""When something was done on a phone, by our own clock."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from django.db.models import DateTimeField, F, Value
from django.db.models.functions import Greatest

from ..models.reading import BELIEVED


def moment(text: Any) -> datetime | None:
    """The phone's time of doing something, or None when it gives none that makes sense; its clock
    is never trusted for order.
    """
    try:
        moment = datetime.fromisoformat(text)
        return moment.replace(tzinfo=moment.tzinfo or UTC).astimezone(UTC)
    except (ValueError, TypeError, OverflowError):
        return None


def by_our_clock(said: Any, clock: Any, now: datetime) -> datetime:
    """When something was done that a phone says it did at `said`, its own clock showing `clock` as
    it tells: by how much that differs from ours is put right. What cannot be is now.
    """
    done, shown = moment(said), moment(clock)
    if done is None:
        return now
    here = min(done - (shown - now if shown else timedelta(0)), now)
    return here if now - here <= BELIEVED else now


def not_before(field: str, now: datetime) -> Greatest:
    """Now, or what a field says where that is later, for an update: a laptop whose clock was set
    back meanwhile must still close what it opened.
    """
    return Greatest(F(field), Value(now, output_field=DateTimeField()))
