"""Forms of the debrief: a correction of the key, and its reason."""
from django import forms

from ..domain.angles import signed


class CorrectionForm(forms.Form):
    """What is to be corrected, from the address of the page."""

    what = forms.ChoiceField(choices=[("station", "station"), ("line", "line"), ("drop", "drop"), ("back", "back")])
    of = forms.CharField(max_length=8)
    degrees = forms.FloatField(required=False, min_value=-180, max_value=180)
    error = forms.FloatField(required=False, min_value=0, max_value=60)

    def clean(self):
        """A bias needs its size."""
        cleaned = super().clean()
        if cleaned.get("what") in ("station", "line") and cleaned.get("degrees") is None:
            raise forms.ValidationError("Give the bias in degrees.")
        cleaned["error"] = cleaned.get("error") or 0.0
        return cleaned

    def in_words(self):
        """What would be done, as a heading."""
        what, of, degrees = (self.cleaned_data[name] for name in ("what", "of", "degrees"))
        if what == "drop":
            return f"Drop task {of}"
        if what == "back":
            return f"Go back to version {of}"
        return f"Move the answers at station {of} by {signed(degrees, 1)}°" if what == "station" else f"Move the answer of task {of} by {signed(degrees, 1)}°"


class ReasonForm(forms.Form):
    """Why, and which version the new key was to be when the page was made."""

    reason = forms.CharField(max_length=200, label="Reason", help_text="It stands with the new key, for your records.")
    version = forms.IntegerField(widget=forms.HiddenInput, error_messages={"required": "Open this page from the debrief again.", "invalid": "Open this page from the debrief again."})
