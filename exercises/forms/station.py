"""Forms of the phone: a class code, joining, going on with a personal code, another compass."""

import math
import re
import unicodedata
import uuid

from django import forms
from django.utils.translation import gettext_lazy as _

from .. import vocabulary
from ..domain.earth.angle_units import DEGREES, UNITS, unit_of
from ..domain.earth.length_units import FEET, METRES, PACES
from ..domain.earth.plain_text import few_marks
from ..languages import tell, told
from ..models.course_class import LONGEST_PACE_M, SHORTEST_PACE_M, name_key
from .fields import NumberField

MOST_NAMES = 6
MOST_ON_A_PHONE = 30


def plain_code(text):
    """A code as it is kept, of one as people type it: in small letters, with spaces or dashes.

    >>> plain_code(" k3m-9 tp. ")
    'K3M9TP'
    """
    return re.sub(r"[\W_]", "", unicodedata.normalize("NFKC", few_marks(text))).upper()


class CodeForm(forms.Form):
    """The code of a class or of a card, however it is typed."""

    code = forms.CharField(max_length=40, label=_("Class code"))

    def clean_code(self):
        """The code as it is kept; what holds no letter stays as it was typed, to be named."""
        return plain_code(self.cleaned_data["code"]) or self.cleaned_data["code"]


class GoOnForm(forms.Form):
    """The personal code of somebody whose own phone is gone."""

    personal_code = forms.CharField(
        max_length=40,
        label=_("Your personal code"),
        help_text=_("It stood on your first phone. Your instructor can look it up."),
        widget=forms.TextInput(
            attrs={
                "autocapitalize": "characters",
                "autocomplete": "off",
                "autocorrect": "off",
                "spellcheck": "false",
            }
        ),
    )

    def clean_personal_code(self):
        """The code as it is kept; what holds no letter stays as it was typed, to be named."""
        typed = self.cleaned_data["personal_code"]
        return plain_code(typed) or typed


class KeptCodesForm(GoOnForm, CodeForm):
    """The two codes that a sheet bears: of a class that was held, and of a person in it."""

    field_order = ("code", "personal_code")


def dials():
    """The dials to choose from, with how a form names each: degrees first, then each sort of mils.

    >>> dials()[0][1][0]
    ('1', '1°')
    """
    in_degrees = [*((f"{step:g}", f"{step:g}°") for step in DEGREES.steps), (TOUCH, _BY_TOUCH)]
    others = (unit for unit in UNITS.values() if unit is not DEGREES)
    return [
        (told(vocabulary.DIALS[DEGREES.code]), in_degrees),
        *(
            (
                told(vocabulary.DIALS[unit.code]),
                [(dial_name(unit, step), _step_text(unit, step)) for step in unit.steps],
            )
            for unit in others
        ),
    ]


def dial_name(unit, step):
    """How a form names a dial: `2` of degrees, `mil6400:20` of mils."""
    return f"{step:g}" if unit is DEGREES else f"{unit.code}:{step:g}"


def _step_text(unit, step):
    """A step as one reads it off a dial: `20 mils`."""
    return tell("{step:.0f} {unit}", step=step, unit=vocabulary.UNITS[unit.code])


TOUCH, _BY_TOUCH = "15", _("15° or more, by touch")


def read_dial(text):
    """A dial of the form: its unit and its step in degrees, as `join_class` takes them.

    >>> read_dial("mil6400:20")
    {'unit': 'mil6400', 'graduation_deg': 1.125}
    """
    code, _colon, step = text.rpartition(":")
    unit = unit_of(code or DEGREES.code)
    return {"unit": unit.code, "graduation_deg": unit.degrees(float(step))}


class CompassForm(forms.Form):
    """The compass in hand; `unit` is what those of the class are marked in."""

    compass = forms.RegexField(
        r"^[A-Za-z0-9-]{0,8}$",
        required=False,
        label=_("Number on your compass"),
        error_messages={
            "invalid": _("Use the number on the compass: up to eight letters or digits.")
        },
    )
    graduation = forms.TypedChoiceField(
        choices=dials, coerce=read_dial, label=_("Smallest step on its dial")
    )
    is_set = forms.TypedChoiceField(
        choices=[("no", _("No, or I do not know")), ("yes", _("Yes, it is set for this place"))],
        coerce=lambda text: text == "yes",
        initial="no",
        label=_("Is the declination set on it?"),
    )

    def __init__(self, *args, unit, **kwargs):
        super().__init__(*args, **kwargs)
        self.insisted = self.data.get("insisted", "")
        usual = unit_of(unit)
        self.fields["graduation"].initial = dial_name(usual, usual.usual_step)

    def warn_of_withdrawn(self):
        """Say that the compass was withdrawn; who sends the same number again keeps it, for a child
        is not to stand outside. Returns whether it was said.
        """
        number = self.cleaned_data["compass"].upper()
        if self.insisted == number:
            return False
        self.insisted = number
        self.add_error(
            "compass",
            tell(
                "Compass {number} was withdrawn: ask your instructor for another one, and put in "
                "its number. If you are to use it all the same, press the button again.",
                number=number,
            ),
        )
        return True

    def instrument(self):
        """What joining and changing are told of it."""
        in_hand = self.cleaned_data
        return {
            "compass_number": in_hand["compass"].upper(),
            "declination_is_set": in_hand["is_set"],
            **in_hand["graduation"],
        }


