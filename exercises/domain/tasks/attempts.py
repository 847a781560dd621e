"""Which of a person's attempts at a task counts, and which one a phone talks about."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Attempt:
    """One attempt: `number` counts a person's attempts at a task from 1. `key` is whatever it is
    known by; `is_graded` says whether it could be read at all. `stored_at` is when it was stored,
    after which its person may have been told something; None where that was not noted.
    """

    key: int
    person: str
    task: str
    number: int
    received_at: datetime.datetime
    is_late: bool = False
    is_paper: bool = False
    is_graded: bool = True
    stored_at: datetime.datetime | None = None


def numbered(attempts: Iterable[Attempt]) -> list[Attempt]:
    """Attempts, those of a person who went by two names numbered anew by their arrival: under each
    name they began with 1. All others keep their numbers.
    """
    attempts = list(attempts)
    tries: dict[tuple[str, str], list[Attempt]] = {}
    for attempt in attempts:
        tries.setdefault((attempt.person, attempt.task), []).append(attempt)
    anew = {
        attempt.key: replace(attempt, number=number)
        for tried in tries.values()
        if len({attempt.number for attempt in tried}) < len(tried)
        for number, attempt in enumerate(_in_order(tried), start=1)
    }
    return [anew.get(attempt.key, attempt) for attempt in attempts]


def _in_order(attempts: Iterable[Attempt]) -> list[Attempt]:
    """Attempts in the order in which they arrived."""
    return sorted(attempts, key=lambda attempt: (attempt.received_at, attempt.key))


def counting(
    attempts: Iterable[Attempt],
    first_counts: Mapping[str, bool],
    released_at: datetime.datetime | None,
) -> list[Attempt]:
    """Of each person's attempts at each task of `first_counts` the one that counts, in order of
    arrival.

    The first where a hint or the answer is told after it, because later ones know more; the last
    where feedback waits for the end: `first_counts` says which, by task. One that came late, or
    after the release, counts only where there is no other: it may have been copied from the answer.
    Of those typed from one sheet only the last is what the sheet says: the others were slips of
    whoever typed.
    """

    def rank(attempt: Attempt) -> tuple[bool, bool, int]:
        knows = released_at is not None and attempt.received_at >= released_at
        is_first = first_counts[attempt.task] or knows
        return knows, attempt.is_late, attempt.number if is_first else -attempt.number

    asked = [attempt for attempt in as_on_sheets(attempts) if attempt.task in first_counts]
    ranked = sorted((attempt for attempt in asked if attempt.is_graded), key=rank, reverse=True)
    return _by_arrival({(attempt.person, attempt.task): attempt for attempt in ranked})


def tries(attempts: Iterable[Attempt]) -> Mapping[tuple[str, str], int]:
    """How often each person tried each task knowing what the try before let them know, by (person,
    task): attempts that arrived before the first of them had been stored are one try.

    A phone without signal sends all that its person typed at once, and who sends two attempts at
    once to be told the answer after the second has skipped the hint: neither knew more at the
    second than at the first.
    """
    counted: dict[tuple[str, str], int] = {}
    told_at: dict[tuple[str, str], datetime.datetime] = {}
    for attempt in sorted(attempts, key=lambda attempt: attempt.number):
        of = attempt.person, attempt.task
        if attempt.is_graded and (of not in told_at or attempt.received_at > told_at[of]):
            counted[of] = counted.get(of, 0) + 1
            told_at[of] = attempt.stored_at or attempt.received_at
    return counted


def as_on_sheets(attempts: Iterable[Attempt]) -> list[Attempt]:
    """Attempts without those typed from paper that were typed anew, or taken back, since."""
    attempts = list(attempts)
    last = {
        (attempt.person, attempt.task): attempt
        for attempt in sorted(attempts, key=lambda attempt: attempt.number)
        if attempt.is_paper
    }
    return [
        attempt
        for attempt in attempts
        if not attempt.is_paper or last[attempt.person, attempt.task] is attempt
    ]


def latest(attempts: Iterable[Attempt], tasks: Collection[str]) -> list[Attempt]:
    """Of each person's attempts at some tasks the last that can be graded, in order of arrival:
    what a phone talks about.
    """
    ordered = sorted(attempts, key=lambda attempt: attempt.number)
    return _by_arrival(
        {
            (attempt.person, attempt.task): attempt
            for attempt in ordered
            if attempt.is_graded and attempt.task in tasks
        }
    )


def _by_arrival(chosen: Mapping[tuple[str, str], Attempt]) -> list[Attempt]:
    """Chosen attempts in the order in which they arrived."""
    return _in_order(chosen.values())
