"""One holding of a course, its people and its compasses."""

import unicodedata
import zoneinfo

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from .. import vocabulary
from ..domain.earth.angle_units import DEGREES, unit_of
from ..domain.earth.length_units import METRES
from ..domain.earth.plain_text import few_marks
from ..domain.tasks import site as domain, telling
from . import class_promises, promised
from .codes import new_code
from .course import Course, pass_share_field


def is_time_zone(text):
    """Refuses what is no time zone of the IANA database."""
    if text not in zoneinfo.available_timezones():
        raise ValidationError(
            _("“%(text)s” is not a time zone. Use a name such as Pacific/Auckland."),
            params={"text": text},
        )


def name_key(name):
    """A name as it is compared: letters alike in any script, whatever their case or width. A
    database's own lower() knows ASCII.
    """
    folded = unicodedata.normalize("NFKC", few_marks(name)).casefold()
    return unicodedata.normalize("NFKC", folded)


SHORTEST_PACE_M, LONGEST_PACE_M = (
    0.6,
    2.6,
)  # of a double pace: a small child's, a tall walker's; common practice, no source


LEAST_GRADUATION_DEG, MOST_GRADUATION_DEG = 0.25, 30  # finer than 5 mils: no hand compass


DIALS = [(code, translation.gettext_lazy(name)) for code, name in vocabulary.DIALS.items()]


class CourseClassQuerySet(models.QuerySet):
    """The words for whose classes they are."""

    def kept(self):
        """Those that do not lie in the bin, by themselves or with their course or site."""
        return self.filter(removed_at=None, course__removed_at=None, course__site__removed_at=None)

    def of(self, user):
        """Those of an instructor, and those in which their account has a role."""
        held = Q(staff__user=user, staff__ended_at=None)
        return self.kept().filter(Q(owner=user) | held).distinct()


class CourseClass(models.Model):
    """A class: a date, a code, people, and from its opening a frozen key."""

    class State(models.TextChoices):
        """Readings come in while it is open; those that come later are kept and marked late."""

        DRAFT = "draft", _("draft")
        OPEN = "open", _("open")
        CLOSED = "closed", _("closed")

    class Feedback(models.TextChoices):
        """When a participant sees what a reading was worth (`domain.feedback`)."""

        AT_ONCE = telling.AT_ONCE, translation.gettext_lazy(vocabulary.POLICIES[telling.AT_ONCE])
        SECOND_TRY = (
            telling.SECOND_TRY,
            translation.gettext_lazy(vocabulary.POLICIES[telling.SECOND_TRY]),
        )
        RELEASED = telling.RELEASED, translation.gettext_lazy(vocabulary.POLICIES[telling.RELEASED])

    class Joining(models.TextChoices):
        """Who may still join; those who are in go on."""

        OPEN = "open", translation.gettext_lazy(vocabulary.JOINING["open"])
        LISTED = "listed", translation.gettext_lazy(vocabulary.JOINING["listed"])
        SHUT = "shut", translation.gettext_lazy(vocabulary.JOINING["shut"])

    class KeySource(models.TextChoices):
        """Where the answers come from (`domain.observed_key`)."""

        COMPUTED = "computed", _("computed from the coordinates")
        OBSERVED = "observed", _("your own observed bearings, where there are any")

    course = models.ForeignKey(Course, on_delete=models.PROTECT, related_name="classes")
    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="classes"
    )
    name = models.CharField(_("Name"), max_length=80)
    date = models.DateField(_("Date"))
    time_zone = models.CharField(
        _("Time zone"), max_length=60, default="UTC", validators=[is_time_zone]
    )
    code = models.CharField(max_length=6, unique=True)
    state = models.CharField(max_length=6, choices=State, default=State.DRAFT)
    joining = models.CharField(max_length=6, choices=Joining, default=Joining.OPEN, editable=False)
    feedback = models.CharField(
        _("The answer is told"), max_length=10, choices=Feedback, default=Feedback.AT_ONCE
    )
    key_source = models.CharField(
        _("The key is"), max_length=10, choices=KeySource, default=KeySource.COMPUTED
    )
    unit = models.CharField(
        _("Its compasses are marked in"), max_length=8, choices=DIALS, default=DEGREES.code
    )
    asks = models.BooleanField(
        _("Phones may ask about a reading that could be several mistakes"), default=True
    )
    kit = models.ForeignKey(
        "Kit", on_delete=models.SET_NULL, null=True, blank=True, related_name="classes"
    )  # which goes out
    # as its course had it when the class was made: what was told of a class does not change when
    # its course does
    pass_share = pass_share_field()
    names_until = models.DateField(
        _("Names are deleted after"), help_text=_("Everybody who joins reads it.")
    )
    names_purged_at = models.DateTimeField(null=True, blank=True, editable=False)
    opened_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    released_at = models.DateTimeField(null=True, blank=True)

    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = CourseClassQuerySet.as_manager()

    class Meta:
        ordering = ["-date", "name", "pk"]
        verbose_name = "class"
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["draft", "open", "closed"]), name="class_state_is_known"
            ),
            models.CheckConstraint(
                condition=Q(state="draft", opened_at=None)
                | Q(state__in=["open", "closed"], opened_at__isnull=False),
                name="class_opened_when_not_draft",
            ),
            *class_promises.PROMISES,
        ]

    def __str__(self):
        return self.name

    @property
    def is_open(self):
        """Whether readings come in on time."""
        return self.state == self.State.OPEN

    def telling(self):
        """What decides what participants are told, as plain values."""
        return telling.ClassState(
            self.feedback,
            is_draft=self.state == self.State.DRAFT,
            is_open=self.is_open,
            is_released=self.released_at is not None,
        )

    def own_policies(self):
        """Tasks of the key in use whose answer is told otherwise than the class's: (label,
        policy).
        """
        key = self.keys.order_by("-version").first()
        return (
            [
                (answer.task, answer.feedback)
                for answer in key.counted()
                if answer.feedback not in ("", self.feedback)
            ]
            if key
            else []
        )

    def units(self):
        """In what its compasses are marked: what it says itself, then what their owners said."""
        told = self.compasses.order_by("pk").values_list("unit", flat=True)
        return [unit_of(code) for code in dict.fromkeys([self.unit, *told])]

    def has_more_to_tell(self):
        """Whether a release would show participants more than they see by now."""
        if self.released_at is not None or self.state == self.State.DRAFT:
            return False
        return self.feedback != self.Feedback.AT_ONCE or bool(self.own_policies())


