"""A class while it is held: its list of what is done before, counts of heads, what was seen to and
noted.
"""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from ..domain.running import headcount as domain
from . import promised
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
        constraints = [
            *promised.filled("check_item", "words"),
            promised.at_least("check_item", "number", 1),
            models.CheckConstraint(
                condition=Q(done_at__isnull=False) | Q(done_by=""),
                name="check_item_done_by_somebody_is_done",
            ),
        ]

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


class SeenTo(models.Model):
    """Somebody saw to a first sign (`domain.running.first_signs`) while the class was out: what it
    was about may have changed then.
    """

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="seen_to")
    client_id = models.UUIDField()  # made on the phone, so that sending twice stores once
    sign = models.CharField(max_length=60)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    received_at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        verbose_name_plural = "seen to"
        constraints = [
            models.UniqueConstraint("course_class", "client_id", name="seen_to_sent_twice_is_one"),
            *promised.filled("seen_to", "sign"),
        ]

    def __str__(self):
        return f"{self.sign} {self.at:%H:%M}"


class FieldNote(models.Model):
    """Something that somebody noted while the class was out, perhaps of a station."""

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="notes")
    client_id = models.UUIDField()  # made on the phone, so that sending twice stores once
    station = models.CharField(max_length=4, blank=True)
    words = models.CharField(max_length=500)
    at = models.DateTimeField()
    by = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.UniqueConstraint("course_class", "client_id", name="note_sent_twice_is_one"),
            models.CheckConstraint(condition=~Q(words=""), name="note_says_something"),
        ]

    def __str__(self):
        return self.words[:40]
