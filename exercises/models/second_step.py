"""What an account asks for at sign-in besides its password."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from . import promised

LONGEST_NAME = 40


class AuthenticatorApp(models.Model):
    """An app that shows codes by the clock (RFC 6238). Its secret is sealed with the server's key;
    `last_step` is the latest step of thirty seconds whose code was used: none is taken twice.
    """

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="authenticator_apps"
    )
    name = models.CharField(_("Name"), max_length=LONGEST_NAME)
    sealed_secret = models.TextField()
    since = models.DateTimeField()
    last_step = models.BigIntegerField()

    class Meta:
        ordering = ["since", "pk"]
        constraints = [*promised.filled("authenticator_app", "name", "sealed_secret")]

    def __str__(self):
        return self.name


class RecoveryCode(models.Model):
    """A code that stands in for the second step once. Only a digest is kept."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="recovery_codes"
    )
    digest = models.CharField(max_length=64)
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint("user", "digest", name="recovery_code_once_in_an_account"),
            *promised.filled("recovery_code", "digest"),
        ]

    def __str__(self):
        return f"{self.user_id} {self.used_at}"
