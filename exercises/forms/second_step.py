"""Forms of the second step at sign-in."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import AuthenticatorApp, Passkey
from .account import DeleteForm

LONGEST_ANSWER = 20_000  # letters of a browser's answer; one with the longest key has 4,000
WHICH_DEVICE = _("The device that it is on, so that you know which one to remove.")
CODE = {"autocomplete": "one-time-code", "inputmode": "numeric", "spellcheck": "false"}


class AppForm(DeleteForm):
    """An app: what it is called, the code that it shows, and the account's password."""

    name = forms.CharField(
        label=_("What you call it"),
        max_length=AuthenticatorApp._meta.get_field("name").max_length,
        help_text=WHICH_DEVICE,
    )
    code = forms.CharField(
        label=_("The six digits that it shows"), max_length=12, widget=forms.TextInput(attrs=CODE)
    )
    field_order = ["code", "name", "password"]


class PasskeyForm(DeleteForm):
    """A passkey: what it is called, and the account's password."""

    name = forms.CharField(
        label=_("What you call it"),
        max_length=Passkey._meta.get_field("name").max_length,
        help_text=WHICH_DEVICE,
    )
    field_order = ["name", "password"]


class AnswerForm(forms.Form):
    """What the browser says of a passkey, which the page's script puts in."""

    answer = forms.CharField(
        max_length=LONGEST_ANSWER,
        widget=forms.HiddenInput,
        error_messages={
            "required": _("The browser said nothing of a passkey. Let this page run its script."),
            "max_length": _("The browser said more than a passkey can. Try once more."),
        },
    )


class StepForm(forms.Form):
    """The code at sign-in. Without an app it is a recovery code; beside passkeys the cursor, and
    with it a phone's keyboard, waits.
    """

    code = forms.CharField(
        label=_("Code"),
        max_length=40,
        help_text=_("The six digits that your app shows, or one of your recovery codes."),
        widget=forms.TextInput(
            attrs={**CODE, "inputmode": "text", "autocapitalize": "characters", "autofocus": True}
        ),
    )

    def __init__(self, *args, has_app=True, has_passkey=False, **kwargs):
        super().__init__(*args, **kwargs)
        if not has_app:
            self.fields["code"].help_text = _("One of your recovery codes.")
        if has_passkey:
            del self.fields["code"].widget.attrs["autofocus"]
