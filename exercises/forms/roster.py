"""Forms of the roster: names to put on it, a correction, a number of groups, who is a second name
of whom.
"""

import re
import unicodedata

from django import forms
from django.utils.translation import gettext_lazy as _

from ..domain.earth.plain_text import few_marks
from ..models import Person

PARTED = re.compile(r"[\t;,]")


class RosterForm(forms.Form):
    """Names, one a line, each with its group behind a comma or in a second column."""

    names = forms.CharField(
        label=_("Names, one a line"),
        max_length=20_000,
        help_text=_("A group may stand behind a comma, or in a second column of a table."),
        widget=forms.Textarea(attrs={"rows": 6, "autocomplete": "off", "spellcheck": "false"}),
    )

    def clean_names(self):
        """The lines that hold something: (line number, name, group)."""
        rows = []
        for number, line in enumerate(self.cleaned_data["names"].splitlines(), start=1):
            name, *rest = (_plain(part) for part in PARTED.split(line))
            if name:
                rows.append((number, name, rest[0] if rest else ""))
        return rows


class PersonForm(forms.Form):
    """A name and a group put right."""

    name = forms.CharField(label=_("Name"), max_length=30)
    group = forms.CharField(label=_("Group"), max_length=30, required=False)

    def clean_name(self):
        """A name without what cannot be seen."""
        return _plain(self.cleaned_data["name"])


class ShuffleForm(forms.Form):
    """How many groups."""

    number = forms.IntegerField(label=_("Number of groups"), min_value=1, max_value=40, initial=4)


class SameForm(forms.Form):
    """Of whom somebody is a second name."""

    first = forms.ModelChoiceField(label=_("is the same person as"), queryset=Person.objects.none())

    def __init__(self, *args, person, **kwargs):
        super().__init__(*args, **kwargs)
        others = Person.objects.filter(course_class=person.course_class_id).listed()
        self.fields["first"].queryset = others.exclude(pk=person.pk)


def _plain(text):
    """A text without what cannot be seen, and with one space between words."""
    whole = unicodedata.normalize("NFC", few_marks(text))
    shown = "".join(letter if letter.isprintable() else " " for letter in whole)
    return " ".join(shown.split())
