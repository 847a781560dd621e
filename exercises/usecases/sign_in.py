"""The instructors' door: whether a name and a password may be tried now.

A stranger who guesses is slowed by account and by address, and shuts neither for its owner: a
browser in which an account has signed in before holds a token, and is counted by itself.
Source: OWASP, “Slow Down Online Guessing Attacks with Device Cookies”.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser
from django.core import signing

from ..domain.words import say
from . import guard_door, hold_sessions
from .guard_door import Patience
from .load_demo import PASSWORD, USERNAME

# Whoever mistypes needs a handful of tries; 5 minutes are 288 guesses a day, which no password
# that is taken here falls to. Several instructors may share an address.
ACCOUNT = Patience(5, timedelta(seconds=2), timedelta(minutes=5), timedelta(hours=12))
ADDRESS = Patience(20, timedelta(seconds=2), timedelta(minutes=5), timedelta(hours=12))
KNOWN = Patience(10, timedelta(seconds=2), timedelta(minutes=1), timedelta(hours=1))
SALT, KNOWN_DAYS = "navclass.known-browser", 400
LETTERS = Patience(3, timedelta(minutes=1), timedelta(hours=1), timedelta(hours=12))


class DemonstrationsPassword(ValueError):
    """The password that stands in the program. The message says what to do."""


@dataclass(frozen=True)
class Trying:
    """Somebody who tries to sign in: the name as typed, where from, and the token of a browser that
    the account has signed in with before, or nothing.
    """

    name: str
    address: str
    token: str = ""

    def doors(self) -> Iterable[tuple[str, Patience]]:
        """The doors that they stand before."""
        known = _browser_of(self.token, self.name)
        if known:
            return [(f"sign in browser {known}", KNOWN)]
        return [(_account_door(self.name), ACCOUNT), (f"sign in from {self.address}", ADDRESS)]


def knock(*, trying: Trying, password: str, now: datetime) -> None:
    """Count a try, before the password is looked at, which takes a third of a second of computing.
    Raises Shut, or DemonstrationsPassword.
    """
    if password == PASSWORD and not settings.DEMONSTRATION:
        raise DemonstrationsPassword(
            say(
                "That is the demonstration's password, which everybody can read. Ask who runs "
                "this server for a link to one of your own."
            )
        )
    for door, patience in trying.doors():
        guard_door.must_be_open(door=door, patience=patience, now=now)
    for door, patience in trying.doors():
        guard_door.knock(door=door, patience=patience, now=now)


def came_in(*, trying: Trying) -> None:
    """The password was right: the account's door forgets, that of the address only this try, or
    whoever has an account here could go on guessing others' for ever.
    """
    for door, patience in trying.doors():
        if patience is ADDRESS:
            guard_door.take_back(door=door)
        else:
            guard_door.forget(door=door)


def say_again(*, account: AbstractUser, now: datetime) -> None:
    """Count who says the password once more while signed in: whoever finds a browser open must not
    guess it there. `said_again` follows where it was right. Raises Shut.
    """
    guard_door.knock(door=_said_again_door(account), patience=KNOWN, now=now)


def said_again(*, account: AbstractUser) -> None:
    """It was right."""
    guard_door.forget(door=_said_again_door(account))


def _said_again_door(account: AbstractUser) -> str:
    return f"password of {account.pk}"


def let_in_by_link(*, name: str) -> None:
    """Who chose a new password by a link need not wait for what strangers did."""
    guard_door.forget(door=_account_door(name))


def ask_for_letter(*, email: str, address: str, now: datetime) -> None:
    """Count who asks for mail, to whom and where from. Raises Shut."""
    for door in (f"letter to {_digest(email)}", f"letter from {address}"):
        guard_door.knock(door=door, patience=LETTERS, now=now)


def token_for(*, name: str, token: str = "") -> str:
    """What a browser may hold in which an account has signed in; one that it holds goes on."""
    known = _browser_of(token, name) or secrets.token_urlsafe(12)
    return str(signing.dumps([_digest(name), known], salt=SALT))


def end_demonstration() -> None:
    """Who signed in with the demonstration's password is so no longer."""
    account: AbstractUser | None = get_user_model().objects.filter(username=USERNAME).first()
    if account and account.check_password(PASSWORD):
        hold_sessions.end_all(user=account)


def _browser_of(token: str, name: str) -> str:
    """Which browser of an account a token names; empty for none."""
    try:
        whose, browser = signing.loads(token, salt=SALT, max_age=KNOWN_DAYS * 86_400)
    except (signing.BadSignature, ValueError, TypeError):
        return ""
    return str(browser) if whose == _digest(name) else ""


def _account_door(name: str) -> str:
    """The door of an account, whether or not there is one of that name."""
    return f"sign in as {_digest(name)}"


def _digest(text: str) -> str:
    return hashlib.sha256(text.strip().casefold().encode()).hexdigest()[:32]
