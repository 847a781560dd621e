"""What was noted of the ground of a site: dangers, what bends needles, bearings that were shot."""

import uuid

from django.db import models
from django.db.models import F, Q
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from .. import vocabulary
from ..domain.earth import geodesy
from ..domain.planning import hazards
from . import promised
from .site import Point, Site


class Hazard(models.Model):
    """Something on a site that bends a needle, or that nobody may be led into: a spot, a line or an
    area.
    """

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="hazards")
    kind = models.CharField(
        _("What it is"),
        max_length=12,
        choices=[
            (code, translation.gettext_lazy(vocabulary.HAZARDS[code])) for code in hazards.KINDS
        ],
    )
    name = models.CharField(_("Name"), max_length=60)
    corners = models.JSONField()  # [[latitude, longitude], ...], in order
    is_area = models.BooleanField(_("The corners go round an area"), default=False)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            *promised.filled("hazard", "name"),
            promised.known("hazard", "kind", hazards.KINDS),
        ]

    def __str__(self):
        return self.name

    def as_domain(self):
        """The hazard as plain values."""
        return hazards.Hazard(
            self.kind,
            self.name,
            tuple(geodesy.Position(latitude, longitude) for latitude, longitude in self.corners),
            self.is_area,
        )


class ObservedBearing(models.Model):
    """A bearing that an instructor read with a compass on the ground: to a point, or along the
    shadow that the sun casts.
    """

    class North(models.TextChoices):
        """The north in which the compass showed it."""

        MAGNETIC = "magnetic", _("magnetic (compass not set)")
        TRUE = "true", _("true (declination set on the compass)")

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="observed")
    client_id = models.UUIDField(default=uuid.uuid4)
    station = models.ForeignKey(Point, on_delete=models.CASCADE, related_name="observed_here")
    target = models.ForeignKey(
        Point, on_delete=models.CASCADE, related_name="observed_to", null=True
    )  # NULL: along the shadow of the sun
    bearing_deg = models.FloatField()
    north = models.CharField(max_length=10, choices=North, default=North.MAGNETIC)
    compass = models.CharField(_("Compass"), max_length=12, blank=True)
    observed_at = models.DateTimeField()
    clock_s = models.FloatField(
        null=True
    )  # of a shadow: how many seconds the clock may be off either way
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["observed_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                "site", "client_id", "station", name="observed_bearing_once"
            ),  # fore and back of one form differ in their station
            models.CheckConstraint(
                condition=Q(bearing_deg__gte=0, bearing_deg__lt=360),
                name="observed_bearing_on_the_circle",
            ),
            models.CheckConstraint(
                condition=Q(target=None) | ~Q(station=F("target")),
                name="observed_bearing_not_to_itself",
            ),
            promised.known("observed_bearing", "north", ["magnetic", "true"]),
            promised.above_zero("observed_bearing", "clock_s"),
            models.CheckConstraint(
                condition=Q(clock_s=None) | Q(target=None),
                name="observed_bearing_clock_s_is_of_a_shadow",
            ),
        ]

    def __str__(self):
        return f"{self.station_id} {self.bearing_deg}"
