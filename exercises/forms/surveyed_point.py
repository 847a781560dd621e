"""Forms of a point that is surveyed: measured from another, taken at the mark, moved on the map."""

import datetime
import json
import math
import uuid

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from ..domain.earth import coordinates, geodesy
from ..domain.earth.geodesy import Position
from ..domain.earth.position import PositionOutOfRange
from ..domain.surveying import survey
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..exchange.slips import slip
from ..languages import tell, told
from ..models import Point
from ..models.course import NORTH_CHOICES
from .fields import CHOOSE, DATE, BearingField, NumberField
from .site import PointFields

MOST_FIXES = 3600
BELIEVED = datetime.timedelta(days=2)


class NewPointFields(PointFields):
    """What a point is that is about to be surveyed; its code must be free, which a form without the
    site would not look at.
    """

    def clean(self):
        """Refuse a code that the site has."""
        cleaned = super().clean()
        if self.instance.site.points.filter(code=cleaned.get("code", "")).exists():
            self.add_error(
                "code", _("This site has a point of that code already. Give each point its own.")
            )
        return cleaned


class RadiationForm(forms.Form):
    """A bearing and a distance from a known point, with their uncertainties, and the day they were
    measured on.
    """

    client_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    start = forms.ModelChoiceField(
        label=_("Measured from"), queryset=Point.objects.none(), empty_label=CHOOSE
    )
    bearing_deg = BearingField(label=_("Bearing"))
    north = forms.ChoiceField(
        label=_("North of the bearing"), choices=NORTH_CHOICES, initial="magnetic"
    )
    distance_m = NumberField(
        label=_("Distance, metres"),
        min_value=0.1,
        max_value=5000,
        help_text=_(
            "Horizontal: with the tape level, or slope distance times the cosine of the slope."
        ),
    )
    bearing_error_deg = NumberField(
        label=_("Uncertainty of the bearing, degrees"),
        min_value=0.001,
        max_value=20,
        initial=1,
        help_text=_(
            "Standard uncertainty: a baseplate compass 1 to 2, a prismatic one 0.5, a theodolite "
            "0.01."
        ),
    )
    distance_error_m = NumberField(
        label=_("Uncertainty of the distance, metres"),
        min_value=0.001,
        max_value=50,
        initial=0.1,
        help_text=_("A tape 0.05 to 0.2, paces 2 to 5 % of the distance."),
    )
    on = forms.DateField(label=_("Measured on"), widget=DATE)

    def __init__(self, *args, site, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["start"].queryset = site.points.all()

    def clean_bearing_deg(self):
        """Asked for."""
        value = self.cleaned_data["bearing_deg"]
        if value is None:
            raise forms.ValidationError(_("Type the bearing."))
        return value


class HereForm(forms.Form):
    """A survey with a phone at the mark: the fixes that it took, or a place that was typed."""

    client_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    fixes = forms.CharField(widget=forms.HiddenInput, required=False, max_length=600_000)
    place = forms.CharField(
        label=_("Place, typed"),
        required=False,
        max_length=coordinates.LONGEST_TEXT,
        help_text=_("Degrees, UTM, MGRS, or pasted from a phone's share text."),
    )
    accuracy_m = NumberField(
        label=_("Its accuracy, metres"),
        required=False,
        min_value=0.001,
        max_value=100,
        help_text=_("One sigma. Empty: 3 m, or what the text itself says."),
    )

    def __init__(self, *args, near, **kwargs):
        super().__init__(*args, **kwargs)
        self.near = near

    def clean(self):
        """The visit with the phone, or the typed place; both must lie near the site."""
        cleaned = super().clean()
        if cleaned.get("fixes") and "typed" not in self.data:
            self._average(cleaned)
        elif cleaned.get("place"):
            try:
                cleaned["typed"] = coordinates.read_place(cleaned["place"], self.near)
                self._near(cleaned["typed"].position, "place")
            except (coordinates.NotAPlace, PositionOutOfRange) as error:
                self.add_error("place", told(error))
        elif not self.errors:
            self.add_error("place", _("Let the phone take positions, or type the place."))
        return cleaned

    def _average(self, cleaned):
        try:
            fixes = [_fix(plain) for plain in json.loads(cleaned["fixes"])[:MOST_FIXES]]
            cleaned["visit"] = survey.average(fixes)
            now = timezone.now()  # a phone's clock is believed to within two days
            cleaned["on"] = survey.day_at(
                fixes[0].at if abs(fixes[0].at - now) < BELIEVED else now, self.near.longitude_deg
            )
            self._near(cleaned["visit"].position, None)
        except survey.NoFixes as error:
            self.add_error(None, told(error))
        except (ValueError, KeyError, TypeError, OverflowError, OSError, RecursionError):
            self.add_error(
                None, _("What the phone sent cannot be read. Take the positions once more.")
            )

    def _near(self, position, where):
        metres = geodesy.apart_m(position, self.near)
        if metres > FAR_FROM_SITE_M:
            self.add_error(
                where,
                tell(
                    "This is {distance:.0f} km from the site. {slip}",
                    distance=metres / 1000.0,
                    slip=slip(position, self.near),
                ),
            )


def _fix(plain):
    """One fix as the phone sends it: latitude, longitude, radius, milliseconds since 1970, height
    or null.
    """
    latitude, longitude, radius_m, at_ms, height_m = plain
    if not (math.isfinite(radius_m) and 0 < radius_m < 100_000):
        raise ValueError(radius_m)
    height_m = None if height_m is None else Position(0.0, 0.0, float(height_m)).elevation_m
    return survey.Fix(
        Position(float(latitude), float(longitude)),
        float(radius_m),
        datetime.datetime.fromtimestamp(at_ms / 1000.0, datetime.UTC),
        height_m,
    )


class MovesForm(forms.Form):
    """Points that were moved on the map: code, latitude and longitude each, as JSON, and how well
    they are placed.
    """

    moves = forms.CharField(max_length=60_000)
    accuracy_m = NumberField(min_value=0.1, max_value=100)

    def __init__(self, *args, near, **kwargs):
        super().__init__(*args, **kwargs)
        self.near = near

    def clean_moves(self):
        """(code, Position) pairs, each near the site."""
        try:
            moves = [
                (str(code), Position(float(latitude), float(longitude)))
                for code, latitude, longitude in json.loads(self.cleaned_data["moves"])
            ]
        except (ValueError, TypeError, OverflowError, RecursionError) as error:
            raise forms.ValidationError(
                _("The moves cannot be read. Load the page again and move the points once more.")
            ) from error
        for code, position in moves:
            if geodesy.apart_m(position, self.near) > FAR_FROM_SITE_M:
                raise forms.ValidationError(
                    tell("Point {code} would be far from the site.", code=code)
                )
        return moves
