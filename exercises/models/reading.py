"""One answer as given: append-only."""

from datetime import timedelta
from functools import lru_cache

from django.apps import apps
from django.conf import settings
from django.db import models
from django.db.models import OuterRef, Q, Subquery

from ..domain.diagnosis.questions import LABEL
from ..domain.earth.angle_units import DEGREES, UNITS, unit_of
from ..domain.tasks import reading as domain
from ..domain.tasks.attempts import Attempt
from ..domain.tasks.forms import UNREADABLE
from ..domain.tasks.site import Compass
from . import promised
from .course_class import CourseClass, Person
from .prepared import given_fields, write

BELIEVED = timedelta(
    hours=12
)  # a phone without signal may send late; one whose clock is further off is not believed
PROBLEMS = [error.__name__ for error in UNREADABLE]


class ReadingIsKept(TypeError):
    """Somebody tried to change or delete a reading."""


class ReadingQuerySet(models.QuerySet):
    """What belongs to readings, fetched along in the same query."""

    def of(self, people):
        """Those of some people, under whatever name they sent them."""
        return self.filter(Q(person__in=people) | Q(person__same_as__in=people))

    def with_said(self):
        """With their people and whom these are second names of, the replies to questions, and
        what somebody said truly happened.
        """
        label = apps.get_model("exercises", "Label").objects.filter(reading=OuterRef("pk"))
        last = label.order_by("-received_at", "-pk").values("cause")[:1]
        return self.select_related("person__same_as", "reply").annotate(label=Subquery(last))

    def of_whole_class(self):
        """As `with_said`, for the readings of many people: each person is fetched once, in a query
        of its own, and not once for each of their readings.
        """
        people = apps.get_model("exercises", "Person").objects.select_related("same_as")
        fetched = models.Prefetch("person", people)
        return (
            self.with_said().select_related(None).select_related("reply").prefetch_related(fetched)
        )

    def keep(self, reading):
        """Store a new reading as the next attempt of its person at its task; whether it was new to
        its class. One statement, which the database can refuse, made by hand: nothing else is
        asked as often.
        """
        numbered = write(
            self.model,
            _keeping(self.model),
            reading,
            given_fields(self.model, ["attempt"]),
            reading.person_id,
            reading.task,
        )
        if numbered:
            reading.pk, reading.attempt = numbered
        return bool(numbered)


@lru_cache
def _keeping(model):
    """The statement that keeps a reading once, given its fields but the attempt, then person and
    task.
    """
    table = model._meta.db_table
    columns = [field.column for field in given_fields(model, ["attempt"])]
    return (
        f"INSERT INTO {table} ({', '.join(columns)}, attempt) "
        f"VALUES ({', '.join(['%s'] * len(columns))}, (SELECT COALESCE(MAX(attempt), 0) + 1 "
        f"FROM {table} WHERE person_id = %s AND task = %s)) "
        "ON CONFLICT (course_class_id, client_id) DO NOTHING RETURNING id, attempt"
    )


