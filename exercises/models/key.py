"""The frozen answers of a class."""

from functools import cached_property

from django.conf import settings
from django.db import models

from ..domain.diagnosis import compass_known, priors
from ..domain.diagnosis.residuals import Evidence
from ..domain.tasks import key as domain
from . import promised
from .course_class import CourseClass


class Key(models.Model):
    """One version of a class's key: the answers with all that they came from, the point names, who
    froze it, and why. Never changed.
    """

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="keys")
    version = models.PositiveSmallIntegerField()
    frozen_at = models.DateTimeField()
    frozen_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    reason = models.CharField(max_length=200)
    answers = models.JSONField()
    dropped = models.JSONField(
        default=list, blank=True, help_text="Labels of tasks that no longer count."
    )
    points = models.JSONField(
        help_text="By code: name, mark, latitude, longitude, elevation_m, accuracy_m, as they were."
    )
    priors = models.JSONField(
        default=dict,
        blank=True,
        help_text="What was believed of the class when it opened; empty for the stated ones.",
    )
    compasses = models.JSONField(
        default=dict,
        blank=True,
        help_text="What the log of its kit told of compasses when it opened, by number.",
    )

    class Meta:
        ordering = ["-version"]
        constraints = [
            models.UniqueConstraint("course_class", "version", name="key_version_once_in_a_class"),
            *promised.filled("key", "reason"),
        ]

    def __str__(self):
        return f"version {self.version}"

    @cached_property
    def _answers(self):
        return domain.from_plain(self.answers)

    def as_domain(self):
        """The answers in order, those of dropped tasks included."""
        return self._answers

    @cached_property
    def evidence(self):
        """What is remembered of its answers from one judging of readings to the next."""
        return Evidence()

    def counted(self):
        """The answers of the tasks that count, in order."""
        return tuple(answer for answer in self.as_domain() if answer.task not in self.dropped)

    def stated(self):
        """The priors that were frozen with the key."""
        return priors.from_plain(self.priors)

    def known_compasses(self):
        """What was known of compasses when the class opened, by number."""
        return compass_known.from_plain(self.compasses)
