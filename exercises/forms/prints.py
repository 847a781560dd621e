"""What paper there is, how large the cards are, and along which north the map's lines run."""

from dataclasses import dataclass

from django import forms
from django.utils.translation import gettext_lazy as _

from ..printing import cards, paper

FIRST = {"paper": "a4", "cards": "a5", "north": "tasks"}


@dataclass(frozen=True)
class Choices:
    """A sheet, a layout of cards, and a north along which a map is printed besides those that the
    tasks ask, or empty.
    """

    sheet: paper.Size
    layout: cards.Layout
    north: str


class PrintForm(forms.Form):
    """Chosen by a GET, so that a print has an address. Paper is what every print needs; without the
    others the first of each is taken.
    """

    paper = forms.ChoiceField(
        label=_("Paper"), choices=[("a4", _("A4")), ("letter", _("US Letter"))]
    )
    cards = forms.ChoiceField(
        label=_("Station cards"),
        required=False,
        choices=[
            ("a5", _("A5, two to a sheet")),
            ("a6", _("A6, four to a sheet")),
            ("half", _("half a Letter, two to a sheet")),
        ],
    )
    north = forms.ChoiceField(
        label=_("Lines on the map"),
        required=False,
        choices=[
            ("tasks", _("as the tasks ask")),
            ("grid", _("grid north")),
            ("true", _("meridians, true north")),
        ],
    )

    def choices(self):
        """What was chosen, or the first of each."""
        chosen = FIRST | (
            {name: value for name, value in self.cleaned_data.items() if value}
            if self.is_bound
            else {}
        )
        return Choices(
            paper.size(chosen["paper"]),
            cards.LAYOUTS[chosen["cards"]],
            "" if chosen["north"] == "tasks" else chosen["north"],
        )
