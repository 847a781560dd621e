"""The form of a set check: what each compass showed of one far line."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..domain.earth.angles import NotABearing, parse_bearing
from ..languages import tell, told
from .fields import BearingField, NumberField

MOST_COMPASSES, MOST_READINGS = 60, 10


class SetCheckForm(forms.Form):
    """Compasses with their readings, a line each: the number, then what it showed, once or
    several times. `lines` are those of a site that may be chosen: (code, words).
    """

    readings = forms.CharField(
        label=_("Compass and bearing, one a line"),
        max_length=6000,
        widget=forms.Textarea(attrs={"rows": 10, "inputmode": "text", "spellcheck": "false"}),
        help_text=_(
            "All sight one line, a kilometre away or more, from one mark: “7 124”, or “7 124 125” "
            "where it was read twice. Degrees magnetic, no declination set."
        ),
    )
    step_deg = NumberField(
        label=_("A tick on the dial (degrees)"), initial=2, min_value=0.5, max_value=30
    )
    along = forms.ChoiceField(label=_("The line is one of the site’s"), required=False)
    line = BearingField(
        label=_("The line itself, where it is known (degrees magnetic)"), required=False
    )

    def __init__(self, *args, lines=(), **kwargs):
        super().__init__(*args, **kwargs)
        if lines:
            self.fields["along"].choices = [("", tell("No, another far line")), *lines]
        else:
            del self.fields["along"]

    def clean(self):
        """A line is chosen or its bearing is given, not both."""
        cleaned = super().clean()
        if cleaned.get("along") and cleaned.get("line") is not None:
            self.add_error("line", tell("Choose a line of the site or give a bearing, not both."))
        return cleaned

    def clean_readings(self):
        """{number: [degrees magnetic]}, in the order of the lines."""
        found = {}
        for place, line in enumerate(self.cleaned_data["readings"].splitlines(), start=1):
            number, *texts = line.replace(":", " ").split()[: MOST_READINGS + 1] or [""]
            if not number:
                continue
            if not texts:
                continue  # a compass that was not read
            found.setdefault(number.upper()[:8], []).extend(_read(texts, place))
        if len(found) > MOST_COMPASSES:
            raise forms.ValidationError(
                tell("A check holds {most} compasses.", most=MOST_COMPASSES)
            )
        return found


def _read(texts, line):
    """The bearings of a line. Raises ValidationError, naming the line."""
    try:
        return [parse_bearing(text).degrees for text in texts]
    except NotABearing as error:
        raise forms.ValidationError(
            tell("Line {line}: {why}", line=line, why=told(error))
        ) from error
