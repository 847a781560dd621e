"""What both databases are asked: when something was last written, and what a backup leaves out."""

from __future__ import annotations

from datetime import UTC, datetime

# set by this server's clock when something of a class, a site or a kit comes in
MOMENTS = (
    ("exercises_reading", "received_at"),
    ("exercises_person", "joined_at"),
    ("exercises_courseclass", "opened_at"),
    ("exercises_courseclass", "closed_at"),
    ("exercises_courseclass", "removed_at"),
    ("exercises_courseclass", "names_purged_at"),
    ("exercises_key", "frozen_at"),
    ("exercises_trailentry", "at"),
    ("exercises_survey", "received_at"),
    ("exercises_observedbearing", "received_at"),
    ("exercises_headcountmark", "received_at"),
    ("exercises_rotationmark", "received_at"),
    ("exercises_fieldnote", "received_at"),
    ("exercises_kitentry", "at"),
    ("exercises_label", "received_at"),
)
SESSIONS = ("exercises_accountsession", "django_session")


def as_moment(found: str | datetime | None) -> str:
    """A moment as a database tells it, in ISO 8601 with UTC; empty for none.

    >>> as_moment("2026-10-03 09:30:00")
    '2026-10-03T09:30:00+00:00'
    """
    if not found:
        return ""
    moment = datetime.fromisoformat(found) if isinstance(found, str) else found
    return moment.replace(tzinfo=moment.tzinfo or UTC).astimezone(UTC).isoformat()
