"""Forms of what keeps people safe: a site's safety bearing, meeting point, way in and contacts; the
lines of a class's check list.
"""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..domain.earth.coordinates import LONGEST_TEXT, NotAPlace, read_place
from ..domain.planning.hazards import on_the_way_out
from ..languages import tell, told
from ..models import Site
from .fields import BearingField


class SafetyForm(forms.ModelForm):
    """What a site has for an emergency. A place is typed in any form that the program reads."""

    safety_bearing = BearingField(
        label=_("Safety bearing (degrees true)"),
        required=False,
        help_text=_(
            "Walked by who is lost, from anywhere on the site: to a road, a shore, a fence that "
            "nobody misses. Phones show it with the cautions, in degrees magnetic of the day."
        ),
    )
    meeting_place = forms.CharField(
        label=_("Where the meeting point is"),
        max_length=LONGEST_TEXT,
        required=False,
        help_text=_("Coordinates or a grid reference."),
    )

    class Meta:
        model = Site
        fields = ["safety_leads_to", "meeting_point", "way_in", "contacts"]
        labels = {
            "safety_leads_to": _("It leads to"),
            "meeting_point": _("Meeting point, in words"),
            "way_in": _("The way in for rescuers"),
            "contacts": _("Whom to call"),
        }
        help_texts = {
            "way_in": _("Which gate, which track, what a vehicle can pass."),
            "contacts": _("The emergency number here, the ground's keeper, you: one a line."),
        }
        widgets = {
            "way_in": forms.Textarea(attrs={"rows": 3}),
            "contacts": forms.Textarea(attrs={"rows": 3}),
        }

    field_order = [
        "safety_bearing",
        "safety_leads_to",
        "meeting_point",
        "meeting_place",
        "way_in",
        "contacts",
    ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        site = self.instance
        if site.safety_bearing_deg is not None:
            self.initial.setdefault("safety_bearing", f"{site.safety_bearing_deg:03.0f}")
        if site.meeting_latitude is not None:
            self.initial.setdefault(
                "meeting_place", f"{site.meeting_latitude:.6f}, {site.meeting_longitude:.6f}"
            )

    def clean_meeting_place(self):
        """A position, or None."""
        typed = self.cleaned_data["meeting_place"].strip()
        if not typed:
            return None
        try:
            return read_place(typed, self.instance.position()).position
        except NotAPlace as error:
            raise forms.ValidationError(told(error)) from error

    def clean_safety_bearing(self):
        """Degrees true, or None. Refuses a way that leads into a danger before it comes to a
        road.
        """
        bearing_deg = self.cleaned_data["safety_bearing"]
        if bearing_deg is None:
            return None
        site = self.instance
        met = on_the_way_out(site.as_domain(), site.hazards_as_domain(), bearing_deg)
        if met:
            raise forms.ValidationError(
                tell(
                    "From station {station} it leads to “{danger}” after {metres:.0f} m, before it "
                    "comes to a road. Choose another bearing.",
                    station=met[0].station,
                    danger=met[0].hazard.name,
                    metres=met[0].distance_m,
                )
            )
        return bearing_deg

    def save(self, commit=True):
        """Keep the bearing and the place as numbers."""
        site, place = self.instance, self.cleaned_data["meeting_place"]
        site.safety_bearing_deg = self.cleaned_data["safety_bearing"]
        site.meeting_latitude = place and place.latitude_deg
        site.meeting_longitude = place and place.longitude_deg
        return super().save(commit)


class CheckListForm(forms.Form):
    """The lines of a class's check list, one a line."""

    lines = forms.CharField(
        label=_("One a line"),
        max_length=6000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 12}),
    )

    def clean_lines(self):
        """The lines that hold something, each once."""
        lines = (" ".join(line.split())[:200] for line in self.cleaned_data["lines"].splitlines())
        return list(dict.fromkeys(line for line in lines if line))[:40]
