"""What a new password must not be, beside what Django refuses."""

from __future__ import annotations

import re

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from .load_demo import PASSWORD

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
