"""Who may do what in a class: roles, and the acts that they allow.

An owner made the class. A co-instructor may do everything but give roles and purge names. A helper
counts heads, watches, notes and types from paper, and sees no answer unless that was given. An
observer watches.
"""

from __future__ import annotations

from enum import StrEnum

OWNER, CO_INSTRUCTOR, HELPER, OBSERVER = "owner", "co_instructor", "helper", "observer"
ROLES = (OWNER, CO_INSTRUCTOR, HELPER, OBSERVER)
GIVEN = (CO_INSTRUCTOR, HELPER, OBSERVER)  # those that an owner gives


class Act(StrEnum):
    """What somebody may do in a class."""

    WATCH = "watch"  # see who is there and what comes in
    COUNT = "count"  # tick names of a headcount
    NOTE = "note"  # note what was seen at a station, and what was seen to
    PAPER = "paper"  # type in what was written on paper
    ANSWERS = "answers"  # see the key, and whatever shows an answer
    RUN = "run"  # open and close, print, correct, change people and settings, debrief
    PURGE = "purge"  # let names go for good
    ROLES = "roles"  # invite, and end a role


_HELPING = frozenset({Act.WATCH, Act.COUNT, Act.NOTE, Act.PAPER})
_ALLOWED = {
    OWNER: frozenset(Act),
    CO_INSTRUCTOR: frozenset(Act) - {Act.PURGE, Act.ROLES},
    HELPER: _HELPING,
    OBSERVER: frozenset({Act.WATCH}),
}


def may(role: str, act: Act, *, sees_answers: bool = False) -> bool:
    """Whether a role allows an act. `sees_answers` says that a helper was given the answers; an
    observer never is.

    >>> may(HELPER, Act.ANSWERS), may(HELPER, Act.ANSWERS, sees_answers=True)
    (False, True)
    """
    return act in _ALLOWED[role] or (role == HELPER and act == Act.ANSWERS and sees_answers)
