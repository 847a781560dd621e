"""Forms of a site and its points."""

from django import forms
from django.utils.formats import number_format
from django.utils.translation import gettext_lazy as _

from ..domain.earth import geodesy
from ..domain.earth.position import PositionOutOfRange
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..exchange.slips import slip
from ..languages import tell, told
from ..models import Point, Site
from .fields import LatitudeField, LongitudeField, NumberField, SignedNumberField


class SiteForm(forms.ModelForm):
    """A site; its grid must suit its place."""

    class Meta:
        model = Site
        fields = ["name", "latitude", "longitude", "grid_epsg", "cautions", "organisation"]
        labels = {
            "name": _("Name"),
            "latitude": _("Latitude"),
            "longitude": _("Longitude"),
            "cautions": _("Cautions"),
        }
        field_classes = {"latitude": LatitudeField, "longitude": LongitudeField}
        widgets = {"cautions": forms.Textarea(attrs={"rows": 4})}

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        organisations = user.organisations.all()
        if self.instance.owner_id == user.pk and organisations:
            self.fields["organisation"].queryset = organisations
            self.fields["organisation"].empty_label = tell("nobody")
        else:
            del self.fields["organisation"]  # who may use a site may not share it on

    def clean(self):
        """Refuse a grid that is not meant for the place."""
        cleaned = super().clean()
        if position := _position(cleaned):
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
