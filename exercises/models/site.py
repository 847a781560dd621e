"""A piece of ground and its surveyed points."""

import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from ..domain.earth import geodesy
from ..domain.earth.ellipse import Ellipse
from ..domain.surveying import survey
from ..domain.tasks import site as domain
from . import promised
from .codes import new_code
from .organisation import Organisation

CODE = RegexValidator(
    r"^[A-Z0-9]{1,4}$", _("Use one to four capital letters or digits, such as A or T3.")
)

METHODS = ["receiver", "averaged", "surveyed", "map"]  # of `Point.Method`
WORST_M = 100  # accuracy: what is known less well is no place for a compass course
HEIGHTS_M = -500, 8900  # from below the lowest shore to above the highest summit


class SiteQuerySet(models.QuerySet):
    """The words for whose sites they are."""

    def kept(self):
        """Those that do not lie in the bin."""
        return self.filter(removed_at=None)

    def usable_by(self, user):
        """Those of an instructor, and those that an organisation of theirs shares; what lies in the
        bin is nobody's to use.
        """
        shared = Q(organisation__in=user.organisations.all())
        return self.kept().filter(Q(owner=user) | shared)


class Site(models.Model):
    """A site belongs to one instructor, who may share it. Its position is roughly its middle;
    points must lie near it.
    """

    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="sites"
    )
    organisation = models.ForeignKey(
        Organisation,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="sites",
        verbose_name=_("Shared with"),
    )
    name = models.CharField(max_length=80)
    latitude = models.FloatField(
        validators=[MinValueValidator(-80), MaxValueValidator(84)],
        help_text=_("Degrees north of the equator; south is negative."),
    )
    longitude = models.FloatField(
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
        help_text=_("Degrees east of Greenwich; west is negative."),
    )
    grid_epsg = models.PositiveIntegerField(
        _("Grid (EPSG code)"), null=True, blank=True, help_text=_("Empty for the UTM zone.")
    )
    cautions = models.TextField(
        max_length=2000,
        blank=True,
        help_text=_(
            "What people must know to be safe here: bounds, hazards, whom to call. Shown on "
            "every phone."
        ),
    )

    safety_bearing_deg = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(360)]
    )  # true; the way out for who is lost
    safety_leads_to = models.CharField(max_length=200, blank=True)
    meeting_point = models.CharField(max_length=200, blank=True)
    meeting_latitude = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-80), MaxValueValidator(84)]
    )
    meeting_longitude = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    way_in = models.TextField(max_length=1000, blank=True)
    contacts = models.TextField(max_length=1000, blank=True)
    archived_at = models.DateTimeField(null=True, blank=True, editable=False)
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = SiteQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                "owner",
                "name",
                condition=Q(removed_at=None),
                name="site_name_once_for_an_owner",
                violation_error_message=_("You have a site of that name already."),
            ),
            models.CheckConstraint(
                condition=Q(
                    latitude__gte=-80, latitude__lte=84, longitude__gte=-180, longitude__lte=180
                ),
                name="site_on_earth",
            ),
            *promised.filled("site", "name"),
            promised.on_circle("site", "safety_bearing_deg"),
            promised.between("site", "meeting_latitude", -90, 90),
            promised.between("site", "meeting_longitude", -180, 180),
            promised.together("site", "meeting_latitude", "meeting_longitude"),
        ]

    def __str__(self):
        return self.name

    def position(self):
        """The middle of the site, for the domain."""
        return geodesy.Position(self.latitude, self.longitude)

    def bare(self):
        """The site as plain values without its points, of no query: enough for its norths."""
        return domain.Site({}, {}, self.grid_epsg, self.position())

    def as_domain(self):
        """The site as plain values, in two queries."""
        points = {point.code: point.as_domain() for point in self.points.all()}
        visible = {}
        for station, target in (
            Visible.objects.filter(station__site=self)
            .order_by("target__code")
            .values_list("station__code", "target__code")
        ):
            if station in points and target in points:  # what came in between is left for next time
                visible.setdefault(station, []).append(target)
        return domain.Site(
            points,
            {station: tuple(targets) for station, targets in visible.items()},
            self.grid_epsg,
            self.position(),
        )

    def hazards_as_domain(self):
        """What bends needles and what is dangerous here, as plain values, in one query."""
        return [hazard.as_domain() for hazard in self.hazards.all()]


