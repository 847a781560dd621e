"""The form of one task: the fields that its kind wants, and a band by name or by number."""

import json

from django import forms
from django.utils.translation import gettext_lazy as _

from .. import vocabulary
from ..domain.surveying.traverse import BadLegs, parse_legs
from ..domain.tasks import bands, wants
from ..domain.tasks.kinds import REGISTER, kind_of
from ..domain.tasks.kinds.crossing import STATIONS, TARGETS
from ..domain.words import together
from ..languages import tell, told
from ..models import Task
from .fields import NumberField


def tolerances():
    """Bands by name, in the reader's language."""
    return [
        (
            code,
            tell(
                "{name}: {degrees:g}°",
                name=vocabulary.PRESETS[code],
                degrees=float(preset.band.full_credit_deg),
            ),
        )
        for code, preset in bands.PRESETS.items()
    ]


def _tolerances_or_typed():
    return [*tolerances(), ("", tell("As typed below"))]


# The fields of a task that not every kind has, each with the part that it belongs to.
PART_OF = {
    "target": wants.TARGET,
    "second": wants.KNOWN_POINTS,
    "third": wants.KNOWN_POINTS,
    "legs": wants.LEGS,
    "then_face": wants.FIELD_HALF,
    "given_deg": wants.GIVEN,
    "given_north": wants.GIVEN,
    "preset": wants.DEGREES,
    "full_credit_deg": wants.DEGREES,
    "part_credit_deg": wants.DEGREES,
    "full_credit_m": wants.METRES,
    "part_credit_m": wants.METRES,
}
# What most tasks leave as it is; folded in the form.
SELDOM = (
    "full_credit_deg",
    "part_credit_deg",
    "full_credit_m",
    "part_credit_m",
    "feedback",
    "angle_way",
)
IN_TEXT = ("legs", "given_north")  # empty, and not None, where they are not wanted


def not_asked(kind):
    """That a kind is not asked in some north, with those in which it is."""
    return tell(
        "“{kind}” is asked in these norths: {norths}.",
        kind=vocabulary.KINDS[kind.code],
        norths=together([vocabulary.NORTHS[north] for north in kind.norths], ", "),
    )


def _unmarked(point):
    return tell("Nobody can stand at {code}: it has no mark. Choose a station.", code=point.code)


def _unsighted(point):
    return tell("{code} is a mark that nobody sights. Choose a target.", code=point.code)


# What a known point must be, and what is said of one that is not.
KNOWN_POINTS = {
    STATIONS: (lambda point: bool(point.mark), _unmarked),
    TARGETS: (lambda point: point.is_target, _unsighted),
}


def _says_its_own(field):
    """That what stands in the field of a task is neither nothing nor what any new task has."""
    try:
        value = field.field.to_python(field.value())
    except forms.ValidationError:  # of a page that was out of date nothing else was looked at
        return True
    return value not in (None, "", Task._meta.get_field(field.name).default)


