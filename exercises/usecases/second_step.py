"""A second step at sign-in, for accounts that want one: a code of an app, or a recovery code;
passkeys: `passkeys.py`.

Codes go by the clock: RFC 6238, SHA-1, six digits, steps of thirty seconds, through pyotp. One step
before and after is taken, as its section 5.2 advises, and no step twice.
"""

from __future__ import annotations

import base64
import hashlib
import secrets
from datetime import datetime, timedelta

import pyotp
from cryptography.fernet import Fernet, InvalidToken
from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.db import transaction
from django.utils.crypto import salted_hmac

from ..domain.words import say
from ..models import AuthenticatorApp, Passkey, RecoveryCode
from ..models.codes import ALPHABET
from . import guard_door
from .guard_door import Patience
from .sign_in import KNOWN, Trying

STEP_S, STEPS_AROUND, ISSUER = 30, 1, "navclass"
RECOVERY_CODES, RECOVERY_LETTERS = 10, 12  # of 24 letters: 55 bits
# Three codes of a million hold at a time. Who has the password already gets 24 guesses a day.
PATIENCE = Patience(5, timedelta(seconds=2), timedelta(hours=1), timedelta(hours=12))


class WrongCode(ValueError):
    """A code that does not hold. The message says what to do."""


def new_secret() -> str:
    """A secret for an app, in base32, 160 bits."""
    return pyotp.random_base32()


def address_of_secret(*, account: AbstractUser, secret: str) -> str:
    """What the picture says that an app reads (otpauth://)."""
    totp = pyotp.TOTP(secret)
    return str(totp.provisioning_uri(name=account.get_username(), issuer_name=ISSUER))


def matching_step(secret: str, code: str, now: datetime) -> int | None:
    """The step whose code this is, now or just before or after; None for none."""
    hotp, here = pyotp.HOTP(secret), int(now.timestamp()) // STEP_S
    around = range(max(0, here - STEPS_AROUND), here + STEPS_AROUND + 1)
    typed = "".join(code.split())
    return next((step for step in around if hotp.verify(typed, step)), None)


@transaction.atomic
def add_app(
    *, account: AbstractUser, secret: str, name: str, code: str, now: datetime
) -> list[str]:
    """Ask for codes of an app from now on; the code shows that it has the secret. Returns recovery
    codes for the first one, which are given out once, here. Raises WrongCode.
    """
    step = matching_step(secret, code, now)
    if step is None:
        raise WrongCode(
            say(
                "That is not the code that the app shows now. Check that the clocks of the phone "
                "and of this server are right."
            )
        )
    is_first = not is_asked(account)
    AuthenticatorApp.objects.create(
        user=account, name=name, sealed_secret=_sealed(secret), since=now, last_step=step
    )
    return new_recovery_codes(account=account) if is_first else []


@transaction.atomic
def remove_app(*, account: AbstractUser, key: int) -> None:
    """Ask for codes of an app no more; with the last second step recovery codes go. Twice changes
    nothing.
    """
    AuthenticatorApp.objects.filter(user=account, pk=key).delete()
    drop_codes_without_step(account)


def drop_codes_without_step(account: AbstractUser) -> None:
    """Recovery codes stand in for something: without it they go."""
    if not is_asked(account):
        RecoveryCode.objects.filter(user=account).delete()


@transaction.atomic
def take_off(*, account: AbstractUser) -> int:
    """Ask for no second step any more; returns how many apps and passkeys there were."""
    apps, _ = AuthenticatorApp.objects.filter(user=account).delete()
    passkeys, _ = Passkey.objects.filter(user=account).delete()
    drop_codes_without_step(account)
    return apps + passkeys


def is_asked(account: AbstractUser) -> bool:
    """Whether an account asks for a second step."""
    kinds = (AuthenticatorApp, Passkey)
    return any(kind.objects.filter(user=account).exists() for kind in kinds)


@transaction.atomic
def new_recovery_codes(*, account: AbstractUser) -> list[str]:
    """Ten new codes, given out once, here; those from before hold no more."""
    RecoveryCode.objects.filter(user=account).delete()
    codes = [
        "".join(map(secrets.choice, [ALPHABET] * RECOVERY_LETTERS)) for _ in range(RECOVERY_CODES)
    ]
    RecoveryCode.objects.bulk_create(
        RecoveryCode(user=account, digest=_digest(code)) for code in codes
    )
    return codes


def codes_left(account: AbstractUser) -> int:
    """How many recovery codes were not used."""
    return RecoveryCode.objects.filter(user=account, used_at=None).count()


def take_step(*, account: AbstractUser, code: str, trying: Trying, now: datetime) -> None:
    """Look at a code, counted before. Raises Shut, and WrongCode."""
    door = door_of(account, trying)
    guard_door.knock(door=door, patience=PATIENCE, now=now)
    if not (_is_code_of_app(account, code, now) or _is_recovery_code(account, code, now)):
        raise WrongCode(
            say("That code does not hold. Type the one that the app shows now, or a recovery code.")
        )
    guard_door.forget(door=door)


def door_of(account: AbstractUser, trying: Trying) -> str:
    """The door of an account; a browser in which it signed in before has its own."""
    known = next((door for door, patience in trying.doors() if patience is KNOWN), "")
    return f"second step of {account.pk} {known}"


@transaction.atomic
def _is_code_of_app(account: AbstractUser, code: str, now: datetime) -> bool:
    """Whether a code is one of an app that was not used; it is now."""
    for app in AuthenticatorApp.objects.select_for_update().filter(user=account):
        step = matching_step(_opened(app.sealed_secret), code, now)
        if step is not None and step > app.last_step:
            app.last_step = step
            app.save(update_fields=["last_step"])
            return True
    return False


def _is_recovery_code(account: AbstractUser, code: str, now: datetime) -> bool:
    """Whether a code is a recovery code that was not used; it is now."""
    unused = RecoveryCode.objects.filter(user=account, used_at=None, digest=_digest(code))
    return bool(unused.update(used_at=now))


def _digest(code: str) -> str:
    """What is kept of a recovery code: of no use without the server's key."""
    plain = "".join(filter(str.isalnum, code)).upper()
    return str(salted_hmac("navclass.recovery", plain, algorithm="sha256").hexdigest())


def _fernet() -> Fernet:
    key = hashlib.sha256(b"navclass.second-step" + settings.SECRET_KEY.encode()).digest()
    return Fernet(base64.urlsafe_b64encode(key))


def _sealed(secret: str) -> str:
    return _fernet().encrypt(secret.encode()).decode()


def _opened(sealed: str) -> str:
    """The secret; of another server's key one that no app has."""
    try:
        return _fernet().decrypt(sealed.encode()).decode()
    except InvalidToken:
        return new_secret()
