"""The form of a traverse: where it begins and ends, its field book, how well it was measured."""

import re
import uuid

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from ..domain.surveying.traverses.field_book import BadBook, read_book
from ..domain.surveying.traverses.leg_sets import Instruments
from ..languages import told
from ..models import Point
from ..models.course import NORTH_CHOICES
from .fields import CHOOSE, DATE, NumberField

LONGEST_NAME, LONGEST_MARK = 80, 200  # characters, as the points have them
NAMED = re.compile(r"(?:name|mark)-([A-Z0-9]{1,4})")


class TraverseForm(forms.Form):
    """Legs from a known point to a known point, with the uncertainties of compass and tape, and the
    day they were measured on. What new corners are called comes beside it, by their codes.
    """

    client_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    start = forms.ModelChoiceField(
        label=_("Begins at"), queryset=Point.objects.none(), empty_label=CHOOSE
    )
    end = forms.ModelChoiceField(
        label=_("Ends at"),
        queryset=Point.objects.none(),
        required=False,
        empty_label=_("the same point: a loop"),
    )
    legs = forms.CharField(
        label=_("Legs, one in each line"),
        max_length=10_000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 9, "spellcheck": "false", "autocapitalize": "off"}),
        help_text=_(
            "Code of the point it goes to, bearing, metres: P1 074 60.5. With the back bearing "
            "read there: P1 074/254 60.5. Another line of the same leg adds to its set; - for "
            "what was not measured again. The last leg goes to the end."
        ),
    )
    north = forms.ChoiceField(
        label=_("North of the bearings"), choices=NORTH_CHOICES, initial="magnetic"
    )
    bearing_error_deg = NumberField(
        label=_("Uncertainty of a bearing, degrees"),
        min_value=0.001,
        max_value=20,
        initial=1,
        help_text=_(
            "Standard uncertainty: a baseplate compass 1 to 2, a prismatic one 0.5, a theodolite "
            "0.01."
        ),
    )
    distance_error_m = NumberField(
        label=_("Uncertainty of a distance, metres"),
        min_value=0.001,
        max_value=50,
        initial=0.1,
        help_text=_("A tape 0.05 to 0.2."),
    )
    distance_error_percent = NumberField(
        label=_("And in per cent of its length"),
        min_value=0,
        max_value=20,
        initial=0,
        required=False,
        help_text=_("Paces 2 to 5, a tape on rough ground 0.1."),
    )
    on = forms.DateField(label=_("Measured on"), widget=DATE)
    anyway = forms.BooleanField(
        label=_("Store it though it does not close"), required=False, initial=False
    )

    def __init__(self, *args, site, **kwargs):
        super().__init__(*args, **{"initial": {"on": timezone.localdate()}, **kwargs})
        for name in ("start", "end"):
            self.fields[name].queryset = site.points.all()

    def way(self):
        """The fields of where it goes, for the page."""
        return [self[name] for name in ("start", "end", "legs")]

    def means(self):
        """The fields of how it was measured, for the page."""
        names = ("north", "bearing_error_deg", "distance_error_m", "distance_error_percent", "on")
        return [self[name] for name in names]

    def clean(self):
        """The field book, from the start to the end; all that is wrong in it, line by line."""
        cleaned = super().clean()
        if cleaned.get("start") and cleaned.get("legs"):
            end = cleaned.get("end") or cleaned["start"]
            try:
                cleaned["book"] = read_book(cleaned["legs"], cleaned["start"].code, end.code)
            except BadBook as error:
                self.refuse(error)
        return cleaned

    def refuse(self, error):
        """Say beside the legs what is wrong with them (`BadBook`)."""
        self.add_error("legs", [told(problem) for problem in error.problems])

    def instruments(self):
        """How well it was measured."""
        return Instruments(
            self.cleaned_data["bearing_error_deg"],
            self.cleaned_data["distance_error_m"],
            (self.cleaned_data.get("distance_error_percent") or 0.0) / 100.0,
        )

    def name_of(self, code):
        """What was typed as the name of a new corner."""
        return self.data.get(f"name-{code}", "").strip()[:LONGEST_NAME]

    def mark_of(self, code):
        """What was typed as the mark of a new corner."""
        return self.data.get(f"mark-{code}", "").strip()[:LONGEST_MARK]

    def kept(self, shown):
        """What was typed about new corners that the page does not show now, as (field, text) pairs:
        it comes back when the legs can be read again. `shown` are the codes of those shown.
        """
        return [
            (name, self.data.get(name))
            for name in self.data
            if (match := NAMED.fullmatch(name)) and match[1] not in shown
        ]
