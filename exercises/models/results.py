"""What the diagnosis made of a class, kept until its readings, its key or the model change."""

from django.conf import settings
from django.db import models

from ..domain.diagnosis import diagnosis
from .course_class import CourseClass


class Results(models.Model):
    """The diagnosis of one class. `fingerprint` tells what it was computed from: model, key and the
    readings that count.
    """

    course_class = models.OneToOneField(
        CourseClass, on_delete=models.CASCADE, related_name="results"
    )
    model_version = models.CharField(max_length=20)
    key_version = models.PositiveSmallIntegerField()
    readings_count = models.PositiveIntegerField()
    fingerprint = models.CharField(max_length=64)
    computed_at = models.DateTimeField()
    found = models.JSONField()
    known = models.JSONField(
        null=True,
        help_text="By which readings that come later are judged at once; apart, because every "
        "phone asks for it.",
    )
    counts = models.JSONField(
        null=True, help_text="What the class adds to the priors of its instructor's next."
    )

    class Meta:
        verbose_name_plural = "results"

    def __str__(self):
        return f"model {self.model_version}, key {self.key_version}"

    def as_domain(self):
        """The diagnosis; people go by their keys as text."""
        return diagnosis.from_plain({**self.found, "known": self.known, "counts": self.counts})


class Experience(models.Model):
    """From when on an instructor's own classes sharpen what is believed of the next; without a row,
    from the first.
    """

    instructor = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="experience"
    )
    since = models.DateTimeField()

    def __str__(self):
        return f"since {self.since:%Y-%m-%d}"