class Point(models.Model):
    """A surveyed position: a station when it has a mark to stand on, a target when it can be
    sighted, or both.
    """

    class Method(models.TextChoices):
        """How it was surveyed."""

        RECEIVER = "receiver", _("Satellite receiver or phone")
        AVERAGED = "averaged", _("Satellite receiver, averaged")
        SURVEYED = "surveyed", _("Total station, RTK or tape")
        MAP = "map", _("Read off a map or an aerial picture")

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="points")
    code = models.CharField(max_length=4, validators=[CODE])
    name = models.CharField(max_length=80)
    latitude = models.FloatField(validators=[MinValueValidator(-90), MaxValueValidator(90)])
    longitude = models.FloatField(validators=[MinValueValidator(-180), MaxValueValidator(180)])
    elevation_m = models.FloatField(
        _("Height in metres"),
        null=True,
        blank=True,
        validators=[MinValueValidator(HEIGHTS_M[0]), MaxValueValidator(HEIGHTS_M[1])],
        help_text=_("Above the sea. Leave empty where it is not known."),
    )  # NULL: nobody knows it
    accuracy_m = models.FloatField(
        _("Accuracy in metres"),
        default=3,
        validators=[MinValueValidator(0.001), MaxValueValidator(WORST_M)],
        help_text=_(
            "Standard uncertainty of each coordinate: two thirds of surveys fall within it."
        ),
    )
    method = models.CharField(max_length=10, choices=Method, default=Method.RECEIVER)
    major_m = models.FloatField(
        null=True, blank=True
    )  # the standard error ellipse; NULL: alike in every direction
    minor_m = models.FloatField(null=True, blank=True)
    azimuth_deg = models.FloatField(null=True, blank=True)
    mark = models.CharField(
        max_length=200,
        blank=True,
        help_text=_(
            "Exactly where to stand, in words. Leave empty for a point that nobody stands on."
        ),
    )
    is_target = models.BooleanField(_("Can be sighted"), default=True)
    card_code = models.CharField(
        max_length=6, unique=True, default=new_code, editable=False
    )  # on the card that hangs at the mark; it outlives classes

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(
                "site",
                "code",
                name="point_code_once_on_a_site",
                violation_error_message=_(
                    "This site has a point of that code already. Give each point its own."
                ),
            ),
            models.CheckConstraint(
                condition=Q(
                    latitude__gte=-90, latitude__lte=90, longitude__gte=-180, longitude__lte=180
                ),
                name="point_on_earth",
            ),
            models.CheckConstraint(condition=Q(accuracy_m__gt=0), name="point_accuracy_above_zero"),
            promised.between("point", "accuracy_m", 0, WORST_M),
            models.CheckConstraint(
                condition=~Q(mark="") | Q(is_target=True), name="point_is_station_or_target"
            ),
            *promised.filled("point", "name"),
            promised.known("point", "method", METHODS),
            promised.between("point", "elevation_m", *HEIGHTS_M),
            promised.together("point", "major_m", "minor_m", "azimuth_deg"),
            models.CheckConstraint(
                condition=Q(minor_m__gt=0, major_m__gte=F("minor_m")),
                name="point_ellipse_makes_sense",
            ),
            promised.on_circle("point", "azimuth_deg"),
        ]

    def __str__(self):
        return self.code if self.is_only_coded else f"{self.code} {self.name}"

    @property
    def is_only_coded(self):
        """Whether its name is no more than its code, as of points that were pasted without one."""
        return self.name == self.code

    def as_domain(self):
        """The point as plain values."""
        position = geodesy.Position(self.latitude, self.longitude, self.elevation_m)
        ellipse = (
            None if self.major_m is None else Ellipse(self.major_m, self.minor_m, self.azimuth_deg)
        )
        return domain.Point(
            self.code, self.name, position, self.accuracy_m, self.mark, ellipse, self.is_target
        )


class Survey(models.Model):
    """One determination of a point. Rows are never changed but to be set aside; the point's own
    position is what those in use say together.
    """

    point = models.ForeignKey(Point, on_delete=models.CASCADE, related_name="surveys")
    client_id = models.UUIDField(
        default=uuid.uuid4, unique=True
    )  # made on the phone, so that sending twice stores once
    method = models.CharField(max_length=10, choices=Point.Method)
    latitude = models.FloatField()
    longitude = models.FloatField()
    elevation_m = models.FloatField(null=True)  # NULL: it told none
    major_m = models.FloatField()
    minor_m = models.FloatField()
    azimuth_deg = models.FloatField(default=0)
    measured_on = models.DateField(null=True)  # NULL: the day was not noted
    received_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True)
    details = models.JSONField(default=dict)  # how it was measured, for `wording.survey_text`
    is_set_aside = models.BooleanField(default=False)

    class Meta:
        ordering = ["received_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    latitude__gte=-90, latitude__lte=90, longitude__gte=-180, longitude__lte=180
                ),
                name="survey_on_earth",
            ),
            models.CheckConstraint(
                condition=Q(minor_m__gt=0, major_m__gte=F("minor_m")),
                name="survey_ellipse_makes_sense",
            ),
            promised.known("survey", "method", METHODS),
            promised.between("survey", "major_m", 0, WORST_M),
            promised.between("survey", "elevation_m", *HEIGHTS_M),
            promised.on_circle("survey", "azimuth_deg"),
        ]

    def __str__(self):
        return f"{self.point_id} {self.measured_on}"

    def as_domain(self):
        """The survey as plain values."""
        return survey.Survey(
            geodesy.Position(self.latitude, self.longitude, self.elevation_m),
            Ellipse(self.major_m, self.minor_m, self.azimuth_deg),
            self.method,
            self.measured_on,
            self.details.get("from", ""),
        )


class Visible(models.Model):
    """A target that can be seen from a station."""

    station = models.ForeignKey(Point, on_delete=models.CASCADE, related_name="sees")
    target = models.ForeignKey(Point, on_delete=models.CASCADE, related_name="seen_from")

    class Meta:
        constraints = [
            models.UniqueConstraint("station", "target", name="visible_once"),
            models.CheckConstraint(condition=~Q(station=F("target")), name="visible_not_itself"),
        ]

    def __str__(self):
        return f"{self.station_id} sees {self.target_id}"
