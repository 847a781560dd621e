"""Forms that an account sent, so that the same one twice acts once."""

from django.conf import settings
from django.db import models

from . import promised


class SentForm(models.Model):
    """A form as it was sent, by a digest of it and of the token that its page gave it; `led_to` is
    the address to which its answer led, empty while it is being answered. Kept for a day.
    """

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="sent_forms"
    )
    digest = models.CharField(max_length=64)
    at = models.DateTimeField(db_index=True)
    led_to = models.TextField(blank=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint("user", "digest", name="form_sent_once_by_an_account"),
            *promised.filled("sent_form", "digest"),
        ]

    def __str__(self):
        return f"{self.user_id} {self.at}"
