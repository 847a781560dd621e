"""Forms of the debrief: a correction of the key, and its reason."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..languages import tell, tell_signed


class CorrectionForm(forms.Form):
    """What is to be corrected, from the address of the page."""

    what = forms.ChoiceField(
        choices=[("station", "station"), ("line", "line"), ("drop", "drop"), ("back", "back")]
    )
    of = forms.CharField(max_length=8)
    degrees = forms.FloatField(required=False, min_value=-180, max_value=180)
    error = forms.FloatField(required=False, min_value=0, max_value=60)

    def clean(self):
        """A bias needs its size."""
        cleaned = super().clean()
        if cleaned.get("what") in ("station", "line") and cleaned.get("degrees") is None:
            raise forms.ValidationError(_("Give the bias in degrees."))
        cleaned["error"] = cleaned.get("error") or 0.0
        return cleaned

    def in_words(self):
        """What would be done, as a heading."""
        what, of, degrees = (self.cleaned_data[name] for name in ("what", "of", "degrees"))
        if what == "drop":
            return tell("Drop task {task}", task=of)
        if what == "back":
            return tell("Go back to version {version}", version=of)
        if what == "station":
            return tell(
                "Move the answers at station {station} by {degrees}°",
                station=of,
                degrees=tell_signed(degrees, 1),
            )
        return tell(
            "Move the answer of task {task} by {degrees}°", task=of, degrees=tell_signed(degrees, 1)
        )


class ReasonForm(forms.Form):
    """Why, and which version the new key was to be when the page was made."""

    reason = forms.CharField(
        max_length=200,
        label=_("Reason"),
        help_text=_("It stands with the new key, for your records."),
    )
    version = forms.IntegerField(
        widget=forms.HiddenInput,
        error_messages={
            "required": _("Open this page from the debrief again."),
            "invalid": _("Open this page from the debrief again."),
        },
    )
