"""A course: an ordered set of tasks on a site."""
import hashlib

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from ..domain import feedback, kinds, norths, site as domain
from ..domain.bands import Band
from .site import Point, Site

KIND_CHOICES = [(kind.code, translation.gettext_lazy(kind.name)) for kind in kinds.REGISTER.values()]
NORTH_CHOICES = [(north, translation.gettext_lazy(norths.NORTH_WORDS[north])) for north in norths.NORTHS]
FEEDBACK_CHOICES = [("", _("as the class has it")), *((code, translation.gettext_lazy(words)) for code, words in feedback.POLICIES.items())]


class Course(models.Model):
    """An ordered set of tasks."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="courses")
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [models.UniqueConstraint("site", "name", name="course_name_once_on_a_site",
                                               violation_error_message=_("This site has a course of that name already."))]

    def __str__(self):
        return self.name

    def fingerprint(self):
        """What its tasks were when a button was shown for all of them together."""
        return hashlib.sha256("|".join(task.fingerprint() for task in self.tasks.select_related("station", "target")).encode()).hexdigest()[:16]

    def as_domain(self):
        """The tasks in order, as plain values, in one query."""
        return [task.as_domain() for task in self.tasks.select_related("station", "target")]


class Task(models.Model):
    """One thing asked at a station."""

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="tasks")
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=KIND_CHOICES, default="sight")
    station = models.ForeignKey(Point, on_delete=models.PROTECT, related_name="tasks_here")
    target = models.ForeignKey(Point, on_delete=models.PROTECT, related_name="tasks_to", null=True, blank=True)
    north = models.CharField(_("Asked north"), max_length=10, choices=NORTH_CHOICES, default="magnetic")
    full_credit_deg = models.FloatField(_("Full credit within (degrees)"), default=5, validators=[MinValueValidator(0.5), MaxValueValidator(180)])
    part_credit_deg = models.FloatField(_("Part credit within (degrees)"), default=10, validators=[MinValueValidator(0.5), MaxValueValidator(180)])
    given_deg = models.FloatField(_("Given bearing"), null=True, blank=True, help_text=_("To convert: the bearing. To follow, or to turn round: leave it empty for the line's own."), validators=[MinValueValidator(0), MaxValueValidator(360)])
    given_north = models.CharField(_("North of the given bearing"), max_length=10, choices=NORTH_CHOICES, blank=True)
    feedback = models.CharField(_("The answer is told"), max_length=10, choices=FEEDBACK_CHOICES, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint("course", "number", name="task_number_once_in_a_course"),
            models.CheckConstraint(condition=Q(target=None) | ~Q(station=F("target")), name="task_station_is_not_target",
                                   violation_error_message=_("A station cannot be its own target. Choose another target.")),
            models.CheckConstraint(condition=Q(full_credit_deg__gt=0, part_credit_deg__gte=F("full_credit_deg")), name="task_band_makes_sense",
                                   violation_error_message=_("Part credit must reach at least as far as full credit.")),
        ]

    def __str__(self):
        return f"{self.number}"

    def fingerprint(self):
        """What a button of the check was shown for, so that it does not act on another task that got its number meanwhile."""
        return f"{self.kind} {self.station.code} {self.target.code if self.target else '-'} {self.north} {self.full_credit_deg:g} {self.part_credit_deg:g}"

    def as_domain(self):
        """The task as plain values."""
        return domain.Task(str(self.number), self.kind, self.station.code, self.target.code if self.target else "", self.north,
                           Band(self.full_credit_deg, self.part_credit_deg), self.given_deg, self.given_north, self.feedback)