class TaskForm(forms.ModelForm):
    """One task: the fields that its kind needs, and a band by name or by number."""

    preset = forms.ChoiceField(
        label=_("Tolerance"), required=False, initial="usual", choices=_tolerances_or_typed
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
            "angle_way",
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
        self._begin_with_band()
        self.fields["kind"].widget.attrs["data-norths"] = json.dumps(
            {kind.code: kind.norths for kind in REGISTER.values()}
        )
        self.fields["kind"].widget.attrs["data-presets"] = json.dumps(
            {kind.code: "usual" if kind.uses_compass else "paper" for kind in REGISTER.values()}
        )
        for name, part in PART_OF.items():
            if name not in self.fields:
                continue
            self.fields[name].widget.attrs["data-for"] = " ".join(
                kind.code for kind in REGISTER.values() if part in kind.wants
            )
            self.fields[name].required = False
        self.fields["part_credit_deg"].help_text = _(
            "Type both to overrule the tolerance chosen above."
        )

    def asked_always(self):
        """The fields of a task that stand open."""
        return [field for field in self.visible_fields() if field.name not in SELDOM]

    def asked_seldom(self):
        """The fields that most tasks leave as they are."""
        return [field for field in self.visible_fields() if field.name in SELDOM]

    def is_fold_open(self):
        """Whether one of the seldom fields is wrong, or says something of its own."""
        return any(field.errors or _says_its_own(field) for field in self.asked_seldom())

    def _begin_with_band(self):
        """A new task has the usual tolerance; one that is changed has its own, by name where it has
        one. The half that a map task brings along is asked for once, when it is added.
        """
        typed = (self.initial["full_credit_deg"], self.initial["part_credit_deg"])
        named = {
            (preset.band.full_credit_deg, preset.band.part_credit_deg): code
            for code, preset in bands.PRESETS.items()
        }
        is_new = self.instance.pk is None
        if is_new or typed in named:
            self.initial |= {"full_credit_deg": None, "part_credit_deg": None}
        if not is_new:
            self.initial["preset"] = named.get(typed, "")
            del self.fields["then_face"]

    def clean(self):
        """Fill in the preset, and ask for what the kind wants."""
        cleaned = super().clean()
        kind = kind_of(cleaned["kind"]) if cleaned.get("kind") else None
        if kind:
            self._leave_out(kind, cleaned)
        self._fill_in_metres(cleaned)
        self._fill_in_degrees(cleaned)
        if kind:
            for part, check in CHECKS.items():
                if part in kind.wants:
                    check(self, kind, cleaned)
            if cleaned.get("north") and cleaned["north"] not in kind.norths:
                self.add_error("north", not_asked(kind))
        return cleaned

    def _leave_out(self, kind, cleaned):
        """What another kind would want and was left from it."""
        for name, part in PART_OF.items():
            if part not in kind.wants:
                cleaned[name] = "" if name in IN_TEXT else None
                self.errors.pop(name, None)
        if wants.DEGREES not in kind.wants:
            cleaned["preset"] = "usual"  # of no use here, but the row holds a band in degrees

    def _fill_in_metres(self, cleaned):
        """The usual band in metres, where none is typed."""
        for name in ("full_credit_m", "part_credit_m"):
            if cleaned.get(name) is None and name not in self.errors:
                cleaned[name] = Task._meta.get_field(name).default

    def _fill_in_degrees(self, cleaned):
        """The band that was chosen by name, unless both numbers are typed."""
        names = ("full_credit_deg", "part_credit_deg")
        typed = [cleaned.get(name) for name in names]
        if typed == [None, None] and cleaned.get("preset"):
            band = bands.PRESETS[cleaned["preset"]].band
            cleaned["full_credit_deg"] = band.full_credit_deg
            cleaned["part_credit_deg"] = band.part_credit_deg
        elif None in typed and not set(names) & set(self.errors):
            self.add_error(
                "full_credit_deg", _("Choose a tolerance by name, or type both numbers.")
            )

    def _check_target(self, kind, cleaned):
        """A target, which must be one that can be sighted unless one walks to it."""
        target = cleaned.get("target")
        if not target:
            self.add_error("target", _("Choose the target."))
        elif not target.is_target and wants.LEGS not in kind.wants:
            self.add_error(
                "target",
                tell(
                    "{code} is a mark that nobody sights. Choose a target, or walk to it.",
                    code=target.code,
                ),
            )

    def _check_known(self, kind, cleaned):
        """Known points that can serve: each another one, sighted, or stood on where one sights from
        them.
        """
        if not (cleaned.get("second") or cleaned.get("third")):
            self.add_error("second", _("Choose at least one more known point."))
        can_serve, complaint = KNOWN_POINTS[kind.known_points_are]
        taken = [cleaned.get("station"), cleaned.get("target")]
        for name in ("second", "third"):
            point = cleaned.get(name)
            if point and point in taken:
                self.add_error(
                    name, tell("{code} is named already. Choose another point.", code=point.code)
                )
            elif point and not can_serve(point):
                self.add_error(name, complaint(point))
            taken.append(point)

    def _check_legs(self, kind, cleaned):
        """Legs that can be walked."""
        try:
            parse_legs(cleaned.get("legs") or "")
        except BadLegs as error:
            self.add_error("legs", told(error))

    def _check_given(self, kind, cleaned):
        """The bearing that is given, where there is no line to take it from."""
        if wants.TARGET in kind.wants:
            return
        if cleaned.get("given_deg") is None:
            self.add_error("given_deg", _("Type the bearing that is given."))
        if not cleaned.get("given_north") or cleaned.get("given_north") == cleaned.get("north"):
            self.add_error(
                "given_north",
                _("Choose the north of the given bearing; it differs from the asked one."),
            )


CHECKS = {
    wants.TARGET: TaskForm._check_target,
    wants.KNOWN_POINTS: TaskForm._check_known,
    wants.LEGS: TaskForm._check_legs,
    wants.GIVEN: TaskForm._check_given,
}