class Compass(models.Model):
    """One instrument, as last told: numbered in the class set, or without a number, somebody's
    own.
    """

    course_class = models.ForeignKey(
        CourseClass, on_delete=models.CASCADE, related_name="compasses"
    )
    number = models.CharField(max_length=8, blank=True)
    graduation_deg = models.FloatField(
        default=2, validators=[MinValueValidator(0.5), MaxValueValidator(30)]
    )
    declination_is_set = models.BooleanField(default=False)
    unit = models.CharField(max_length=8, choices=DIALS, default=DEGREES.code)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(
                fields=["course_class", "number"],
                condition=~Q(number=""),
                name="compass_number_once_in_a_class",
            ),
            promised.between(
                "compass", "graduation_deg", LEAST_GRADUATION_DEG, MOST_GRADUATION_DEG
            ),
            promised.known("compass", "unit", vocabulary.DIALS),
        ]

    def __str__(self):
        return self.number or "own"

    def as_domain(self):
        """The instrument, for the domain."""
        return domain.Compass(self.graduation_deg, self.declination_is_set, unit_of(self.unit))


class Group(models.Model):
    """People of a class who go round together, with a phone each, one that they share, or paper."""

    class Way(models.TextChoices):
        """How a group's answers come in."""

        OWN = "own", _("a phone each")
        SHARED = "shared", _("one phone for all")
        PAPER = "paper", _("paper")

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="groups")
    name = models.CharField(_("Name"), max_length=30)
    way = models.CharField(_("Answers come by"), max_length=6, choices=Way, default=Way.OWN)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint("course_class", "name", name="group_name_once_in_a_class"),
            models.CheckConstraint(
                condition=Q(way__in=["own", "shared", "paper"]), name="group_way_is_known"
            ),
            *promised.filled("group", "name"),
        ]

    def __str__(self):
        return self.name


class PersonQuerySet(models.QuerySet):
    """The words for who is in a class."""

    def listed(self):
        """Those who stand on its list: without names that were found to be another's, and without
        those who were taken out.
        """
        return self.filter(same_as=None, taken_out_at=None)

    def expected(self):
        """Those who are to be here: on the list, and not gone home."""
        return self.listed().filter(left_at=None)


