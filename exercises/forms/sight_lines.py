"""The form of how far a station sees."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..domain.planning.sights import LEAST_REACH_M, MOST_REACH_M
from .fields import NumberField


class ReachForm(forms.Form):
    """Everything within so many metres is seen, but for what is unticked again."""

    within = NumberField(
        label=_("Sees everything within, metres"),
        min_value=LEAST_REACH_M,
        max_value=MOST_REACH_M,
    )
