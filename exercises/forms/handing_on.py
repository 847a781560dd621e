"""Forms of a whole export: with names or without, and the file on its way back."""

from django import forms
from django.utils.translation import gettext_lazy as _


class ExportForm(forms.Form):
    """Whether names of participants go along."""

    with_names = forms.BooleanField(label=_("With the names of participants"), required=False)


class ImportForm(forms.Form):
    """The file."""

    file = forms.FileField(
        label=_("File"),
        widget=forms.ClearableFileInput(attrs={"accept": ".zip,application/zip"}),
        error_messages={"required": _("Choose the file first."), "empty": _("The file is empty.")},
    )
