"""A course: an ordered set of tasks on a site."""

import hashlib
from dataclasses import replace

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from .. import vocabulary
from ..domain.earth import norths
from ..domain.results import passing
from ..domain.surveying.traverse import parse_legs
from ..domain.tasks import kinds, site as domain, wants
from ..domain.tasks.bands import Band
from . import promised
from .site import Point, Site

KIND_CHOICES = [(code, translation.gettext_lazy(vocabulary.KINDS[code])) for code in kinds.REGISTER]
NORTH_CHOICES = [
    (north, translation.gettext_lazy(vocabulary.NORTHS[north])) for north in norths.NORTHS
]
FEEDBACK_CHOICES = [
    ("", _("as the class has it")),
    *((code, translation.gettext_lazy(words)) for code, words in vocabulary.POLICIES.items()),
]
ANGLE_CHOICES = [
    ("", _("as is usual for its kind")),
    *((code, translation.gettext_lazy(words)) for code, words in vocabulary.ANGLE_WAYS.items()),
]


def pass_share_field():
    """The share of the credit that passes, in percent; empty is no rule."""
    return models.PositiveSmallIntegerField(
        _("To pass, percent of the credit"),
        default=passing.USUAL_SHARE,
        null=True,
        blank=True,
        validators=[
            MinValueValidator(passing.LEAST_SHARE),
            MaxValueValidator(passing.MOST_SHARE),
        ],
        help_text=_("From 50 to 100; 80 is usual. Empty: nobody passes or fails."),
    )


class CourseQuerySet(models.QuerySet):
    """The words for which courses are there."""

    def kept(self):
        """Those that do not lie in the bin, by themselves or with their site."""
        return self.filter(removed_at=None, site__removed_at=None)


