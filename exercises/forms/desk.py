"""Forms of the desk: sites, points, courses, tasks, classes."""

import json

from django import forms
from django.utils import translation
from django.utils.formats import number_format
from django.utils.translation import gettext_lazy as _

from ..domain.earth import geodesy
from ..domain.earth.norths import NORTH_WORDS
from ..domain.planning.proposal import MIXED, MOST_TASKS, Line
from ..domain.surveying.traverse import BadLegs, parse_legs
from ..domain.tasks import bands
from ..domain.tasks.kinds import REGISTER, kind_of
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..domain.words import together
from ..exchange.rows import slip
from ..languages import tell, told
from ..models import Course, CourseClass, Person, Point, Site, Task
from ..models.course import FEEDBACK_CHOICES, NORTH_CHOICES
from .fields import LatitudeField, LongitudeField, NumberField, SignedNumberField


class SiteForm(forms.ModelForm):
    """A site; its grid must suit its place."""

    class Meta:
        model = Site
        fields = ["name", "latitude", "longitude", "grid_epsg", "cautions"]
        labels = {
            "name": _("Name"),
            "latitude": _("Latitude"),
            "longitude": _("Longitude"),
            "cautions": _("Cautions"),
        }
        field_classes = {"latitude": LatitudeField, "longitude": LongitudeField}
        widgets = {"cautions": forms.Textarea(attrs={"rows": 4})}

    def clean(self):
        """Refuse a grid that is not meant for the place."""
        cleaned = super().clean()
        if position := _position(cleaned):
            try:
                geodesy.convergence(
                    position, cleaned.get("grid_epsg") or geodesy.utm_epsg(position)
                )
            except geodesy.UnsuitableGrid as error:
                self.add_error("grid_epsg", told(error))
        return cleaned


class PointFields(forms.ModelForm):
    """What a point is, wherever it lies: code, name, mark, and whether it can be sighted."""

    class Meta:
        model = Point
        fields = ["code", "name", "mark", "is_target"]
        labels = {"code": _("Code"), "name": _("Name"), "mark": _("Mark")}

    def clean_code(self):
        """Codes are in capitals."""
        return self.cleaned_data["code"].upper()

    def clean(self):
        """Refuse a point that is nothing."""
        cleaned = super().clean()
        if not cleaned.get("mark") and not cleaned.get("is_target"):
            self.add_error(
                "mark",
                _(
                    "Say where to stand, or tick that it can be sighted: a point is a station, a "
                    "target, or both."
                ),
            )
        return cleaned


SURVEYED = ("latitude", "longitude", "elevation_m", "accuracy_m", "method")


