"""Forms of a site and its points."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import number_format
from django.utils.translation import gettext_lazy as _

from ..domain.earth import coordinates, geodesy
from ..domain.earth.position import PositionOutOfRange
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..exchange.slips import slip
from ..languages import tell, told
from ..models import Point, Site
from ..world import towns
from .fields import LatitudeField, LongitudeField, NumberField, SignedNumberField

SOUTHMOST, NORTHMOST = -80.0, 84.0  # of UTM


class PlaceForm(forms.Form):
    """A place as people write it, or the name of a town. `near` is where the site's points lie, or
    None for a site that has none.

    What was found is `position`; `towns` are those whose name was typed instead, `exchanged` the
    place that a text means whose longitude comes first.
    """

    place = forms.CharField(
        label=_("Place"),
        max_length=coordinates.LONGEST_TEXT,
        help_text=_(
            "Coordinates as you have them (degrees, UTM, MGRS, a phone's share text), or the name "
            "of a town near by."
        ),
    )

    def __init__(self, *args, near=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.near, self.position, self.exchanged, self.towns = near, None, None, []

    def clean_place(self):
        """The text, once it gives a place where a compass and a grid serve."""
        text = self.cleaned_data["place"]
        if not any(sign.isdigit() for sign in text):
            self._look_up(text)
        try:
            self.position = coordinates.read_place(text, self.near).position
        except (coordinates.NotAPlace, PositionOutOfRange) as error:
            self.exchanged = coordinates.read_exchanged(text)
            raise ValidationError(told(error)) from error
        if not SOUTHMOST <= self.position.latitude_deg <= NORTHMOST:
            self.position = None
            raise ValidationError(
                _("Near the poles neither a compass nor a UTM grid serves: 80° south to 84° north.")
            )
        return text

    def _look_up(self, text):
        """Refuse a town's name with the places it may mean."""
        self.towns = towns.named(text)
        if self.towns:
            raise ValidationError(_("Choose the town, then move the place to your ground."))
        raise ValidationError(
            tell(
                "No town of more than {people} people is called “{text}”. Try a larger one near "
                "by, or type coordinates.",
                people=number_format(towns.LEAST_PEOPLE, force_grouping=True),
                text=text[: coordinates.SHOWN],
            )
        )


class BoxForm(forms.Form):
    """A stretch of map, degrees; east may pass 180."""

    south = forms.FloatField(min_value=-90, max_value=90)
    west = forms.FloatField(min_value=-180, max_value=180)
    north = forms.FloatField(min_value=-90, max_value=90)
    east = forms.FloatField(min_value=-180, max_value=540)


class SiteForm(PlaceForm, forms.ModelForm):
    """A site; its grid must suit its place."""

    field_order = ["name", "place", "grid_epsg", "cautions"]

    class Meta:
        model = Site
        fields = ["name", "grid_epsg", "cautions"]
        labels = {"name": _("Name"), "cautions": _("Cautions")}
        widgets = {"cautions": forms.Textarea(attrs={"rows": 4})}

    def clean_place(self):
        """A place that was not typed anew stays where it is, to the last digit."""
        text = super().clean_place()
        if self.instance.pk and "place" not in self.changed_data:
            self.position = self.instance.position()
        self.instance.latitude = self.position.latitude_deg
        self.instance.longitude = self.position.longitude_deg
        return text

    def clean(self):
        """Refuse a grid that is not meant for the place."""
        cleaned = super().clean()
        if position := self.position:
            try:
                geodesy.easting_northing(
                    position, cleaned.get("grid_epsg") or geodesy.utm_epsg(position)
                )
            except geodesy.UnsuitableGrid as error:
                self.add_error("grid_epsg", told(error))
        return cleaned


class PointFields(forms.ModelForm):
    """What a point is, wherever it lies: code, name, mark, and whether it can be sighted."""

    class Meta:
        model = Point
        fields = ["code", "name", "mark", "is_target"]
        labels = {"code": _("Code"), "name": _("Name"), "mark": _("Mark")}

    def clean_code(self):
        """Codes are in capitals."""
        return self.cleaned_data["code"].upper()

    def clean(self):
        """Refuse a point that is nothing."""
        cleaned = super().clean()
        if not cleaned.get("mark") and not cleaned.get("is_target"):
            self.add_error(
                "mark",
                _(
                    "Say where to stand, or tick that it can be sighted: a point is a station, a "
                    "target, or both."
                ),
            )
        return cleaned


SURVEYED = ("latitude", "longitude", "elevation_m", "accuracy_m", "method")


class PointForm(PointFields):
    """A point of a site with its position, which must lie near the site."""

    class Meta(PointFields.Meta):
        fields = [
            "code",
            "name",
            "latitude",
            "longitude",
            "elevation_m",
            "accuracy_m",
            "method",
            "mark",
            "is_target",
        ]
        labels = {
            **PointFields.Meta.labels,
            "latitude": _("Latitude"),
            "longitude": _("Longitude"),
            "method": _("Method"),
        }
        field_classes = {
            "latitude": LatitudeField,
            "longitude": LongitudeField,
            "elevation_m": SignedNumberField,
            "accuracy_m": NumberField,
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # what the page showed comes back with it: a survey that came meanwhile is not undone by an
        # old page
        for name in SURVEYED:
            self.fields[name].show_hidden_initial = True

    def exchanged(self):
        """The point with latitude and longitude exchanged, where that alone brings a refused one to
        its site, else None.
        """
        if not {"latitude", "longitude"} & self.errors.keys():
            return None
        try:
            position = geodesy.Position(
                self.fields["latitude"].clean(self.data.get("longitude", "")),
                self.fields["longitude"].clean(self.data.get("latitude", "")),
            )
        except (ValidationError, PositionOutOfRange):
            return None
        away_m = geodesy.apart_m(self.instance.site.position(), position)
        return position if away_m <= FAR_FROM_SITE_M else None

    def is_moved(self):
        """Whether the position, or how well it is known, was typed anew."""
        return any(name in self.changed_data for name in SURVEYED)

    def clean(self):
        """Refuse a point that is far from its site, and say what the likely slip is."""
        cleaned = super().clean()
        position, site = _position(cleaned), self.instance.site
        if position and (metres := geodesy.apart_m(site.position(), position)) > FAR_FROM_SITE_M:
            self.add_error(
                "latitude",
                tell(
                    "This is {distance} km from {site}. {slip}",
                    distance=number_format(round(metres / 1000.0), force_grouping=True),
                    site=site.name,
                    slip=slip(position, site.position()),
                ),
            )
        return cleaned


def _position(cleaned):
    """The position of a form that holds one on the Earth, else None: the fields' own checks come
    later and say what is wrong.
    """
    try:
        return geodesy.Position(cleaned.get("latitude"), cleaned.get("longitude"))
    except PositionOutOfRange:
        return None
