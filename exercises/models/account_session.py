"""Where an account is signed in: Django's sessions, with what lets a person tell them apart."""

import hashlib
from datetime import datetime

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends import db
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models

BEGAN, USED, AGENT = "began_at", "used_at", "agent"  # what a session says of itself
LONGEST_AGENT = 300


class AccountSession(AbstractBaseSession):
    """A session. Its columns copy what its data say, so that those of an account can be listed and
    ended; a session without an account holds none of them.
    """

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="sessions"
    )
    began_at = models.DateTimeField(null=True)
    used_at = models.DateTimeField(null=True)
    agent = models.CharField(max_length=LONGEST_AGENT, blank=True)

    class Meta(AbstractBaseSession.Meta):
        abstract = False
        ordering = ["-used_at", "session_key"]

    def __str__(self):
        return f"{self.user_id} since {self.began_at}"

    @classmethod
    def get_session_store_class(cls):
        """The store that keeps these rows."""
        return SessionStore

    @property
    def name(self):
        """What a page may call it: its key is a secret."""
        return hashlib.sha256(self.session_key.encode()).hexdigest()[:24]


class SessionStore(db.SessionStore):
    """Django's store in the database, with our rows."""

    @classmethod
    def get_model_class(cls):
        """Our rows."""
        return AccountSession

    def create_model_instance(self, data):
        """A row with its columns filled from the session's data."""
        row = super().create_model_instance(data)
        row.user_id = data.get(SESSION_KEY)
        row.began_at, row.used_at = _moment(data.get(BEGAN)), _moment(data.get(USED))
        row.agent = data.get(AGENT, "")
        return row


def _moment(text):
    """A moment of a session's data, or None."""
    return datetime.fromisoformat(text) if text else None
