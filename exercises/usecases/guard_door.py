"""Slow down who guesses: a door bears some failures, then it waits, longer after each.

A door is a text: what is guessed, and who guesses (an address, a browser, an account), so that one
stranger shuts it for nobody else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypeVar

from django.db import transaction

from ..domain.words import Words, say_many
from ..models import Failures

Found = TypeVar("Found")

LONGEST_KEPT = timedelta(days=2)  # longer than any door remembers


@dataclass(frozen=True)
class Patience:
    """How many failures a door bears, how long it waits after the next one and at most, doubling
    from one to the other, and after how long without a failure it forgets them all.
    """

    bears: int
    first: timedelta
    longest: timedelta
    forgets: timedelta

    def wait(self, failures: int) -> timedelta:
        """How long the door stays shut after its last failure.

        >>> patient = Patience(5, timedelta(seconds=2), timedelta(seconds=30), timedelta(hours=1))
        >>> [patient.wait(number).seconds for number in (5, 6, 7, 8, 9, 10, 400)]
        [0, 2, 4, 8, 16, 30, 30]
        """
        beyond = failures - self.bears
        if beyond < 1:
            return timedelta(0)
        return min(self.longest, self.first * 2 ** min(beyond - 1, 20))


# A code of six characters is one of 190 million: at 800 guesses a day, the most that these numbers
# let one address have, one of a hundred codes is found in six years. A class that comes from one
# address may mistype it sixty times first: thirty people, twice each.
CODES = Patience(60, timedelta(seconds=2), timedelta(minutes=2), timedelta(hours=4))


class Shut(ValueError):
    """A door that waits: `seconds` says how long, and the message too."""

    def __init__(self, left: timedelta) -> None:
        self.seconds = max(1, -(-int(left.total_seconds() * 1000) // 1000))
        super().__init__(_words(self.seconds))


def _words(seconds: int) -> Words:
    """How long to wait, in seconds or minutes."""
    if seconds <= 90:
        return say_many(
            "Too many wrong tries. Wait {number} second, then try again.",
            "Too many wrong tries. Wait {number} seconds, then try again.",
            seconds,
        )
    return say_many(
        "Too many wrong tries. Wait {number} minute, then try again.",
        "Too many wrong tries. Wait {number} minutes, then try again.",
        -(-seconds // 60),
    )


def must_be_open(*, door: str, patience: Patience, now: datetime) -> None:
    """Raises Shut while a door waits."""
    failures = Failures.objects.filter(door=door).first()
    if failures:
        _must_be_open(failures, patience, now)


def note_failure(*, door: str, patience: Patience, now: datetime, tries: int = 1) -> None:
    """Count a failure, or several of one try."""
    with transaction.atomic():
        _count(_locked(door, now), patience, now, tries)


def knock(*, door: str, patience: Patience, now: datetime, tries: int = 1) -> None:
    """Count a try before it is known whether it fails, so that tries sent at once are no more than
    tries sent one by one; `take_back` or `forget` follows where it did not fail. Raises Shut, and
    then counts nothing.
    """
    with transaction.atomic():
        failures = _locked(door, now)
        _must_be_open(failures, patience, now)
        _count(failures, patience, now, tries)


def look(
    *, door: str, patience: Patience, now: datetime, find: Callable[[], Found | None], guess: str
) -> Found | None:
    """What somebody's guess finds; nothing is a failure, which is counted, the same guess once: it
    tells no more, and phones repeat themselves. Once a door waits, one guess is looked at after the
    other, so that guesses sent at once gain nothing. Raises Shut.
    """
    before = Failures.objects.filter(door=door).first()
    if before is None or _number(before, patience, now) < patience.bears:
        found = find()
        if found is None and _is_new(f"{door}: {guess}", patience, now):
            note_failure(door=door, patience=patience, now=now)
        return found
    with transaction.atomic():
        failures = _locked(door, now)
        _must_be_open(failures, patience, now)
        found = find()
        if found is None and _is_new(f"{door}: {guess}", patience, now):
            _count(failures, patience, now, 1)
    return found


def _is_new(guess: str, patience: Patience, now: datetime) -> bool:
    """Whether a guess was not made at its door lately; noted as made now."""
    row, is_new = Failures.objects.get_or_create(door=guess, defaults={"last_at": now})
    if is_new or now - row.last_at < patience.forgets:
        return is_new
    Failures.objects.filter(pk=row.pk).update(last_at=now)
    return True


def take_back(*, door: str, tries: int = 1) -> None:
    """A try that did not fail."""
    with transaction.atomic():
        failures = Failures.objects.select_for_update().filter(door=door).first()
        if failures:
            failures.number = max(0, failures.number - tries)
            failures.save(update_fields=["number"])


def forget(*, door: str) -> None:
    """Whoever the door is for came in: what failed before was theirs, or did no harm."""
    Failures.objects.filter(door=door).delete()


def _locked(door: str, now: datetime) -> Failures:
    """The row of a door, made where there is none; others that are old go."""
    failures, is_new = Failures.objects.select_for_update().get_or_create(
        door=door, defaults={"last_at": now}
    )
    if is_new:
        Failures.objects.filter(last_at__lt=now - LONGEST_KEPT).delete()
    return failures


def _must_be_open(failures: Failures, patience: Patience, now: datetime) -> None:
    left = failures.last_at + patience.wait(_number(failures, patience, now)) - now
    if left > timedelta(0):
        raise Shut(left)


def _number(failures: Failures, patience: Patience, now: datetime) -> int:
    """The failures that a door still remembers."""
    return 0 if now - failures.last_at >= patience.forgets else int(failures.number)


def _count(failures: Failures, patience: Patience, now: datetime, tries: int) -> None:
    failures.number = _number(failures, patience, now) + tries
    failures.last_at = now
    failures.save(update_fields=["number", "last_at"])