class LengthsForm(forms.Form):
    """The unit in which lengths are told on a phone."""

    lengths = forms.ChoiceField(label=_("Lengths are told in"), widget=forms.RadioSelect)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["lengths"].choices = [
            (code, told(name)) for code, name in vocabulary.LENGTHS.items()
        ]


SHORTEST_LINE_M, LONGEST_LINE_M = 20, 600  # of a taped line
# what its length is asked in, by the unit that somebody chose: a line is not taped in paces
TAPES = {
    METRES: (METRES, _("Length of the taped line, metres"), 100),
    PACES: (METRES, _("Length of the taped line, metres"), 100),
    FEET: (FEET, _("Length of the taped line, feet"), 300),
}


class PaceForm(forms.Form):
    """How many double paces the people of a phone take over a taped line: one field for each, named
    by their key. `lengths` is the unit that they chose for lengths.
    """

    length = NumberField()

    def __init__(self, *args, people, lengths=METRES, **kwargs):
        super().__init__(*args, **kwargs)
        self.tape, label, usual = TAPES[lengths]
        limits = {
            "min_value": math.ceil(self.tape.number(SHORTEST_LINE_M)),
            "max_value": math.floor(self.tape.number(LONGEST_LINE_M)),
        }
        self.fields["length"] = NumberField(label=label, initial=usual, **limits)
        for person in people:
            self.fields[f"person{person.pk}"] = NumberField(
                label=tell("{name}: double paces", name=person.name),
                required=len(people) == 1,
                min_value=5,
                max_value=600,
                error_messages={
                    "min_value": _("That is too few for a taped line."),
                    "max_value": _("That is too many for a taped line."),
                },
                help_text=_(
                    "Count each time the same foot comes down. Walk it there and back, and take "
                    "the mean."
                ),
            )

    def _length_m(self):
        """The length of the line, metres; None where none that makes sense was given."""
        length = self.cleaned_data.get("length")
        return length and self.tape.metres(length)

    def clean(self):
        """Refuse counts that make no pace of a person."""
        cleaned = super().clean()
        length_m = self._length_m()
        for name, count in list(cleaned.items()):
            if (
                name != "length"
                and count
                and length_m
                and not SHORTEST_PACE_M <= length_m / count <= LONGEST_PACE_M
            ):
                self.add_error(
                    name,
                    tell(
                        "That makes a double pace of {metres:.1f} m. Count each time the same "
                        "foot comes down.",
                        metres=length_m / count,
                    ),
                )
        return cleaned

    def paces_m(self):
        """The double pace of each person who counted, metres, by their key."""
        return {
            int(name.removeprefix("person")): self._length_m() / count
            for name, count in self.cleaned_data.items()
            if name != "length" and count
        }


class JoinForm(CompassForm):
    """One name, or several for a group that shares the phone; and the compass."""

    names = forms.CharField(
        max_length=200,
        label=_("Your name"),
        help_text=_("A nickname is fine. Sharing this phone? Put commas between the names."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    token = forms.UUIDField(
        widget=forms.HiddenInput,
        required=False,
        initial=uuid.uuid4,
        error_messages={"invalid": _("Load this page again, then join.")},
    )
    field_order = ["names", "compass", "graduation", "is_set", "token"]

    def __init__(self, *args, people_here, **kwargs):
        super().__init__(*args, **kwargs)
        self.people_here = people_here

    def clean_names(self):
        """The names, each at most 30 characters, no two alike."""
        text = "".join(
            " " if unicodedata.category(c).startswith("C") else c
            for c in self.cleaned_data["names"]
        )
        names = [
            name for name in (re.sub(r"\s+", " ", part).strip() for part in text.split(",")) if name
        ]
        if not names or len(names) > MOST_NAMES:
            raise forms.ValidationError(
                tell("Give one to {number} names, with commas between them.", number=MOST_NAMES)
            )
        if any(len(name) > 30 for name in names):
            raise forms.ValidationError(_("A name can have up to 30 letters."))
        if len({name_key(name) for name in names}) < len(names):
            raise forms.ValidationError(_("Two of the names are alike. Add a letter to one."))
        return names

    def clean(self):
        """Refuse more people than a phone can write for, with those who are on it."""
        cleaned = super().clean()
        if not self.errors and self.people_here + len(cleaned["names"]) > MOST_ON_A_PHONE:
            self.add_error(
                "names",
                tell(
                    "A phone can write for {number} people. Use another phone for the rest.",
                    number=MOST_ON_A_PHONE,
                ),
            )
        return cleaned
