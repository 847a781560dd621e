"""What a new password must not be, beside what Django refuses."""

from __future__ import annotations

import re

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from zxcvbn import zxcvbn

from .load_demo import PASSWORD

LEAST_SCORE = 3  # of 0 to 4: from 100 million guesses on, too many for who stole the hashes
MOST_LETTERS = 72  # that are looked at; what is longer is judged by its beginning
# What somebody guesses first who knows what this server is for. The longer one comes first.
OURS = re.compile(
    "(?:navclass|navigation|navigator|orienteering|compasses|compass|bearings|bearing|azimuth|"
    "declination|magnetic|instructor|teacher|classes|class|course|station|reading|brujula|"
    "brújula|rumbo|azimut|profesor|clase|curso)+",
    re.IGNORECASE,
)
NO_LETTER = re.compile(r"[\W\d_]+")


class NotTheDemonstrations:
    """Refuses the password that stands in the program."""

    def validate(self, password: str, user: AbstractUser | None = None) -> None:
        """Raises ValidationError."""
        if password.strip().casefold() == PASSWORD:
            raise ValidationError(
                _("That is the demonstration's password, which everybody can read."),
                code="demonstration",
            )

    def get_help_text(self) -> str:
        """Django's hook for a form's help."""
        return str(_("Not the demonstration's password."))


class NotEasyToGuess:
    """Refuses what guessers try first: passwords known from breaches, names and words that are
    common, runs of the keyboard and years, alone or put together and with signs for letters.

    The estimate and its lists (30,000 passwords of breaches, 64,000 names and words) come with
    zxcvbn: D. Wheeler, “zxcvbn: Low-Budget Password Strength Estimation”, USENIX Security 2016.
    """

    def validate(self, password: str, user: AbstractUser | None = None) -> None:
        """Raises ValidationError."""
        own = [part for part in (user.get_username(), user.email) if part] if user else []
        if zxcvbn(password[:MOST_LETTERS], user_inputs=own)["score"] < LEAST_SCORE:
            raise ValidationError(
                _(
                    "That is easy to guess: it is known from breaches, or put together of what is. "
                    "Take three or four words that have nothing to do with each other."
                ),
                code="easy",
            )

    def get_help_text(self) -> str:
        """Django's hook for a form's help."""
        return str(_("Not one that is easy to guess."))


class NotOurWords:
    """Refuses a password of nothing but words of this program's own, with figures and signs about
    them: "Compass-class-2026".
    """

    def validate(self, password: str, user: AbstractUser | None = None) -> None:
        """Raises ValidationError."""
        if OURS.fullmatch(NO_LETTER.sub("", password)):
            raise ValidationError(
                _("That is made of words that anybody guesses here. Take words of other things."),
                code="our_words",
            )

    def get_help_text(self) -> str:
        """Django's hook for a form's help."""
        return str(_("Not of words about compasses and classes alone."))
