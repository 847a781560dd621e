"""A rotation that was kept for a class, and what was told of it while it ran."""

from datetime import timedelta

from django.db import models
from django.db.models import Q

from ..domain.running import rotation_seen, rotation_signals
from ..domain.running.rotation_plain import from_plain
from . import promised
from .course_class import CourseClass

SIGNALS = (rotation_signals.CHANGE, rotation_signals.MORE)
SAID = (rotation_seen.HERE, rotation_seen.GONE, rotation_seen.SKIPS)


class Rotation(models.Model):
    """A version of the rotation of a class. A plan is never changed: who is taken up again is so by
    a new version.

    `starts_at` is minute 0 of the plan, as planned until `started_at`, when somebody said that it
    starts then; `ended_at` is when it was ended before its time. `helpers` says by station who
    stands there.
    """

    course_class = models.ForeignKey(
        CourseClass, on_delete=models.CASCADE, related_name="rotations"
    )
    version = models.PositiveSmallIntegerField()
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=150)
    starts_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    plan = models.JSONField()  # rotation_plain.as_plain
    helpers = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-version"]
        constraints = [
            models.UniqueConstraint("course_class", "version", name="rotation_version_once"),
            models.CheckConstraint(
                condition=Q(ended_at=None) | Q(started_at__isnull=False),
                name="rotation_ended_when_started",
            ),
            promised.at_least("rotation", "version", 1),
            promised.in_order("rotation", "started_at", "ended_at"),
        ]

    def __str__(self):
        return f"{self.course_class_id}, version {self.version}"

    @property
    def is_running(self):
        """Whether it was started, and not ended."""
        return self.started_at is not None and self.ended_at is None

    def as_domain(self):
        """The rotation as planned."""
        return from_plain(self.plan)

    def minute(self, moment):
        """The minute of the rotation at a moment."""
        return (moment - self.starts_at).total_seconds() / 60.0

    def moment(self, minute):
        """The moment of a minute of the rotation."""
        return self.starts_at + timedelta(minutes=minute)


class RotationMark(models.Model):
    """A signal, or what a helper said of a group. Rows are only added; `marked_at` is by the
    helper's own clock, put right.
    """

    rotation = models.ForeignKey(Rotation, on_delete=models.CASCADE, related_name="marks")
    client_id = models.UUIDField()  # made on the helper's phone: sent twice it is stored once
    what = models.CharField(max_length=6, choices=[(code, code) for code in (*SIGNALS, *SAID)])
    round = models.PositiveSmallIntegerField(null=True, blank=True)  # of a signal, from 0
    group = models.CharField(max_length=30, blank=True)  # of what was said, and the station
    station = models.CharField(max_length=4, blank=True)
    by = models.CharField(max_length=150)
    marked_at = models.DateTimeField()
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["received_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                "rotation", "client_id", name="rotation_mark_sent_twice_is_stored_once"
            ),
            models.CheckConstraint(
                condition=Q(what__in=SIGNALS, round__isnull=False, group="", station="")
                | Q(what__in=SAID, round=None) & ~Q(group="") & ~Q(station=""),
                name="rotation_mark_has_what_it_needs",
            ),
        ]

    def __str__(self):
        return f"{self.what} {self.marked_at:%H:%M}"
