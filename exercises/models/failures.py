"""Failed attempts to get in."""

from django.db import models


class Failures(models.Model):
    """How often something secret was guessed wrong lately, at one door. Failures are counted, not
    requests: a whole class comes from one address.
    """

    door = models.CharField(max_length=80, unique=True)
    number = models.PositiveIntegerField(default=0)
    since = models.DateTimeField()

    class Meta:
        verbose_name_plural = "failures"

    def __str__(self):
        return f"{self.door}: {self.number}"
