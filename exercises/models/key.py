"""The frozen answers of a class."""
from django.conf import settings
from django.db import models

from ..domain import key as domain
from .course_class import CourseClass


class Key(models.Model):
    """One version of a class's key: the answers with all that they came from, the point names, who froze it, and why."""

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="keys")
    version = models.PositiveSmallIntegerField()
    frozen_at = models.DateTimeField()
    frozen_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    reason = models.CharField(max_length=200)
    answers = models.JSONField()
    points = models.JSONField(help_text="By code: name, mark, latitude, longitude, elevation_m, accuracy_m, as they were.")

    class Meta:
        ordering = ["-version"]
        constraints = [models.UniqueConstraint("course_class", "version", name="key_version_once_in_a_class")]

    def __str__(self):
        return f"version {self.version}"

    def as_domain(self):
        """The answers in order."""
        return domain.from_plain(self.answers)
