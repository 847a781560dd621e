"""Forms of the second step at sign-in."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import AuthenticatorApp
from .account import DeleteForm

CODE = {"autocomplete": "one-time-code", "inputmode": "numeric", "spellcheck": "false"}


class AppForm(DeleteForm):
    """An app: what it is called, the code that it shows, and the account's password."""

    name = forms.CharField(
        label=_("What you call it"),
        max_length=AuthenticatorApp._meta.get_field("name").max_length,
        help_text=_("The device that it is on, so that you know which one to remove."),
    )
    code = forms.CharField(
        label=_("The six digits that it shows"), max_length=12, widget=forms.TextInput(attrs=CODE)
    )
    field_order = ["code", "name", "password"]


class StepForm(forms.Form):
    """The code at sign-in."""

    code = forms.CharField(
        label=_("Code"),
        max_length=40,
        help_text=_("The six digits that your app shows, or one of your recovery codes."),
        widget=forms.TextInput(
            attrs={**CODE, "inputmode": "text", "autocapitalize": "characters", "autofocus": True}
        ),
    )