class PointForm(PointFields):
    """A point of a site with its position, which must lie near the site."""

    class Meta(PointFields.Meta):
        fields = [
            "code",
            "name",
            "latitude",
            "longitude",
            "elevation_m",
            "accuracy_m",
            "method",
            "mark",
            "is_target",
        ]
        labels = {
            **PointFields.Meta.labels,
            "latitude": _("Latitude"),
            "longitude": _("Longitude"),
            "method": _("Method"),
        }
        field_classes = {
            "latitude": LatitudeField,
            "longitude": LongitudeField,
            "elevation_m": SignedNumberField,
            "accuracy_m": NumberField,
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # what the page showed comes back with it: a survey that came meanwhile is not undone by an
        # old page
        for name in SURVEYED:
            self.fields[name].show_hidden_initial = True

    def is_moved(self):
        """Whether the position, or how well it is known, was typed anew."""
        return any(name in self.changed_data for name in SURVEYED)

    def clean(self):
        """Refuse a point that is far from its site, and say what the likely slip is."""
        cleaned = super().clean()
        position, site = _position(cleaned), self.instance.site
        if position and (metres := geodesy.apart_m(site.position(), position)) > FAR_FROM_SITE_M:
            self.add_error(
                "latitude",
                tell(
                    "This is {distance} km from {site}. {slip}",
                    distance=number_format(round(metres / 1000.0), force_grouping=True),
                    site=site.name,
                    slip=slip(position, site.position()),
                ),
            )
        return cleaned


def _position(cleaned):
    """The position of a form that holds one on the Earth, else None: the fields' own checks come
    later and say what is wrong.
    """
    try:
        return geodesy.Position(cleaned.get("latitude"), cleaned.get("longitude"))
    except geodesy.PositionOutOfRange:
        return None


class CourseForm(forms.ModelForm):
    """A course."""

    class Meta:
        model = Course
        fields = ["name"]
        labels = {"name": _("Name")}


def _tolerances():
    """The choices of a tolerance, in the reader's language."""
    named = [
        (
            key,
            tell(
                "{name}: {degrees:g}°", name=preset.name, degrees=float(preset.band.full_credit_deg)
            ),
        )
        for key, preset in bands.PRESETS.items()
    ]
    return [*named, ("", tell("As typed below"))]


def _in_degrees(kind):
    return kind.widget != "place"


def _in_metres(kind):
    return kind.widget == "place"


WANTED = {  # the fields of a task that not every kind has, each with the kinds that want it
    "target": lambda kind: kind.needs_target,
    "second": lambda kind: kind.needs_more,
    "third": lambda kind: kind.needs_more,
    "legs": lambda kind: kind.has_legs,
    "then_face": lambda kind: kind.has_field_half,
    "given_deg": lambda kind: kind.gives_bearing,
    "given_north": lambda kind: kind.gives_bearing,
    "preset": _in_degrees,
    "full_credit_deg": _in_degrees,
    "part_credit_deg": _in_degrees,
    "full_credit_m": _in_metres,
    "part_credit_m": _in_metres,
}


class TaskForm(forms.ModelForm):
    """One task: the fields that its kind needs, and a band by name or by number."""

    preset = forms.ChoiceField(
        label=_("Tolerance"), required=False, initial="usual", choices=_tolerances
    )
    then_face = forms.BooleanField(
        label=_("Then face it on the ground: which target lies there?"), required=False
    )

    class Meta:
        model = Task
        fields = [
            "kind",
            "station",
            "target",
            "second",
            "third",
            "legs",
            "north",
            "given_deg",
            "given_north",
            "preset",
            "full_credit_deg",
            "part_credit_deg",
            "full_credit_m",
            "part_credit_m",
            "feedback",
        ]
        labels = {
            "kind": _("Kind"),
            "station": _("Station"),
            "target": _("Target"),
            "second": _("Second point"),
            "third": _("Third point"),
        }
        help_texts = {
            "second": _(
                "Where you stand: another target to sight. Where something is: another station "
                "to sight it from."
            ),
            "third": _("Optional: a third line shows a mistake."),
        }
        field_classes = {
            "given_deg": NumberField,
            "full_credit_deg": NumberField,
            "part_credit_deg": NumberField,
            "full_credit_m": NumberField,
            "part_credit_m": NumberField,
        }

    def __init__(self, *args, site, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["station"].queryset = site.points.exclude(mark="")
        self.fields["target"].queryset = self.fields["second"].queryset = self.fields[
            "third"
        ].queryset = site.points.order_by("-is_target", "code")
        for name in ("full_credit_deg", "part_credit_deg"):
            self.initial[name] = None
        self.fields["kind"].widget.attrs["data-norths"] = json.dumps(
            {kind.code: kind.norths for kind in REGISTER.values()}
        )
        self.fields["kind"].widget.attrs["data-presets"] = json.dumps(
            {kind.code: "usual" if kind.uses_compass else "paper" for kind in REGISTER.values()}
        )
        for name, wanted in WANTED.items():
            self.fields[name].widget.attrs["data-for"] = " ".join(
                kind.code for kind in REGISTER.values() if wanted(kind)
            )
            self.fields[name].required = False
        self.fields["part_credit_deg"].help_text = _(
            "Type both to overrule the tolerance chosen above."
        )

    def clean(self):
        """Fill in the preset, and ask for what the kind needs."""
        cleaned = super().clean()
        kind = kind_of(cleaned["kind"]) if cleaned.get("kind") else None
        for name, wanted in WANTED.items() if kind else ():
            if not wanted(kind):  # what another kind would need and was left from it
                cleaned[name] = "" if name in ("legs", "given_north") else None
                self.errors.pop(name, None)
        for name in ("full_credit_m", "part_credit_m"):
            if cleaned.get(name) is None and name not in self.errors:
                cleaned[name] = Task._meta.get_field(name).default
        if kind and kind.widget == "place":
            cleaned["preset"] = "usual"  # of no use here, but the row holds a band in degrees
        typed = [cleaned.get("full_credit_deg"), cleaned.get("part_credit_deg")]
        if typed == [None, None] and cleaned.get("preset"):
            band = bands.PRESETS[cleaned["preset"]].band
            cleaned["full_credit_deg"], cleaned["part_credit_deg"] = (
                band.full_credit_deg,
                band.part_credit_deg,
            )
        elif None in typed and not {"full_credit_deg", "part_credit_deg"} & set(self.errors):
            self.add_error(
                "full_credit_deg", _("Choose a tolerance by name, or type both numbers.")
            )
        if kind and kind.needs_target and not cleaned.get("target"):
            self.add_error("target", _("Choose the target."))
        elif (
            kind and not kind.has_legs and cleaned.get("target") and not cleaned["target"].is_target
        ):
            self.add_error(
                "target",
                tell(
                    "{code} is a mark that nobody sights. Choose a target, or walk to it.",
                    code=cleaned["target"].code,
                ),
            )
        if kind and kind.needs_more and not (cleaned.get("second") or cleaned.get("third")):
            self.add_error("second", _("Choose at least one more known point."))
        if kind and kind.needs_more:
            self._check_known(kind, cleaned)
        if kind and kind.has_legs and cleaned.get("legs"):
            try:
                parse_legs(cleaned["legs"])
            except BadLegs as error:
                self.add_error("legs", told(error))
        if kind and cleaned.get("north") and cleaned["north"] not in kind.norths:
            self.add_error("north", _not_asked(kind))
        if kind and kind.gives_bearing and not kind.needs_target:
            if cleaned.get("given_deg") is None:
                self.add_error("given_deg", _("Type the bearing that is given."))
            if not cleaned.get("given_north") or cleaned.get("given_north") == cleaned.get("north"):
                self.add_error(
                    "given_north",
                    _("Choose the north of the given bearing; it differs from the asked one."),
                )
        return cleaned

    def _check_known(self, kind, cleaned):
        """Known points that can serve: each another one, sighted, or stood on where one sights from
        them.
        """
        taken = [cleaned.get("station"), cleaned.get("target")]
        for name in ("second", "third"):
            point = cleaned.get(name)
            if point and point in taken:
                self.add_error(
                    name, tell("{code} is named already. Choose another point.", code=point.code)
                )
            elif point and kind.looks_from_known and not point.mark:
                self.add_error(
                    name,
                    tell(
                        "Nobody can stand at {code}: it has no mark. Choose a station.",
                        code=point.code,
                    ),
                )
            elif point and not kind.looks_from_known and not point.is_target:
                self.add_error(
                    name,
                    tell("{code} is a mark that nobody sights. Choose a target.", code=point.code),
                )
            taken.append(point)


LINE_KINDS = [
    (kind.code, translation.gettext_lazy(kind.name))
    for kind in REGISTER.values()
    if kind.is_proposed
]


def _not_asked(kind):
    """That a kind is not asked in some north, with those in which it is."""
    return tell(
        "“{kind}” is asked in these norths: {norths}.",
        kind=kind.name,
        norths=together([NORTH_WORDS[north] for north in kind.norths], ", "),
    )


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
    preset = forms.ChoiceField(
        label=_("Tolerance"), initial="usual", choices=lambda: _tolerances()[:-1]
    )

    def clean(self):
        """Only norths in which the kind is asked."""
        cleaned = super().clean()
        asked = {"magnetic", "true"} if cleaned.get("north") == MIXED else {cleaned.get("north")}
        if (
            cleaned.get("kind")
            and cleaned.get("north")
            and not asked <= set(kind_of(cleaned["kind"]).norths)
        ):
            self.add_error("north", _not_asked(kind_of(cleaned["kind"])))
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


class ChangeForm(forms.Form):
    """A change that the check offers, and what the task was when it was offered."""

    verb = forms.ChoiceField(
        choices=[(verb, verb) for verb in ("widen", "retarget", "drop", "reorder")]
    )
    task = forms.IntegerField(required=False, min_value=1)
    was = forms.CharField(required=False, max_length=60)
    full_credit_deg = forms.FloatField(required=False, min_value=0.5, max_value=180)
    part_credit_deg = forms.FloatField(required=False, min_value=0.5, max_value=180)
    target = forms.CharField(required=False, max_length=4)
    order = forms.CharField(required=False, max_length=1000)

    def clean(self):
        """Each change with what it needs."""
        cleaned = super().clean()
        needed = {
            "widen": ("task", "full_credit_deg", "part_credit_deg"),
            "retarget": ("task", "target"),
            "drop": ("task",),
            "reorder": ("order",),
        }[cleaned.get("verb") or "drop"]
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


class ClassForm(forms.ModelForm):
    """One holding of a course."""

    class Meta:
        model = CourseClass
        fields = ["name", "date", "time_zone", "feedback", "key_source"]
        widgets = {"date": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}


class BandForm(forms.ModelForm):
    """A wider band for one person."""

    class Meta:
        model = Person
        fields = ["wider_band_deg"]
        field_classes = {"wider_band_deg": NumberField}
