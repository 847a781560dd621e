"""Passkeys as a second step at sign-in, beside codes: made, used, taken away."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.core.cache import cache
from django.db import IntegrityError, transaction

from ..domain.words import say
from ..models import Passkey
from . import guard_door, passkey_ceremony, second_step
from .passkey_ceremony import Here, NotGenuine
from .sign_in import Trying

log = logging.getLogger("navclass.doors")
HOLDS = timedelta(minutes=5)  # a question to a browser


class NotAccepted(ValueError):
    """An answer of a browser that does not hold. The message says what to do."""


@dataclass(frozen=True)
class Question:
    """What a browser was asked, and when. It is answered once."""

    challenge: str
    asked_at: datetime


def handle_of(account: AbstractUser) -> str:
    """What devices know an account by: the same for all of its passkeys."""
    held = Passkey.objects.filter(user=account).values_list("user_handle", flat=True)
    return held.first() or passkey_ceremony.new_handle()


def to_create(
    *, account: AbstractUser, handle: str, question: Question, here: Here
) -> dict[str, Any]:
    """What to ask a browser for a new passkey."""
    return passkey_ceremony.to_create(
        here=here,
        challenge=question.challenge,
        handle=handle,
        account_name=account.get_username(),
        held=_held(account, here),
    )


def to_use(*, account: AbstractUser, question: Question, here: Here) -> dict[str, Any]:
    """What to ask a browser for a sign of one of an account's passkeys."""
    held = _held(account, here)
    return passkey_ceremony.to_use(here=here, challenge=question.challenge, held=held)


def are_here(account: AbstractUser, here: Here) -> bool:
    """Whether an account has passkeys of the name under which a browser is here."""
    return Passkey.objects.filter(user=account, rp_id=here.rp_id).exists()


def names_of_server(account: AbstractUser) -> list[str]:
    """The names of this server to which an account's passkeys belong."""
    return sorted(set(Passkey.objects.filter(user=account).values_list("rp_id", flat=True)))


def _held(account: AbstractUser, here: Here) -> list[str]:
    held = Passkey.objects.filter(user=account, rp_id=here.rp_id)
    return list(held.values_list("credential_id", flat=True))


@transaction.atomic
def add(
    *,
    account: AbstractUser,
    name: str,
    handle: str,
    answer: str,
    question: Question | None,
    here: Here,
    now: datetime,
) -> list[str]:
    """Ask for a passkey from now on. Returns recovery codes where it is the first second step,
    which are given out once, here. Raises NotAccepted.
    """
    challenge = _once(question, now)
    try:
        made = passkey_ceremony.created(answer=answer, here=here, challenge=challenge)
    except NotGenuine as error:
        raise NotAccepted(
            say("The browser made no passkey that fits this server. Try again, or set up an app.")
        ) from error
    is_first = not second_step.is_asked(account)
    _store(account, made, name=name, handle=handle, rp_id=here.rp_id, now=now)
    return second_step.new_recovery_codes(account=account) if is_first else []


def _store(
    account: AbstractUser,
    made: passkey_ceremony.Created,
    *,
    name: str,
    handle: str,
    rp_id: str,
    now: datetime,
) -> None:
    """Write the row; the database refuses an id that there is, of whichever account."""
    try:
        with transaction.atomic():
            Passkey.objects.create(
                user=account,
                name=name,
                rp_id=rp_id,
                credential_id=made.credential_id,
                user_handle=handle,
                public_key=made.public_key,
                sign_count=made.sign_count,
                since=now,
            )
    except IntegrityError as error:
        raise NotAccepted(say("This passkey is set up already. Choose another device.")) from error


@transaction.atomic
def remove(*, account: AbstractUser, key: int) -> None:
    """Take a passkey no more; with the last second step recovery codes go. Twice changes
    nothing.
    """
    Passkey.objects.filter(user=account, pk=key).delete()
    second_step.drop_codes_without_step(account)


def take(
    *,
    account: AbstractUser,
    answer: str,
    question: Question | None,
    here: Here,
    trying: Trying,
    now: datetime,
) -> None:
    """Look at what a passkey signed, counted before as a code is. Raises Shut, and NotAccepted."""
    challenge = _once(question, now)
    door = second_step.door_of(account, trying)
    guard_door.knock(door=door, patience=second_step.PATIENCE, now=now)
    try:
        _note_use(account, answer, challenge, here, now)
    except NotGenuine as error:
        raise NotAccepted(
            say(
                "That passkey does not let you in. Use one that is set up for this account, or "
                "type a code."
            )
        ) from error
    guard_door.forget(door=door)


@transaction.atomic
def _note_use(
    account: AbstractUser, answer: str, challenge: str, here: Here, now: datetime
) -> None:
    """Raises NotGenuine, and NotAccepted where the passkey's count goes back."""
    passkey = (
        Passkey.objects.select_for_update()
        .filter(user=account, rp_id=here.rp_id, credential_id=passkey_ceremony.id_in(answer))
        .first()
    )
    if passkey is None:
        raise NotGenuine
    count = passkey_ceremony.count_signed(
        answer=answer,
        here=here,
        challenge=challenge,
        public_key=passkey.public_key,
        handle=passkey.user_handle,
    )
    # section 6.1.1: of a device that counts, a copy gives itself away
    if (count or passkey.sign_count) and count <= passkey.sign_count:
        log.warning("a passkey counted backwards: passkey %s, account %s", passkey.pk, account.pk)
        raise NotAccepted(
            say(
                "This passkey counted backwards, as a copy of it would. Type a code, then remove "
                "it under “Your account”."
            )
        )
    passkey.sign_count, passkey.used_at = count, now
    passkey.save(update_fields=["sign_count", "used_at"])


def _once(question: Question | None, now: datetime) -> str:
    """The challenge of a question that is not old and was not answered before, nor by somebody who
    answers at this very moment. Raises NotAccepted.
    """
    if question and now - question.asked_at <= HOLDS:
        name = f"passkey_answered_{question.challenge}"
        if cache.add(name, True, int(HOLDS.total_seconds())):
            return question.challenge
    raise NotAccepted(say("That took longer than five minutes, or was sent twice. Try once more."))