class Course(models.Model):
    """An ordered set of tasks."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="courses")
    name = models.CharField(max_length=80)
    pass_share = pass_share_field()
    archived_at = models.DateTimeField(null=True, blank=True, editable=False)
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = CourseQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                "site",
                "name",
                condition=Q(removed_at=None),
                name="course_name_once_on_a_site",
                violation_error_message=_("This site has a course of that name already."),
            ),
            *promised.filled("course", "name"),
            promised.between("course", "pass_share", passing.LEAST_SHARE, passing.MOST_SHARE),
        ]

    def __str__(self):
        return self.name

    def fingerprint(self):
        """What its tasks were when a button was shown for all of them together."""
        return hashlib.sha256(
            "|".join(
                task.fingerprint()
                for task in self.tasks.select_related("station", "target", "second", "third")
            ).encode()
        ).hexdigest()[:16]

    def as_domain(self):
        """The tasks in order, as plain values, in one query."""
        return [
            task.as_domain()
            for task in self.tasks.select_related("station", "target", "second", "third")
        ]


class Task(models.Model):
    """One thing asked at a station."""

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="tasks")
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=KIND_CHOICES, default="sight")
    station = models.ForeignKey(Point, on_delete=models.PROTECT, related_name="tasks_here")
    target = models.ForeignKey(
        Point, on_delete=models.PROTECT, related_name="tasks_to", null=True, blank=True
    )
    north = models.CharField(
        _("Asked north"), max_length=10, choices=NORTH_CHOICES, default="magnetic"
    )
    full_credit_deg = models.FloatField(
        _("Full credit within (degrees)"),
        default=5,
        validators=[MinValueValidator(0.5), MaxValueValidator(180)],
    )
    part_credit_deg = models.FloatField(
        _("Part credit within (degrees)"),
        default=10,
        validators=[MinValueValidator(0.5), MaxValueValidator(180)],
    )
    given_deg = models.FloatField(
        _("Given bearing"),
        null=True,
        blank=True,
        help_text=_(
            "To convert: the bearing. To follow, or to turn round: leave it empty for the line's "
            "own."
        ),
        validators=[MinValueValidator(0), MaxValueValidator(360)],
    )
    given_north = models.CharField(
        _("North of the given bearing"), max_length=10, choices=NORTH_CHOICES, blank=True
    )
    second = models.ForeignKey(
        Point, on_delete=models.PROTECT, related_name="tasks_by_second", null=True, blank=True
    )
    third = models.ForeignKey(
        Point, on_delete=models.PROTECT, related_name="tasks_by_third", null=True, blank=True
    )
    legs = models.CharField(
        _("Legs before the last one"),
        max_length=200,
        blank=True,
        help_text=_(
            "A bearing in the asked north and metres, such as 040 60; 130 45. The last leg leads "
            "to the target and is reckoned."
        ),
    )
    full_credit_m = models.FloatField(
        _("Full credit within (metres)"),
        default=domain.FULL_CREDIT_M,
        validators=[MinValueValidator(1), MaxValueValidator(1000)],
    )
    part_credit_m = models.FloatField(
        _("Part credit within (metres)"),
        default=domain.PART_CREDIT_M,
        validators=[MinValueValidator(1), MaxValueValidator(1000)],
    )
    feedback = models.CharField(
        _("The answer is told"), max_length=10, choices=FEEDBACK_CHOICES, blank=True
    )

    angle_way = models.CharField(
        _("The angle between the norths"),
        max_length=10,
        choices=ANGLE_CHOICES,
        blank=True,
        help_text=_(
            "Of a task that turns a bearing from one north to another. Usual: told on phone, card "
            "and sheet; where one works on the map, to be found there."
        ),
    )

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint("course", "number", name="task_number_once_in_a_course"),
            models.CheckConstraint(
                condition=Q(target=None) | ~Q(station=F("target")),
                name="task_station_is_not_target",
                violation_error_message=_(
                    "A station cannot be its own target. Choose another target."
                ),
            ),
            models.CheckConstraint(
                condition=Q(full_credit_deg__gt=0, part_credit_deg__gte=F("full_credit_deg")),
                name="task_band_makes_sense",
                violation_error_message=_("Part credit must reach at least as far as full credit."),
            ),
            models.CheckConstraint(
                condition=Q(full_credit_m__gt=0, part_credit_m__gte=F("full_credit_m")),
                name="task_band_in_metres_makes_sense",
                violation_error_message=_("Part credit must reach at least as far as full credit."),
            ),
            promised.at_least("task", "number", 1),
            promised.known("task", "kind", kinds.REGISTER),
            promised.known("task", "north", norths.NORTHS),
            promised.known("task", "given_north", norths.NORTHS, or_empty=True),
            promised.known("task", "feedback", vocabulary.POLICIES, or_empty=True),
            promised.known("task", "angle_way", vocabulary.ANGLE_WAYS, or_empty=True),
            promised.between("task", "given_deg", 0, 360),
            promised.between("task", "part_credit_deg", 0, 180),
            promised.between("task", "part_credit_m", 0, 1000),
        ]

    def __str__(self):
        return f"{self.number}"

    @property
    def limits(self):
        """Full and part credit with their unit: (number, number, "deg" or "m"), as its kind's band
        is kept.
        """
        if wants.METRES in kinds.kind_of(self.kind).wants:
            return self.full_credit_m, self.part_credit_m, "m"
        return self.full_credit_deg, self.part_credit_deg, "deg"

    @property
    def more(self):
        """Further points of a position from bearings."""
        return [point for point in (self.second, self.third) if point]

    @property
    def ends(self):
        """Where it begins and where it leads: two texts, the latter perhaps empty."""
        begin, end = kinds.kind_of(self.kind).ends(
            str(self.station),
            str(self.target or ""),
            [point.code for point in self.more],
        )
        return ", ".join(begin), ", ".join(end)

    def fingerprint(self):
        """What a button of the check was shown for, so that it does not act on another task that
        got its number meanwhile.
        """
        plain = replace(self.as_domain(), label="")  # it may have moved
        return hashlib.sha256(repr(plain).encode()).hexdigest()[:16]

    def as_domain(self):
        """The task as plain values."""
        return domain.Task(
            str(self.number),
            self.kind,
            self.station.code,
            self.target.code if self.target else "",
            self.north,
            Band(self.full_credit_deg, self.part_credit_deg),
            self.given_deg,
            self.given_north,
            self.feedback,
            tuple(point.code for point in self.more),
            parse_legs(self.legs),
            self.full_credit_m,
            self.part_credit_m,
            self.angle_way,
        )