class Person(models.Model):
    """A participant in one class: a name of their choosing, and a personal code to go on with on
    another phone.

    `joined_at` is empty of somebody on the roster whose phone has not joined; `was_listed` says
    that they stand on the roster. `same_as` is the person of whom this is a second name, `left_at`
    when they went home early, `taken_out_at` when they were taken out with their readings kept,
    which then are nobody's. `wish` is what they asked for from their phone while the class is out,
    until it closes.
    """

    class Wish(models.TextChoices):
        """What somebody wishes to have deleted."""

        NAME = "name", "their name"
        ALL = "all", "their name and their readings"

    course_class = models.ForeignKey(CourseClass, on_delete=models.CASCADE, related_name="people")
    name = models.CharField(max_length=30)
    name_key = models.TextField(editable=False)
    personal_code = models.CharField(max_length=6, default=new_code, editable=False)
    join_token = models.UUIDField(null=True, editable=False)
    compass = models.ForeignKey(Compass, on_delete=models.SET_NULL, null=True, blank=True)
    wider_band_deg = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(90)]
    )
    pace_m = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(SHORTEST_PACE_M), MaxValueValidator(LONGEST_PACE_M)],
    )  # one double pace, from a taped line
    lengths = models.CharField(max_length=4, default=METRES.code)  # the unit that they chose
    # what this person wishes the instructor to know, codes with a space between, and since when
    home_lessons = models.CharField(max_length=120, blank=True, default="")
    home_told_at = models.DateTimeField(null=True, blank=True)
    joined_at = models.DateTimeField(null=True, blank=True)
    # digests of the phone and the address that they joined by, which mean nothing elsewhere
    joined_on = models.CharField(max_length=12, blank=True, default="", editable=False)
    joined_from = models.CharField(max_length=12, blank=True, default="", editable=False)
    was_listed = models.BooleanField(default=False, editable=False)
    group = models.ForeignKey(
        Group, on_delete=models.SET_NULL, null=True, blank=True, related_name="people"
    )
    cautions_read_at = models.DateTimeField(null=True, blank=True)
    left_at = models.DateTimeField(null=True, blank=True)
    taken_out_at = models.DateTimeField(null=True, blank=True)
    wish = models.CharField(max_length=4, choices=Wish, blank=True, default="", editable=False)
    same_as = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="second_names"
    )

    objects = PersonQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        verbose_name_plural = "people"
        constraints = [
            models.UniqueConstraint("course_class", "name_key", name="person_name_once_in_a_class"),
            models.UniqueConstraint(
                "course_class", "personal_code", name="personal_code_once_in_a_class"
            ),
            models.CheckConstraint(
                condition=Q(home_lessons="", home_told_at=None)
                | ~Q(home_lessons="") & Q(home_told_at__isnull=False),
                name="lessons_at_home_have_a_time",
            ),
            models.CheckConstraint(
                condition=Q(same_as=None) | ~Q(same_as=F("pk")), name="person_not_their_own_double"
            ),
            *promised.filled("person", "name", "name_key", "personal_code"),
            promised.between("person", "wider_band_deg", 1, 90),
            promised.between("person", "pace_m", SHORTEST_PACE_M, LONGEST_PACE_M),
            promised.known("person", "lengths", vocabulary.LENGTHS),
            promised.known("person", "wish", ["name", "all"], or_empty=True),
        ]

    def __str__(self):
        return self.name

    def save(self, *args, **kwargs):
        """Keep the name in the form in which it is compared with others."""
        self.name_key = name_key(self.name)
        super().save(*args, **kwargs)

    def lessons_at_home(self):
        """The codes of the lessons that this person says they have done at home."""
        return tuple(self.home_lessons.split())

    def instrument(self):
        """The compass in hand, for the domain."""
        return self.compass.as_domain() if self.compass else domain.UNSET


class Phone(models.Model):
    """A device that speaks for a person. It holds a secret in a cookie, of which only the digest is
    kept here; `heard_at` is when it last asked or sent something, about, and `unsent` how many
    readings it then said it still holds.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="phones")
    secret_digest = models.CharField(max_length=64)
    since = models.DateTimeField()
    heard_at = models.DateTimeField(null=True, blank=True)
    unsent = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["since", "pk"]
        constraints = [
            *promised.filled("phone", "secret_digest"),
        ]

    def __str__(self):
        return f"{self.person}, {self.since:%H:%M}"
