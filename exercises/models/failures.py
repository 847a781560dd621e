"""Failed attempts to get in."""

from django.db import models

from . import promised


class Failures(models.Model):
    """How often something was tried in vain lately at one door, and when last. Failures are counted
    rather than requests: a whole class comes from one address.
    """

    door = models.CharField(max_length=120, unique=True)
    number = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "failures"
        constraints = [
            *promised.filled("failures", "door"),
        ]

    def __str__(self):
        return f"{self.door}: {self.number}"
