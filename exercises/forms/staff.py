"""Forms of roles: an invitation, and a helper's name."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..languages import tell
from ..models import Invitation, Organisation


def _days():
    return [
        ("1", tell("until tomorrow")),
        ("7", tell("for a week")),
        ("60", tell("for sixty days")),
    ]


class InvitationForm(forms.ModelForm):
    """Which role, and for how long the link holds."""

    days = forms.TypedChoiceField(label=_("The link holds"), choices=_days, coerce=int, initial="1")

    class Meta:
        model = Invitation
        fields = ["role", "sees_answers"]


class HelperForm(forms.Form):
    """What a helper without an account is called."""

    name = forms.CharField(
        label=_("Your name"),
        max_length=40,
        help_text=_("It stands beside what you count and note."),
        widget=forms.TextInput(attrs={"autocomplete": "given-name"}),
    )


class OrganisationForm(forms.ModelForm):
    """What a new organisation is called."""

    class Meta:
        model = Organisation
        fields = ["name"]
