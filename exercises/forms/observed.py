"""Forms of bearings that were observed on the ground: along a line, and along a shadow."""

import datetime
import uuid
import zoneinfo

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from ..domain.earth import magnetics, sun
from ..domain.surveying.ground.sighting import Instrument
from ..languages import told
from ..models import ObservedBearing, Point
from ..models.course_class import is_time_zone
from .fields import CHOOSE, DATE, BearingField, NumberField


def _check_day(form, on, point):
    """Refuse a day that has not come, and one that no magnetic model covers: a bearing that cannot
    be compared helps nobody.
    """
    if on > timezone.now().date() + datetime.timedelta(days=1):
        form.add_error("on", _("This day has not come yet. Check the date."))
        return
    try:
        magnetics.declination(point.as_domain().position, on)
    except magnetics.NoDeclination as error:
        form.add_error("on", told(error))


class ObservedForm(forms.Form):
    """Fore and back bearing of a line; the back one may be missing."""

    client_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    start = forms.ModelChoiceField(
        label=_("From"), queryset=Point.objects.none(), empty_label=CHOOSE
    )
    end = forms.ModelChoiceField(label=_("To"), queryset=Point.objects.none(), empty_label=CHOOSE)
    fore_deg = BearingField(label=_("Fore bearing, read there"), required=False)
    back_deg = BearingField(label=_("Back bearing, read at the other end"), required=False)
    north = forms.ChoiceField(label=_("The compass shows"), choices=ObservedBearing.North)
    compass = forms.CharField(label=_("Compass number"), required=False, max_length=12)
    on = forms.DateField(label=_("Read on"), widget=DATE)

    def __init__(self, *args, site, **kwargs):
        super().__init__(*args, **kwargs)
        self.site = site
        self.fields["start"].queryset = self.fields["end"].queryset = site.points.all()

    def clean(self):
        """Two points, and at least one of the two bearings."""
        cleaned = super().clean()
        if cleaned.get("start") and cleaned.get("start") == cleaned.get("end"):
            self.add_error("end", _("Choose another point: a line has two ends."))
        if not self.errors and cleaned.get("fore_deg") is None and cleaned.get("back_deg") is None:
            self.add_error("fore_deg", _("Type the bearing that you read, fore or back or both."))
        if not self.errors:
            _check_day(self, cleaned["on"], cleaned["start"])
        return cleaned

    def bearings(self, now):
        """The rows to store, at noon of the day: a declination does not change within it."""
        form = self.cleaned_data
        noon = datetime.datetime.combine(form["on"], datetime.time(12), datetime.UTC)
        read = (
            (form["start"], form["end"], form["fore_deg"]),
            (form["end"], form["start"], form["back_deg"]),
        )
        return [
            ObservedBearing(
                site=self.site,
                client_id=form["client_id"],
                station=station,
                target=target,
                bearing_deg=bearing_deg,
                north=form["north"],
                compass=form["compass"],
                observed_at=noon,
                received_at=now,
            )
            for station, target, bearing_deg in read
            if bearing_deg is not None
        ]


class ShadowForm(forms.Form):
    """A bearing along the shadow of a plumb line, with its time to the second."""

    client_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    station = forms.ModelChoiceField(
        label=_("Station"), queryset=Point.objects.none(), empty_label=CHOOSE
    )
    bearing_deg = BearingField(label=_("Bearing along the shadow, away from the sun"))
    north = forms.ChoiceField(label=_("The compass shows"), choices=ObservedBearing.North)
    compass = forms.CharField(label=_("Compass number"), required=False, max_length=12)
    on = forms.DateField(label=_("Date"), widget=DATE)
    time = forms.TimeField(
        label=_("Time of day"),
        widget=forms.TimeInput(attrs={"type": "time", "step": "1"}, format="%H:%M:%S"),
    )
    time_zone = forms.CharField(label=_("Time zone"), max_length=60, validators=[is_time_zone])
    clock_s = NumberField(
        label=_("The clock is good to, seconds"), initial=30, min_value=0, max_value=600
    )

    def __init__(self, *args, site, **kwargs):
        super().__init__(*args, **kwargs)
        self.site = site
        self.fields["station"].queryset = site.points.all()

    def clean(self):
        """A time at which the sun casts a usable shadow there."""
        cleaned = super().clean()
        if not self.errors and cleaned["bearing_deg"] is None:
            self.add_error("bearing_deg", _("Type the bearing."))
        if not self.errors:
            _check_day(self, cleaned["on"], cleaned["station"])
        if not self.errors:
            self._check_shadow(cleaned)
        return cleaned

    def _check_shadow(self, cleaned):
        at = datetime.datetime.combine(
            cleaned["on"], cleaned["time"], zoneinfo.ZoneInfo(cleaned["time_zone"])
        )
        try:
            sun.shadow(cleaned["station"].as_domain().position, at)
            cleaned["at"] = at
        except sun.NoShadow as error:
            self.add_error("time", told(error))
        except (OverflowError, ValueError):
            self.add_error("on", _("Check the date."))

    def bearings(self, now):
        """The row to store."""
        form = self.cleaned_data
        return [
            ObservedBearing(
                site=self.site,
                client_id=form["client_id"],
                station=form["station"],
                target=None,
                bearing_deg=form["bearing_deg"],
                north=form["north"],
                compass=form["compass"],
                observed_at=form["at"],
                clock_s=form["clock_s"],
                received_at=now,
            )
        ]


class InstrumentForm(forms.Form):
    """A compass as it is noted on a site."""

    compass = forms.CharField(required=False, max_length=12)
    north = forms.ChoiceField(choices=ObservedBearing.North)

    def instrument(self):
        """As the domain has it."""
        return Instrument(self.cleaned_data["compass"], self.cleaned_data["north"])
