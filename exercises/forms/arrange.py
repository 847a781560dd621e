"""Forms of copies and settings: a course's name, a class once more, what of a class may change."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import Course, CourseClass
from .fields import DATE, ClassDateField, KeepsNames

IN_DRAFT = ("date", "time_zone", "key_source")  # what the frozen key was computed for


class NameForm(forms.ModelForm):
    """A course's name, and the rule by which it is passed."""

    class Meta:
        model = Course
        fields = ["name", "pass_share"]
        labels = {"name": _("Name")}


class AgainForm(forms.Form):
    """A class once more: what it is called, and when it is."""

    name = forms.CharField(label=_("Name"), max_length=80)
    on = ClassDateField(label=_("Date"), widget=DATE)


class RetestForm(AgainForm):
    """A retest: whose, what it is called, when, and whether elsewhere."""

    person = forms.IntegerField(required=False, widget=forms.HiddenInput)
    elsewhere = forms.BooleanField(
        label=_("Other lines of the same kind, where the ground has some"),
        required=False,
        help_text=_("Else the very tasks that were missed, at the same marks."),
    )


class SettingsForm(KeepsNames, forms.ModelForm):
    """What of a class can be changed: before it opens all; then what the key does not rest on."""

    has_new_code = forms.BooleanField(
        label=_("Give it a new code"),
        required=False,
        help_text=_(
            "The old code and its picture open nothing any more. Who has joined stays in the class."
        ),
    )

    class Meta:
        model = CourseClass
        fields = [
            *("name", "date", "time_zone", "key_source", "feedback", "asks"),
            *("pass_share", "names_until"),
        ]
        field_classes = {"date": ClassDateField}
        widgets = {"date": DATE, "names_until": DATE}
        help_texts = {
            "feedback": _(
                "Changed once people have read, it holds for what they read already as well: where "
                "the answer comes at once or after a hint the first try counts, else the last one."
            ),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.state != CourseClass.State.DRAFT:
            for name in IN_DRAFT:
                del self.fields[name]
        if self.instance.names_purged_at:
            del self.fields["names_until"]

    def wanted(self):
        """What was changed, by the name of the field."""
        return {
            name: self.cleaned_data[name]
            for name in self._meta.fields
            if name in self.cleaned_data and self.cleaned_data[name] != self.initial.get(name)
        }
