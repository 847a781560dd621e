"""Forms of courses and classes: names, a proposal, a change that the check offers, policies."""

from django import forms
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from .. import vocabulary
from ..domain.planning.findings import DROP, NARROW, REORDER, RETARGET, WIDEN
from ..domain.planning.proposal import MOST_TASKS
from ..domain.planning.weighing import MIXED, Line
from ..domain.tasks import bands
from ..domain.tasks.kinds import PROPOSED, kind_of
from ..models import Course, CourseClass, Person
from ..models.course import FEEDBACK_CHOICES, NORTH_CHOICES
from .fields import DATE, ClassDateField, KeepsNames, NumberField
from .task import not_asked, tolerances


class CourseForm(forms.ModelForm):
    """A course."""

    class Meta:
        model = Course
        fields = ["name"]
        labels = {"name": _("Name")}


LINE_KINDS = [(code, translation.gettext_lazy(vocabulary.KINDS[code])) for code in PROPOSED]


class ProposalForm(forms.Form):
    """What a proposed course should be: how many tasks, of which kind, in which north, how strict;
    lines that stay, and lines that do not come back.
    """

    number = forms.IntegerField(
        label=_("How many tasks"), initial=8, min_value=1, max_value=MOST_TASKS
    )
    kind = forms.ChoiceField(label=_("Kind"), choices=LINE_KINDS)
    north = forms.ChoiceField(
        label=_("Asked north"), choices=[(MIXED, _("magnetic and true in turn")), *NORTH_CHOICES]
    )
    preset = forms.ChoiceField(label=_("Tolerance"), initial="usual", choices=tolerances)

    def clean(self):
        """Only norths in which the kind is asked."""
        cleaned = super().clean()
        asked = {"magnetic", "true"} if cleaned.get("north") == MIXED else {cleaned.get("north")}
        if (
            cleaned.get("kind")
            and cleaned.get("north")
            and not asked <= set(kind_of(cleaned["kind"]).norths)
        ):
            self.add_error("north", not_asked(kind_of(cleaned["kind"])))
        return cleaned

    def lines(self, name):
        """The lines of the hidden fields `keep` or `refuse`, as `A>T1>true`; what is none is left
        out.
        """
        parts = (
            [text.split(">") for text in self.data.getlist(name)[: 4 * MOST_TASKS]]
            if hasattr(self.data, "getlist")
            else []
        )
        return [Line(*part) for part in parts if len(part) == 3 and part[2] in dict(NORTH_CHOICES)]

    @property
    def band(self):
        """The band of the tolerance that was chosen."""
        return bands.PRESETS[self.cleaned_data["preset"]].band


class PeopleForm(forms.Form):
    """For how many people the check of a course says what can be shown."""

    people = forms.IntegerField(label=_("Number of people"), initial=12, min_value=1, max_value=100)

    @classmethod
    def asked(cls, query):
        """The form as an address fills it in; as it is at first where that says nothing of it."""
        return cls(query if "people" in query else None, auto_id="power_%s")

    @property
    def people_asked(self):
        """How many, or as many as at first where what was typed is no number of people."""
        return self.cleaned_data["people"] if self.is_valid() else self.fields["people"].initial


NEEDED = {  # what each change of the check comes with
    WIDEN: ("task", "full_credit_deg", "part_credit_deg"),
    NARROW: ("task", "full_credit_deg", "part_credit_deg"),
    RETARGET: ("task", "target"),
    DROP: ("task",),
    REORDER: ("order",),
}


class ChangeForm(forms.Form):
    """A change that the check offers, and what the task was when it was offered."""

    verb = forms.ChoiceField(choices=[(verb, verb) for verb in NEEDED])
    task = forms.IntegerField(required=False, min_value=1)
    was = forms.CharField(required=False, max_length=60)
    full_credit_deg = forms.FloatField(required=False, min_value=0.5, max_value=180)
    part_credit_deg = forms.FloatField(required=False, min_value=0.5, max_value=180)
    target = forms.CharField(required=False, max_length=4)
    order = forms.CharField(required=False, max_length=1000)

    def clean(self):
        """Each change with what it needs."""
        cleaned = super().clean()
        needed = NEEDED[cleaned.get("verb") or DROP]
        if any(cleaned.get(name) in (None, "") for name in needed):
            raise forms.ValidationError(_("The change is not complete. Load the page again."))
        return cleaned


class PoliciesForm(forms.Form):
    """When the answer of each task of a course is told; one field a task, named by its number."""

    def __init__(self, *args, tasks, **kwargs):
        super().__init__(*args, **kwargs)
        for task in tasks:
            self.fields[f"task{task.number}"] = forms.ChoiceField(
                label=f"{task.number}: "
                f"{task.station.code}{f' → {task.target.code}' if task.target else ''}",
                choices=FEEDBACK_CHOICES,
                required=False,
                initial=task.feedback,
            )

    def policies(self):
        """The policy of each task by its number."""
        return {
            int(name.removeprefix("task")): policy for name, policy in self.cleaned_data.items()
        }


class ClassForm(KeepsNames, forms.ModelForm):
    """One holding of a course."""

    class Meta:
        model = CourseClass
        fields = [
            *("name", "date", "time_zone", "unit", "feedback", "asks", "key_source"),
            "names_until",
        ]
        field_classes = {"date": ClassDateField}
        widgets = {"date": DATE, "names_until": DATE}
        help_texts = {
            "names_until": _("Everybody who joins reads it. Empty: 90 days after the class."),
        }


class BandForm(forms.ModelForm):
    """A wider band for one person."""

    class Meta:
        model = Person
        fields = ["wider_band_deg"]
        field_classes = {"wider_band_deg": NumberField}
