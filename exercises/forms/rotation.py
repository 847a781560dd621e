"""The form of a rotation: when it begins, how long it may take, who helps, and what is kept."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..languages import tell


class RotationForm(forms.Form):
    """Chosen by a GET, so that a rotation has an address that gives it again."""

    begin = forms.TimeField(
        label=_("It begins at"), initial="10:00", widget=forms.TimeInput(attrs={"type": "time"})
    )
    minutes = forms.IntegerField(
        label=_("Minutes there are"), initial=60, min_value=1, max_value=600
    )
    helpers = forms.IntegerField(
        label=_("People who can stand somewhere"), initial=1, min_value=0, max_value=60
    )
    twice = forms.CharField(
        label=_("Stations that take two groups at once"),
        max_length=200,
        required=False,
        help_text=_("Their codes, with a space between."),
    )
    kept = forms.MultipleChoiceField(
        label=_("Dangers whose crossing somebody keeps"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args, dangers, **kwargs):
        super().__init__(*args, **kwargs)
        if dangers:
            self.fields["kept"].choices = [(name, name) for name in dangers]
        else:
            del self.fields["kept"]

    def clean_twice(self):
        """The codes, in capitals."""
        return self.cleaned_data["twice"].replace(",", " ").upper().split()


class BeginForm(forms.Form):
    """When a rotation starts."""

    at = forms.TimeField()


class LateForm(forms.Form):
    """In how many minutes each group that is away or late is back; empty of those who are there."""

    def __init__(self, *args, groups, **kwargs):
        super().__init__(*args, **kwargs)
        self.groups = groups
        for place, group in enumerate(groups):
            self.fields[f"late_{place}"] = forms.IntegerField(
                label=tell("Group {name}", name=group),
                required=False,
                min_value=1,
                max_value=600,
                widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
            )

    def late_min(self):
        """The minutes by group."""
        found = {
            group: self.cleaned_data[f"late_{place}"] for place, group in enumerate(self.groups)
        }
        return {group: minutes for group, minutes in found.items() if minutes}