class Reading(models.Model):
    """A reading is never changed. It copies the compass as it was, so that results follow from
    readings and key alone.

    `problem` is empty for a reading that can be graded, else a code; the raw text is kept either
    way. `unit` is that of the compass it was made with, in which a bearing was asked; `value_mils`
    is set when the person said that a number asked in degrees is in mils. `measured_at` is the
    phone's clock, `received_at` ours.
    """

    class Source(models.TextChoices):
        """How it reached us."""

        PHONE = "phone", "phone"
        HANDED = "handed", "handed in by the instructor"
        PAPER = "paper", "typed from paper"
        DEMO = "demo", "demonstration"

    # by both it is found by what is unique below, or by arrival: every index costs each reading
    course_class = models.ForeignKey(
        CourseClass, on_delete=models.CASCADE, related_name="readings", db_index=False
    )
    person = models.ForeignKey(
        Person, on_delete=models.CASCADE, related_name="readings", db_index=False
    )
    client_id = models.UUIDField()
    task = models.CharField(max_length=8)
    text = models.CharField(max_length=40)
    unit = models.CharField(max_length=8, default=DEGREES.code)
    value_deg = models.FloatField(null=True)
    value_mils = models.FloatField(null=True)
    target = models.CharField(max_length=4, blank=True)
    east_m = models.FloatField(null=True)  # of a place, from the station, as is north_m
    north_m = models.FloatField(null=True)
    half_m = models.FloatField(null=True)  # half of what it was rounded to
    problem = models.CharField(max_length=20, blank=True)
    attempt = models.PositiveSmallIntegerField()
    measured_at = models.DateTimeField(null=True)
    received_at = models.DateTimeField()
    stored_at = models.DateTimeField(null=True)  # None where nothing was told after it
    is_late = models.BooleanField(default=False)
    source = models.CharField(max_length=6, choices=Source, default=Source.PHONE)
    typed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True
    )  # who typed it from paper
    compass_number = models.CharField(max_length=8, blank=True)
    compass_graduation_deg = models.FloatField(default=2)
    compass_declination_is_set = models.BooleanField(default=False)

    objects = ReadingQuerySet.as_manager()

    class Meta:
        ordering = ["received_at", "pk"]
        indexes = [models.Index(fields=["course_class", "received_at"], name="reading_by_arrival")]
        constraints = [
            models.UniqueConstraint(
                "course_class", "client_id", name="reading_sent_twice_is_stored_once"
            ),
            models.UniqueConstraint("person", "task", "attempt", name="reading_attempt_once"),
            models.CheckConstraint(
                condition=Q(value_deg=None) | Q(value_deg__gte=0, value_deg__lt=360),
                name="reading_on_the_circle",
            ),
            models.CheckConstraint(condition=Q(attempt__gte=1), name="reading_attempt_from_one"),
            *promised.filled("reading", "text"),
            promised.known("reading", "unit", UNITS),
            promised.known("reading", "source", ["phone", "handed", "paper", "demo"]),
            promised.known("reading", "problem", PROBLEMS, or_empty=True),
            promised.together("reading", "east_m", "north_m", "half_m"),
            promised.at_least("reading", "half_m", 0),
            promised.above_zero("reading", "compass_graduation_deg"),
        ]

    def __str__(self):
        return f"{self.task}: {self.text}"

    def save(self, *args, **kwargs):
        """Store a new reading; an old one stays as it is."""
        if self.pk is not None:
            raise ReadingIsKept("A reading is never changed. Store a new attempt instead.")
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        """Readings go only with their class."""
        raise ReadingIsKept("A reading is never deleted by itself.")

    @property
    def moment(self):
        """When it was made, for order and closeness in time: by the phone's clock where that is not
        far from ours, else when it came.
        """
        made = self.measured_at
        return (
            made
            if made and timedelta(0) <= self.received_at - made <= BELIEVED
            else self.received_at
        )

    @property
    def whose(self):
        """The person who gave it: where it was sent under a second name, the one behind it."""
        return self.person.same_as or self.person

    def instrument(self):
        """The compass as it was, for the domain."""
        return _compass(
            self.compass_graduation_deg, self.compass_declination_is_set, unit_of(self.unit)
        )

    def as_attempt(self):
        """What decides whether it counts, as plain values."""
        return Attempt(
            self.pk,
            str(self.whose.pk),
            self.task,
            self.attempt,
            self.received_at,
            is_late=self.is_late,
            is_paper=self.source == self.Source.PAPER,
            is_graded=not self.problem,
            stored_at=self.stored_at,
        )

    def as_domain(self, answer):
        """The reading of an answer's task as plain values, with what was said of it where it was
        fetched `with_said`: a label before a reply.
        """
        label = getattr(self, "label", None)
        reply = getattr(self, "reply", None) if hasattr(self, "label") else None
        said = domain.Reply(LABEL, label) if label else reply and reply.as_domain()
        return domain.Reading(
            str(self.whose.pk),
            self.task,
            answer.form.restore(self),
            self.compass_number,
            self.instrument(),
            text=self.text,
            moment=self.moment,
            is_late=self.is_late,
            key=self.pk,
            reply=said,
        )


# A class reads with a few kinds of compass, thousands of times.
_compass = lru_cache(maxsize=256, typed=True)(Compass)


class PaperEntry(models.Model):
    """One cell of the grid in which an instructor types answers from paper, before it is taken in
    as a reading; a second hand may type it once more.
    """

    course_class = models.ForeignKey(
        CourseClass, on_delete=models.CASCADE, related_name="paper_entries"
    )
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="paper_entries")
    task = models.CharField(max_length=8)
    hand = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=40)
    unit = models.CharField(max_length=8, default=DEGREES.code)
    typed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True)
    typed_at = models.DateTimeField()

    class Meta:
        ordering = ["person", "task", "hand"]
        constraints = [
            models.UniqueConstraint("person", "task", "hand", name="paper_entry_once_for_a_hand"),
            models.CheckConstraint(
                condition=Q(hand__in=[1, 2]), name="paper_entry_by_one_of_two_hands"
            ),
            *promised.filled("paper_entry", "task", "text"),
            promised.known("paper_entry", "unit", UNITS),
        ]

    def __str__(self):
        return f"{self.task}: {self.text}"
