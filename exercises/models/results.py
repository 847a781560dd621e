"""What the diagnosis made of a class, kept until its readings, its key or the model change."""

from functools import lru_cache

from django.conf import settings
from django.db import models

from ..domain.diagnosis import diagnosis
from .course_class import CourseClass
from .prepared import given_fields, write


class ResultsQuerySet(models.QuerySet):
    """Kept as they come."""

    def keep(self, results):
        """Store what was made of a class in place of what there was. All of it is made ready before
        the database is asked: no reading waits for that.
        """
        write(self.model, _keeping(self.model), results, given_fields(self.model))


@lru_cache
def _keeping(model):
    """The statement that puts results of a class in place of those before."""
    columns = [field.column for field in given_fields(model)]
    return (
        f"INSERT INTO {model._meta.db_table} ({', '.join(columns)}) "
        f"VALUES ({', '.join(['%s'] * len(columns))}) ON CONFLICT (course_class_id) DO UPDATE SET "
        + ", ".join(f"{column} = excluded.{column}" for column in columns)
    )


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

    objects = ResultsQuerySet.as_manager()

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
