"""What people say about a reading after it was given: replies to a question, and what truly
happened. Append-only.
"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from ..domain.diagnosis.questions import QUESTIONS
from ..domain.tasks.reading import Reply as DomainReply
from . import promised
from .course_class import CourseClass
from .reading import Reading


class SaidIsKept(TypeError):
    """Somebody tried to change what was said of a reading."""


class Said(models.Model):
    """What both have: stored once by the number that a phone or a page made for it."""

    client_id = models.UUIDField()
    measured_at = models.DateTimeField(null=True)  # the phone's clock
    received_at = models.DateTimeField()

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        """Store what is new; what is there stays as it is."""
        if self.pk is not None:
            raise SaidIsKept("What was said of a reading is never changed.")
        super().save(*args, **kwargs)


class Reply(Said):
    """A reply to the one question that may be asked about a reading, by the codes of
    `domain.diagnosis.questions`; `said` is empty where it was passed over.
    """

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="replies")
    reading = models.OneToOneField(Reading, on_delete=models.CASCADE, related_name="reply")
    question = models.CharField(max_length=16)
    said = models.CharField(max_length=16, blank=True)

    class Meta:
        ordering = ["received_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                "course_class", "client_id", name="reply_sent_twice_is_stored_once"
            ),
            promised.known("reply", "question", QUESTIONS),
        ]

    def __str__(self):
        return f"{self.question}: {self.said or 'passed over'}"

    def as_domain(self):
        """The reply as plain values."""
        return DomainReply(self.question, self.said)


class Label(Said):
    """What truly happened, said by whoever was there: a cause, as in exports. The last one of a
    reading counts. `was_cause` and `was_probability` are what the diagnosis said when it was given,
    so that one can see how often that is right.
    """

    class By(models.TextChoices):
        """Who says so."""

        PERSON = "person", "the person"
        INSTRUCTOR = "instructor", "the instructor"

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="labels")
    reading = models.ForeignKey(Reading, on_delete=models.CASCADE, related_name="labels")
    cause = models.CharField(max_length=100)
    was_cause = models.CharField(max_length=100)
    was_probability = models.FloatField()
    said_by = models.CharField(max_length=10, choices=By)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True)

    class Meta:
        ordering = ["received_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                "course_class", "client_id", name="label_sent_twice_is_stored_once"
            ),
            models.CheckConstraint(
                condition=Q(said_by__in=["person", "instructor"]), name="label_by_somebody"
            ),
            models.CheckConstraint(
                condition=Q(was_probability__gte=0, was_probability__lte=1),
                name="label_of_a_probability",
            ),
            *promised.filled("label", "cause", "was_cause"),
        ]

    def __str__(self):
        return self.cause
