"""A new password for who has forgotten theirs: a link that works once and not for long, and takes
nobody's old password.
"""

from __future__ import annotations

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser
from django.contrib.auth.tokens import default_token_generator
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from ..domain.words import say


class NoAccount(ValueError):
    """A name that no account has, or one that is taken. The message says what to do."""


def account_named(*, name: str) -> AbstractUser:
    """The account that signs in with a name. Raises NoAccount."""
    try:
        account: AbstractUser = get_user_model().objects.get_by_natural_key(name)
    except get_user_model().DoesNotExist as error:
        raise NoAccount(
            say("No account is called {name}. Capitals count. To make one, give --new.", name=name)
        ) from error
    return account


def new_account(*, name: str) -> AbstractUser:
    """A new account without a password: nobody signs in with it before they choose one. Raises
    NoAccount for a name that is taken.
    """
    accounts = get_user_model().objects
    if accounts.filter(username=name).exists():
        raise NoAccount(
            say("An account is called {name} already. Leave out --new for a link.", name=name)
        )
    account: AbstractUser = accounts.create_user(name)
    return account


def link_parts(*, account: AbstractUser) -> tuple[str, str]:
    """The two parts of a link's address. It holds until it was used, the account signed in, or a
    day went by (PASSWORD_RESET_TIMEOUT).
    """
    uid = urlsafe_base64_encode(force_bytes(account.pk))
    return uid, default_token_generator.make_token(account)
