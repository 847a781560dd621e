"""Fields of the forms: numbers, bearings and days as people of every language write them."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..domain.earth import angles, coordinates, magnetics
from ..languages import told

CHOOSE = _("Choose …")
DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class ClassDateField(forms.DateField):
    """The day of a class: one of which a model tells the declination, else its key could not be
    computed when it opens.
    """

    def validate(self, value):
        """Raises ValidationError in the model's own words."""
        super().validate(value)
        if value:
            try:
                magnetics.must_cover(value)
            except magnetics.ModelExpired as error:
                raise forms.ValidationError(told(error)) from error


class KeepsNames:
    """For forms of a class: its names are kept at least until its day is over; an empty day is the
    one that it had.
    """

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["names_until"].required = False

    def clean(self):
        """The day until which names are kept is not before the class's own."""
        cleaned = super().clean()
        until = cleaned.get("names_until") or self.instance.names_until
        day = cleaned.get("date") or self.instance.date
        if "names_until" in cleaned:
            cleaned["names_until"] = until
        if until and day and until < day:
            self.add_error(
                "names_until", _("Names are kept until the class is over. Choose a later day.")
            )
        return cleaned


class NumberField(forms.FloatField):
    """A number with a comma or a point as its decimal mark, whatever the reader's language; shown
    with the mark of that language.
    """

    inputmode = "decimal"

    def __init__(self, **kwargs):
        super().__init__(**{"localize": True, **kwargs})

    def to_python(self, value):
        """The number, or None. A single comma where no point is can only be a decimal mark."""
        if isinstance(value, str) and value.count(",") == 1 and "." not in value:
            value = value.replace(",", ".")
        return super().to_python(value)

    def widget_attrs(self, widget):
        """The keys for a number on a phone."""
        return {**super().widget_attrs(widget), "inputmode": self.inputmode}


class SignedNumberField(NumberField):
    """A number that may be negative: the keys for numbers have no minus on some phones."""

    inputmode = "text"


class AngleField(SignedNumberField):
    """A latitude or a longitude: decimal degrees, or degrees with minutes and seconds and a letter:
    `45°07'48.7"S`.
    """

    def __init__(self, *, axis, **kwargs):
        super().__init__(**kwargs)
        self.axis = axis

    def to_python(self, value):
        """Decimal degrees, or None."""
        if not isinstance(value, str) or not value.strip():
            return super().to_python(value)
        try:
            angle = coordinates.read_degrees(value, self.axis)
        except coordinates.NotAPlace as error:
            raise forms.ValidationError(told(error)) from error
        return angle


class LatitudeField(AngleField):
    """A latitude."""

    def __init__(self, **kwargs):
        super().__init__(axis="latitude", **kwargs)


class LongitudeField(AngleField):
    """A longitude."""

    def __init__(self, **kwargs):
        super().__init__(axis="longitude", **kwargs)


class BearingField(forms.CharField):
    """A bearing as people write it, `angles.Written` degrees; empty is None."""

    def __init__(self, **kwargs):
        super().__init__(max_length=angles.LONGEST_TEXT, **kwargs)

    def clean(self, value):
        """Degrees in [0, 360), or None."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return angles.parse_bearing(text).degrees
        except angles.NotABearing as error:
            raise forms.ValidationError(told(error)) from error
