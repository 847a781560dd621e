"""Fields of the forms: numbers as people of every language write them."""
from django import forms


class NumberField(forms.FloatField):
    """A number with a comma or a point as its decimal mark, whatever the reader's language; shown with the mark of that language."""

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
