"""What a new password must not be, beside what Django refuses."""

from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from .load_demo import PASSWORD


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
