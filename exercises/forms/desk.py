"""Forms of the desk: sites, points, courses, tasks, classes."""
from django import forms
from django.utils.formats import number_format
from django.utils.translation import gettext_lazy as _

from ..domain import bands, geodesy
from ..domain.kinds import kind_of
from ..domain.site import FAR_FROM_SITE_M
from ..domain.words import say
from ..languages import tell, told
from ..models import Course, CourseClass, Person, Point, Site, Task
from ..models.course import FEEDBACK_CHOICES
from .fields import NumberField, SignedNumberField


class SiteForm(forms.ModelForm):
    """A site; its grid must suit its place."""

    class Meta:
        model = Site
        fields = ["name", "latitude", "longitude", "grid_epsg", "cautions"]
        labels = {"name": _("Name"), "latitude": _("Latitude"), "longitude": _("Longitude"), "cautions": _("Cautions")}
        field_classes = {"latitude": SignedNumberField, "longitude": SignedNumberField}
        widgets = {"cautions": forms.Textarea(attrs={"rows": 4})}

    def clean(self):
        """Refuse a grid that is not meant for the place."""
        cleaned = super().clean()
        if position := _position(cleaned):
            try:
                geodesy.convergence(position, cleaned.get("grid_epsg") or geodesy.utm_epsg(position))
            except geodesy.UnsuitableGrid as error:
                self.add_error("grid_epsg", told(error))
        return cleaned


class PointForm(forms.ModelForm):
    """A point of a site. Its position must lie near the site."""

    class Meta:
        model = Point
        fields = ["code", "name", "latitude", "longitude", "elevation_m", "accuracy_m", "method", "mark", "is_target"]
        labels = {"code": _("Code"), "name": _("Name"), "latitude": _("Latitude"), "longitude": _("Longitude"), "method": _("Method"), "mark": _("Mark")}
        field_classes = {"latitude": SignedNumberField, "longitude": SignedNumberField, "elevation_m": SignedNumberField, "accuracy_m": NumberField}

    def clean_code(self):
        """Codes are in capitals."""
        return self.cleaned_data["code"].upper()

    def clean(self):
        """Refuse a point that is far from its site, and say what the likely slip is."""
        cleaned = super().clean()
        if not cleaned.get("mark") and not cleaned.get("is_target"):
            self.add_error("mark", _("Say where to stand, or tick that it can be sighted: a point is a station, a target, or both."))
        position, site = _position(cleaned), self.instance.site
        if position and (distance_km := _far(site, position)):
            self.add_error("latitude", tell("This is {distance} km from {site}. {slip}", distance=number_format(round(distance_km), force_grouping=True),
                                            site=site.name, slip=_slip(site, position.latitude_deg, position.longitude_deg)))
        return cleaned


def _position(cleaned):
    """The position of a form that holds one on the Earth, else None: the fields' own checks come later and say what is wrong."""
    try:
        return geodesy.Position(cleaned.get("latitude"), cleaned.get("longitude"))
    except geodesy.PositionOutOfRange:
        return None


def _far(site, position):
    """Kilometres from the site when that is too far to walk, else 0."""
    try:
        metres = geodesy.sight_line(site.position(), position).distance_m
    except geodesy.SamePoint:
        return 0
    return metres / 1000.0 if metres > FAR_FROM_SITE_M else 0


def _slip(site, latitude, longitude):
    """The slip that explains a position far away, in words."""
    for lat, lon, words in ((-latitude, longitude, say("Is the sign of the latitude wrong? South is negative.")),
                            (latitude, -longitude, say("Is the sign of the longitude wrong? West is negative.")),
                            (-latitude, -longitude, say("Are both signs wrong? South and west are negative.")),
                            (longitude, latitude, say("Are latitude and longitude exchanged?"))):
        if -90 <= lat <= 90 and not _far(site, geodesy.Position(lat, lon)):
            return words
    return say("Check both numbers against the site's position.")


class CourseForm(forms.ModelForm):
    """A course."""

    class Meta:
        model = Course
        fields = ["name"]
        labels = {"name": _("Name")}


def _tolerances():
    """The choices of a tolerance, in the reader's language."""
    named = [(key, tell("{name}: {degrees:g}°", name=preset.name, degrees=float(preset.band.full_credit_deg))) for key, preset in bands.PRESETS.items()]
    return [*named, ("", tell("As typed below"))]


class TaskForm(forms.ModelForm):
    """One task: the fields that its kind needs, and a band by name or by number."""

    preset = forms.ChoiceField(label=_("Tolerance"), required=False, initial="usual", choices=_tolerances)

    class Meta:
        model = Task
        fields = ["kind", "station", "target", "north", "given_deg", "given_north", "preset", "full_credit_deg", "part_credit_deg", "feedback"]
        labels = {"kind": _("Kind"), "station": _("Station"), "target": _("Target")}
        field_classes = {"given_deg": NumberField, "full_credit_deg": NumberField, "part_credit_deg": NumberField}

    def __init__(self, *args, site, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["station"].queryset = site.points.exclude(mark="")
        self.fields["target"].queryset = site.points.filter(is_target=True)
        for name in ("full_credit_deg", "part_credit_deg"):
            self.fields[name].required = False
            self.initial[name] = None
        self.fields["part_credit_deg"].help_text = _("Type both to overrule the tolerance chosen above.")

    def clean(self):
        """Fill in the preset, and ask for what the kind needs."""
        cleaned = super().clean()
        kind = kind_of(cleaned["kind"]) if cleaned.get("kind") else None
        typed = [cleaned.get("full_credit_deg"), cleaned.get("part_credit_deg")]
        if typed == [None, None] and cleaned.get("preset"):
            band = bands.PRESETS[cleaned["preset"]].band
            cleaned["full_credit_deg"], cleaned["part_credit_deg"] = band.full_credit_deg, band.part_credit_deg
        elif None in typed and not {"full_credit_deg", "part_credit_deg"} & set(self.errors):
            self.add_error("full_credit_deg", _("Choose a tolerance by name, or type both numbers."))
        if kind and kind.needs_target and not cleaned.get("target"):
            self.add_error("target", _("Choose the target."))
        if kind and not kind.needs_target:
            cleaned["target"] = None
        if kind and kind.gives_bearing and not kind.needs_target:
            if cleaned.get("given_deg") is None:
                self.add_error("given_deg", _("Type the bearing that is given."))
            if not cleaned.get("given_north") or cleaned.get("given_north") == cleaned.get("north"):
                self.add_error("given_north", _("Choose the north of the given bearing; it differs from the asked one."))
        return cleaned


class PoliciesForm(forms.Form):
    """When the answer of each task of a course is told; one field a task, named by its number."""

    def __init__(self, *args, tasks, **kwargs):
        super().__init__(*args, **kwargs)
        for task in tasks:
            self.fields[f"task{task.number}"] = forms.ChoiceField(
                label=f"{task.number}: {task.station.code}{f' → {task.target.code}' if task.target else ''}", choices=FEEDBACK_CHOICES, required=False, initial=task.feedback)

    def policies(self):
        """The policy of each task by its number."""
        return {int(name.removeprefix("task")): policy for name, policy in self.cleaned_data.items()}


class ClassForm(forms.ModelForm):
    """One holding of a course."""

    class Meta:
        model = CourseClass
        fields = ["name", "date", "time_zone", "feedback"]
        widgets = {"date": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}


class BandForm(forms.ModelForm):
    """A wider band for one person."""

    class Meta:
        model = Person
        fields = ["wider_band_deg"]
        field_classes = {"wider_band_deg": NumberField}
