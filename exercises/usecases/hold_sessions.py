"""Where an account is signed in: since when, when it was last used there, and ending it."""

from __future__ import annotations

from collections.abc import MutableMapping
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth.models import AbstractUser

from ..models import AccountSession
from ..models.account_session import AGENT, BEGAN, LONGEST_AGENT, USED

NOTED_EVERY = timedelta(minutes=5)  # a write for each page would make reading pages slow

Session = MutableMapping[str, Any]


def begin(*, session: Session, agent: str, now: datetime) -> None:
    """Note that somebody signs in, with what their browser calls itself."""
    session[BEGAN] = session[USED] = now.isoformat()
    session[AGENT] = agent[:LONGEST_AGENT]


def note_use(*, session: Session, agent: str, now: datetime) -> None:
    """Note that a session is used, every few minutes. One that does not say when it began begins
    now.
    """
    if BEGAN not in session:
        begin(session=session, agent=agent, now=now)
    elif now - datetime.fromisoformat(session[USED]) >= NOTED_EVERY:
        session[USED] = now.isoformat()


def is_over(*, session: Session, longest: timedelta, idle: timedelta, now: datetime) -> bool:
    """Whether a session is older than it may get, or was not used for too long."""
    if BEGAN not in session:
        return False
    began, used = (datetime.fromisoformat(session[name]) for name in (BEGAN, USED))
    return now - began >= longest or now - used >= idle


def of_account(*, user: AbstractUser, now: datetime) -> list[AccountSession]:
    """Where an account is signed in, the last used first."""
    return list(AccountSession.objects.filter(user=user, expire_date__gt=now))


def end_session(*, user: AbstractUser, name: str) -> None:
    """Sign an account out in one place, by the name that its page gave it. Twice changes
    nothing.
    """
    keys = [row.session_key for row in AccountSession.objects.filter(user=user) if row.name == name]
    AccountSession.objects.filter(user=user, session_key__in=keys).delete()


def end_everybodys() -> None:
    """Sign every account out, everywhere."""
    AccountSession.objects.exclude(user=None).delete()


def end_all(*, user: AbstractUser, but: str | None = None) -> None:
    """Sign an account out everywhere, but in the session of a key."""
    AccountSession.objects.filter(user=user).exclude(session_key=but or "").delete()
