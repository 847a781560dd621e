"""What an account asks for at sign-in besides its password."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from . import promised

LONGEST_NAME = 40
# In base64url (RFC 4648, without padding). W3C Web Authentication Level 3: an id has at most 1023
# bytes (section 6.5.1), a user handle 64 (section 5.4.3), a counter 32 bits (section 6.1).
LONGEST_ID, LONGEST_HANDLE, LARGEST_COUNT = 1364, 86, 2**32 - 1
LONGEST_HOST = 253  # RFC 1035, as text


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


class Passkey(models.Model):
    """A key pair that a device or a security key holds for one name of this server (W3C Web
    Authentication). Here is its public half; bytes stand as base64url. `user_handle` is what the
    device knows the account by: random, the same for all of an account. `sign_count` is the last
    that it said; 0 where it counts nothing.
    """

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="passkeys"
    )
    name = models.CharField(_("Name"), max_length=LONGEST_NAME)
    rp_id = models.CharField(max_length=LONGEST_HOST)
    credential_id = models.CharField(max_length=LONGEST_ID)
    user_handle = models.CharField(max_length=LONGEST_HANDLE)
    public_key = models.TextField()
    sign_count = models.BigIntegerField()
    since = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["since", "pk"]
        constraints = [
            models.UniqueConstraint("credential_id", name="passkey_credential_once"),
            *promised.filled("passkey", "name", "rp_id", "credential_id"),
            *promised.filled("passkey", "user_handle", "public_key"),
            promised.between("passkey", "sign_count", 0, LARGEST_COUNT),
        ]

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
