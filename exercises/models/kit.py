"""A set of compasses that lives longer than one class, its log, and who has which compass."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .. import vocabulary
from ..domain.earth.angle_units import DEGREES
from ..domain.running import kit as domain
from . import promised
from .course_class import (
    DIALS,
    LEAST_GRADUATION_DEG,
    MOST_GRADUATION_DEG,
    CourseClass,
    Person,
)
from .organisation import Organisation

EVENTS = [event.value for event in domain.Event]
BOUGHT = RegexValidator(
    r"^[12][0-9]{3}(-(0[1-9]|1[0-2])(-(0[1-9]|[12][0-9]|3[01]))?)?$",
    _("Give a year or a day, such as 2024 or 2024-05-17."),
)


class KitQuerySet(models.QuerySet):
    """The words for whose kits they are."""

    def usable_by(self, user):
        """Those of an instructor, and those that an organisation of theirs shares."""
        shared = Q(organisation__in=user.organisations.all())
        return self.filter(Q(owner=user) | shared)


class Kit(models.Model):
    """A set of numbered compasses. It belongs to one instructor, who may share it."""

    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="kits"
    )
    organisation = models.ForeignKey(
        Organisation,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="kits",
        verbose_name=_("Shared with"),
    )
    name = models.CharField(_("Name"), max_length=80)

    objects = KitQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            *promised.filled("kit", "name"),
        ]

    def __str__(self):
        return self.name


class KitCompass(models.Model):
    """One compass of a kit, by its number. `withdrawn_at` follows its log, for who only asks
    whether it may be used.
    """

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="compasses")
    number = models.CharField(max_length=8)
    kind = models.CharField(_("Kind"), max_length=40, blank=True)
    graduation_deg = models.FloatField(
        default=2, validators=[MinValueValidator(0.5), MaxValueValidator(30)]
    )
    unit = models.CharField(max_length=8, choices=DIALS, default=DEGREES.code)
    is_adjustable = models.BooleanField(_("A declination can be set on it"), default=False)
    bought = models.CharField(_("Bought"), max_length=10, blank=True, validators=[BOUGHT])
    notes = models.TextField(_("Notes"), max_length=500, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["number", "pk"]
        constraints = [
            models.UniqueConstraint("kit", "number", name="kit_number_once_in_a_kit"),
            *promised.filled("kit_compass", "number"),
            promised.between(
                "kit_compass", "graduation_deg", LEAST_GRADUATION_DEG, MOST_GRADUATION_DEG
            ),
            promised.known("kit_compass", "unit", vocabulary.DIALS),
        ]

    def __str__(self):
        return self.number

    def log(self):
        """Its log as plain values, oldest first, by the query that was prefetched, if it was."""
        return [entry.as_domain() for entry in self.entries.all()]


class KitEntry(models.Model):
    """One line of a compass's log. Rows are never changed. `token` is whatever made it: sent twice
    it is stored once.
    """

    compass = models.ForeignKey(KitCompass, on_delete=models.CASCADE, related_name="entries")
    at = models.DateTimeField()
    by_name = models.CharField(max_length=150)
    event = models.CharField(max_length=10, choices=[(code, code) for code in EVENTS])
    offset_deg = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    error_deg = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    words = models.CharField(_("In words"), max_length=200, blank=True)
    course_class = models.ForeignKey(
        CourseClass, on_delete=models.SET_NULL, null=True, blank=True, related_name="kit_entries"
    )
    token = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        verbose_name_plural = "kit entries"
        constraints = [
            models.UniqueConstraint(
                "compass",
                "token",
                condition=~Q(token=""),
                name="kit_entry_sent_twice_is_stored_once",
            ),
            models.CheckConstraint(
                condition=Q(event__in=EVENTS),
                name="kit_entry_event_is_known",
            ),
            promised.between("kit_entry", "offset_deg", -180, 180),
            promised.at_least("kit_entry", "error_deg", 0),
        ]

    def __str__(self):
        return f"{self.event} {self.at:%Y-%m-%d}"

    def as_domain(self):
        """The entry as plain values."""
        return domain.Entry(
            domain.Event(self.event), self.at.date(), self.offset_deg, self.error_deg
        )


class Issue(models.Model):
    """A compass given out in a class, to a person or to a group by its name, and taken back. Whose
    name was taken out of the class leaves no name here.
    """

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="issues")
    compass = models.ForeignKey(KitCompass, on_delete=models.CASCADE, related_name="issues")
    person = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="issues"
    )
    group_name = models.CharField(max_length=30, blank=True)
    issued_at = models.DateTimeField()
    issued_by = models.CharField(max_length=150)
    returned_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["issued_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                "compass", condition=Q(returned_at=None), name="compass_out_only_once_at_a_time"
            ),
            promised.in_order("issue", "issued_at", "returned_at"),
        ]

    def __str__(self):
        return f"{self.compass_id} {self.issued_at:%Y-%m-%d %H:%M}"
