"""Codes that people type with wet fingers."""

import secrets

ALPHABET = "ACDEFHJKLMNPRTUVWXY34679"  # nothing that is mistaken for another letter on a wet card
CODE_LENGTH = 6


def new_code():
    """A code that is hard to guess and easy to type, for a class, a person or a station."""
    return "".join(secrets.choice(ALPHABET) for place in range(CODE_LENGTH))


def new_invitation_code():
    """A code that nobody guesses while it holds: a link is worth more than a class's code."""
    return new_code() + new_code()
