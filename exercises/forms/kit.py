"""Forms of a kit: its name, numbers to put into it, one compass, an entry of its log, what was seen
when each was looked over; and of a class: to whom compasses go.
"""

import uuid

from django import forms
from django.utils.translation import gettext_lazy as _

from .. import vocabulary
from ..domain.earth.angle_units import unit_of
from ..domain.running.kit import Event, NoNumbers, numbers
from ..languages import tell, told
from ..models import Kit, KitCompass
from .fields import SignedNumberField
from .station import dial_name, dials, read_dial


class KitForm(forms.ModelForm):
    """What a kit is called, and with whom it is shared."""

    class Meta:
        model = Kit
        fields = ["name", "organisation"]

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        organisations = user.organisations.all()
        is_others = self.instance.pk and self.instance.owner_id != user.pk
        if is_others or not organisations:
            del self.fields["organisation"]
        else:
            self.fields["organisation"].queryset = organisations
            self.fields["organisation"].empty_label = tell("nobody")


def _numbers(text):
    """The numbers of a text. Raises ValidationError."""
    try:
        return numbers(text)
    except NoNumbers as error:
        raise forms.ValidationError(told(error)) from error


class _OfInstruments(forms.ModelForm):
    """What compasses of one make have in common, with their dial."""

    dial = forms.TypedChoiceField(
        choices=dials, coerce=read_dial, label=_("Smallest step on its dial")
    )

    class Meta:
        model = KitCompass
        fields = ["kind", "is_adjustable", "bought"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        unit = unit_of(self.instance.unit)
        self.fields["dial"].initial = dial_name(unit, unit.number(self.instance.graduation_deg))
        self.fields["kind"].help_text = tell("Such as: baseplate, with a mirror, for low vision.")
        self.fields["bought"].help_text = tell("A year or a day, or nothing.")

    def instrument(self):
        """The fields of the row."""
        named = {name: self.cleaned_data[name] for name in self._meta.fields}
        return named | self.cleaned_data["dial"]


class CompassesForm(_OfInstruments):
    """Several numbers at once."""

    numbers = forms.CharField(
        label=_("Numbers"), max_length=400, help_text=_("Such as 1-12, or 1-8, 11, A3.")
    )

    field_order = ["numbers", "kind", "dial", "is_adjustable", "bought"]

    def clean_numbers(self):
        """Each number once."""
        return _numbers(self.cleaned_data["numbers"])


class KitCompassForm(_OfInstruments):
    """One compass put right."""

    class Meta(_OfInstruments.Meta):
        fields = ["kind", "is_adjustable", "bought", "notes"]
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}

    field_order = ["kind", "dial", "is_adjustable", "bought", "notes"]

    def keep(self):
        """Store it."""
        for name, value in self.instrument().items():
            setattr(self.instance, name, value)
        self.instance.save(update_fields=[*self.instrument()])


def token():
    """What makes an entry one entry, however often its form is sent."""
    return str(uuid.uuid4())


class EntryForm(forms.Form):
    """An entry of a log by hand."""

    event = forms.ChoiceField(
        label=_("What happened"),
        choices=lambda: [
            (event.value, told(words).capitalize())
            for event, words in vocabulary.KIT_ENTRIES.items()
        ],
    )
    offset_deg = SignedNumberField(
        label=_("Off by (degrees, reading minus right; if it was measured)"),
        required=False,
        min_value=-180,
        max_value=180,
    )
    words = forms.CharField(label=_("In words"), max_length=200, required=False)
    token = forms.CharField(widget=forms.HiddenInput, initial=token, max_length=40)

    def entry(self):
        """What is written."""
        return self.cleaned_data | {"event": Event(self.cleaned_data["event"])}


# what one sees of a compass without a line to sight
SEEN = (Event.LOOKED, Event.NEEDLE, Event.BUBBLE, Event.DAMAGED)


class LookForm(forms.Form):
    """What was seen when each compass was looked over: a field for each, by its number."""

    rest = forms.BooleanField(label=_("All others are sound"), required=False)
    token = forms.CharField(widget=forms.HiddenInput, initial=token, max_length=40)

    def __init__(self, *args, compasses, **kwargs):
        super().__init__(*args, **kwargs)
        choices = [
            ("", "—"),
            *((event.value, told(vocabulary.KIT_ENTRIES[event])) for event in SEEN),
        ]
        self.compasses = compasses
        for compass in compasses:
            self.fields[_look(compass)] = forms.ChoiceField(
                label=compass.number, choices=choices, required=False
            )

    def each(self):
        """The field of each compass."""
        return [self[_look(compass)] for compass in self.compasses]

    def found(self):
        """(compass, what was seen of it), of those of which something was said."""
        usual = Event.LOOKED.value if self.cleaned_data["rest"] else ""
        return [
            (compass, Event(seen))
            for compass in self.compasses
            if (seen := self.cleaned_data[_look(compass)] or usual)
        ]


def _look(compass):
    return f"look{compass.pk}"


class GiveForm(forms.Form):
    """Numbers that go to a person, by key, or to a group, by name."""

    numbers = forms.CharField(max_length=400)
    person = forms.IntegerField(required=False)
    group = forms.CharField(max_length=30, required=False)

    def clean_numbers(self):
        """Each number once."""
        return _numbers(self.cleaned_data["numbers"])
