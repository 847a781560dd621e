"""Keep what somebody wishes their instructor to know of their practice at home."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from ..domain.planning import home_lessons
from ..models import Person


def tell_at_home(*, person: Person, codes: Iterable[object], now: datetime) -> tuple[str, ...]:
    """Keep which lessons a person has done at home, as they say; none takes everything back. What
    is told again as it is kept already leaves the time of the first. Returns the codes as kept.
    Raises NoLesson.
    """
    done = home_lessons.in_order(codes)
    wanted = " ".join(done)
    Person.objects.filter(pk=person.pk).exclude(home_lessons=wanted).update(
        home_lessons=wanted, home_told_at=now if wanted else None
    )
    return done
