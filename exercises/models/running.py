"""A class while it is held: its groups, and counts of heads."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from ..domain.running import headcount as domain
from .course_class import CourseClass, Person


class CheckItem(models.Model):
    """One line of a class's own list of what is done before going out."""

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="checks")
    number = models.PositiveSmallIntegerField()
    words = models.CharField(max_length=200)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["number", "pk"]

    def __str__(self):
        return self.words


class Headcount(models.Model):
    """A count of heads: before, at a change, or after."""

    class Occasion(models.TextChoices):
        """When heads are counted."""

        BEFORE = "before", _("before going out")
        CHANGE = "change", _("at a change")
        AFTER = "after", _("after, when all are back")

    course_class = models.ForeignKey(
        CourseClass, on_delete=models.CASCADE, related_name="headcounts"
    )
    occasion = models.CharField(max_length=6, choices=Occasion)
    begun_at = models.DateTimeField()
    begun_by = models.CharField(max_length=150)

    class Meta:
        ordering = ["-begun_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(occasion__in=["before", "change", "after"]),
                name="headcount_occasion_is_known",
            )
        ]

    def __str__(self):
        return f"{self.occasion} {self.begun_at:%H:%M}"


class HeadcountMark(models.Model):
    """A name ticked, or its tick taken away. Rows are only added; the last word by the counter's
    own clock holds.
    """

    headcount = models.ForeignKey(Headcount, on_delete=models.CASCADE, related_name="marks")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="counted")
    client_id = models.UUIDField()  # made on the counter's phone, so that sending twice stores once
    is_here = models.BooleanField()
    by = models.CharField(max_length=150)
    marked_at = models.DateTimeField()
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["received_at", "pk"]
        constraints = [
            models.UniqueConstraint("headcount", "client_id", name="mark_sent_twice_is_stored_once")
        ]

    def __str__(self):
        return f"{self.person_id} {self.is_here}"

    def as_domain(self):
        """The mark as plain values."""
        return domain.Mark(str(self.person_id), self.is_here, self.by, self.marked_at, self.pk)
