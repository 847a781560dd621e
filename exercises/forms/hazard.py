"""The form of a hazard."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..domain.earth import coordinates, geodesy
from ..domain.earth.position import PositionOutOfRange
from ..domain.planning import hazards
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..exchange import read_as
from ..exchange.slips import slip
from ..languages import tell, told
from ..models import Hazard

MOST_CORNERS = 200


class HazardForm(forms.ModelForm):
    """Something that bends needles or endangers people: its kind, and its corners, one in each
    line, in any notation or as the code of a point.
    """

    places = forms.CharField(
        label=_("Corners, one in each line"),
        max_length=10_000,
        widget=forms.Textarea(attrs={"rows": 6, "data-corners": ""}),
        help_text=_(
            "In any notation, or the code of a point. One line is a spot, several are a line. Or "
            "draw it on the map."
        ),
    )

    class Meta:
        model = Hazard
        fields = ["kind", "name", "places", "is_area"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["places"] = "\n".join(
                f"{latitude:.6f}, {longitude:.6f}" for latitude, longitude in self.instance.corners
            )

    def clean_places(self):
        """The corners, each near the site."""
        site = self.instance.site
        by_code = {point.code: point.as_domain().position for point in site.points.all()}
        lines = [line for line in self.cleaned_data["places"].splitlines() if line.strip()]
        self.notes = []
        corners = [
            self._corner(number, line, by_code, site.position())
            for number, line in enumerate(lines, start=1)
        ]
        if len(corners) > MOST_CORNERS:
            raise forms.ValidationError(tell("Up to 200 corners."))
        self.instance.corners = [[corner.latitude_deg, corner.longitude_deg] for corner in corners]
        return self.cleaned_data["places"]

    def _corner(self, number, line, by_code, middle):
        """The position of a corner near the middle of its site: a point's code, or any notation.
        What had to be decided to read it goes to `notes`.
        """
        if code := by_code.get(line.strip().upper()):
            return code
        try:
            place = coordinates.read_place(line, middle)
        except (coordinates.NotAPlace, PositionOutOfRange) as error:
            raise forms.ValidationError(
                tell("Corner {number}: {reason}", number=number, reason=told(error))
            ) from error
        if geodesy.apart_m(place.position, middle) > FAR_FROM_SITE_M:
            raise forms.ValidationError(
                tell(
                    "Corner {number} is far from the site. {slip}",
                    number=number,
                    slip=slip(place.position, middle),
                )
            )
        self.notes += [
            tell("Corner {number}: {reason}", number=number, reason=told(note))
            for note in read_as.notes(place)
        ]
        return place.position

    def clean(self):
        """The outline must make sense."""
        cleaned = super().clean()
        if not self.errors:
            self.instance.is_area = cleaned["is_area"]
            try:
                self.instance.as_domain()
            except hazards.BadShape as error:
                self.add_error("places", told(error))
        return cleaned
