"""Which days a report of a season is about."""

from django import forms
from django.utils.translation import gettext_lazy as _

from .fields import DATE


class SeasonForm(forms.Form):
    """From one day to another; `from` is a word of Python, so the fields are made by name."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["from"] = forms.DateField(label=_("From"), widget=DATE)
        self.fields["to"] = forms.DateField(label=_("To"), widget=DATE)

    def clean(self):
        """The days in their order."""
        cleaned = super().clean()
        begin, end = cleaned.get("from"), cleaned.get("to")
        if begin and end and end < begin:
            self.add_error("to", _("The last day is before the first. Exchange them."))
        return cleaned
