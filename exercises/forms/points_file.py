"""Forms of a file of points: choosing it, saying how it is read, and typing over its cells."""

import json
import re

from django import forms
from django.utils.translation import gettext_lazy as _

from ..exchange import reading, rows
from ..exchange.columns import FIELDS, guess_columns
from ..exchange.sheet import BadFile, Sheet, tidy
from ..languages import tell, told
from ..models import Point
from .fields import DATE, NumberField


class SheetForm(forms.Form):
    """A file or a pasted text, as a `Sheet`; the second time the sheet comes back with the
    page.
    """

    file = forms.FileField(
        label=_("File"), required=False, help_text=_("CSV, XLSX, GPX waypoints, GeoJSON or KML.")
    )
    text = forms.CharField(
        label=_("Or paste places here"),
        required=False,
        strip=False,
        max_length=100_000,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text=_(
            "A place in each line, in any notation: degrees, UTM, MGRS, or what a phone shares. "
            "A name before it, with a colon: Gate 4: 45.13020 S, 170.10030 E. Or rows of a data "
            "collector: number, northing, easting, height, description."
        ),
    )

    def clean(self):
        """Read it; what is wrong is an error of the field that it came from."""
        cleaned = super().clean()
        file, text = cleaned.get("file"), cleaned.get("text")
        if not file and not (text or "").strip():
            raise forms.ValidationError(_("Choose a file, or paste places."))
        try:
            cleaned["sheet"] = (
                reading.read_file(file.name, file.read(reading.LARGEST_FILE + 1))
                if file
                else reading.read_csv(text)
            )
            cleaned["source"] = file.name if file else tell("pasted")
        except BadFile as error:
            self.add_error("file" if file else "text", told(error))
        return cleaned


NAMES = ("code", "name", "mark")  # keys of FIELDS that every row has, whatever its columns


class MappingForm(forms.Form):
    """How a sheet is read: a column for each field, the grid of eastings and northings, what holds
    where the sheet is silent, and what becomes of points that are there.

    With it go the rows of the page: `line` for those that are ticked, `code-LINE`, `name-LINE` and
    `mark-LINE`; `looked` is how they were read when they were shown.
    """

    sheet = forms.CharField(widget=forms.HiddenInput, strip=False)
    looked = forms.CharField(widget=forms.HiddenInput, required=False)
    source = forms.CharField(widget=forms.HiddenInput, required=False, max_length=200)
    epsg = forms.IntegerField(
        label=_("EPSG code of eastings and northings"),
        required=False,
        min_value=1024,
        max_value=999_999,
        help_text=_(
            "Empty for the site's UTM zone. Another datum is turned into WGS 84 where the way is "
            "known, and refused where not."
        ),
    )
    accuracy_m = NumberField(
        label=_("Accuracy where none is stated, metres"),
        initial=3.0,
        min_value=0.001,
        max_value=100,
    )
    method = forms.ChoiceField(label=_("Method"), choices=Point.Method)
    on = forms.DateField(label=_("Surveyed on"), widget=DATE)
    again = forms.ChoiceField(
        label=_("Points that are here already"),
        choices=[
            ("combine", _("keep both surveys and combine them")),
            ("replace", _("take the new position instead")),
            ("leave", _("leave as they are")),
        ],
    )

    def __init__(self, *args, sheet=None, **kwargs):
        super().__init__(*args, **kwargs)
        choices = [("", _("—")), *(_column_choices(sheet) if sheet else ())]
        for key, name in FIELDS.items():
            self.fields[f"column_{key}"] = forms.ChoiceField(
                label=told(name), choices=choices, required=False
            )

    @classmethod
    def of_sheet(cls, sheet, source, on):
        """The first form of a sheet, its columns guessed by their names."""
        guessed = {
            f"column_{key}": str(index) for key, index in guess_columns(sheet.columns).items()
        }
        return cls(
            sheet=sheet,
            initial={
                "sheet": as_text(sheet),
                "source": source,
                "on": on,
                "method": Point.Method.RECEIVER,
                **guessed,
            },
        )

    def mapping(self):
        """The fields that choose columns, for the page."""
        return [self[name] for name in self.fields if name.startswith("column_")]

    def others(self):
        """The other fields, for the page."""
        return [self[name] for name in ("epsg", "accuracy_m", "method", "on", "again")]

    def both_ways(self):
        """The sheet read in both orders of its numbers, where names do not tell: here they do."""
        return None

    def settings(self):
        """The settings for `rows.interpret`, from what was chosen or what stands there at first."""
        values = {
            name: self.get_initial_for_field(field, name) for name, field in self.fields.items()
        }
        if self.is_bound:  # what is wrong does not hide the rows: it is said beside its field
            values |= self.cleaned_data
        return rows.Settings(
            columns={
                key: int(values[f"column_{key}"]) for key in FIELDS if values.get(f"column_{key}")
            },
            epsg=values.get("epsg"),
            accuracy_m=values["accuracy_m"],
            method=values["method"],
            named=self._named(),
        )

    def _named(self):
        """Code, name and mark as they were typed, by line; not those whose column was chosen anew
        since they were shown: they come out of it.
        """
        chosen_before = self._looked().get("columns", {})
        keys = [key for key in NAMES if chosen_before.get(key) == self._chosen(key)]
        named = {}
        for name, text in self.data.items():
            key, _, line = name.partition("-")
            if key in keys and re.fullmatch(r"[0-9]{1,7}", line):
                named.setdefault(int(line), {})[key] = tidy(text)
        return named

    def _chosen(self, key):
        """The column that is chosen for a field, as the number that the page sends."""
        return str(self[f"column_{key}"].value() or "")

    def _looked(self):
        """What `looked_at` wrote when the rows were shown; nothing of what is none of its."""
        try:
            looked = json.loads(self.data.get("looked", ""))
        except (ValueError, RecursionError):
            return {}
        is_ours = isinstance(looked, dict) and isinstance(looked.get("columns"), dict)
        return looked if is_ours and isinstance(looked.get("refused"), list) else {}

    def note_look(self, meant):
        """Note for the next time how rows are read as they are shown now: from which columns they
        take their names, and which of their lines are refused. Where none can be shown, what was
        noted before stays.
        """
        if not meant:
            return
        columns = {key: self._chosen(key) for key in NAMES}
        refused = [row.line for row in meant if row.action == "refused"]
        looked = json.dumps({"columns": columns, "refused": refused})
        if self.is_bound:
            self.data = self.data.copy()
            self.data["looked"] = looked
        else:
            self.initial["looked"] = looked

    def typed_rows(self):
        """(name, text) of what was typed and ticked in the rows, for a page that cannot show them
        but must not lose them.
        """
        for name, texts in self.data.lists() if self.is_bound else ():
            if name == "line" or re.fullmatch(r"(code|name|mark)-[0-9]{1,7}", name):
                yield from ((name, text) for text in texts)

    def ticked_lines(self):
        """The lines whose rows a person ticked, as texts."""
        return set(self.data.getlist("line")) if self.is_bound else set()

    def repaired(self, meant):
        """The lines of the rows that were refused when they were shown, and can be taken now."""
        refused = set(map(str, self._looked().get("refused", ())))
        return {row.line for row in meant if row.is_taken and str(row.line) in refused}

    def left_out(self, meant):
        """The lines of the rows that are not ticked. At first these are the doubtful ones; a
        repaired row is ticked unless it is one of them.
        """
        ticked, repaired = self.ticked_lines(), self.repaired(meant)
        return {
            row.line
            for row in meant
            if not row.is_taken
            or (
                row.is_doubtful
                if row.line in repaired or f"code-{row.line}" not in self.data
                else str(row.line) not in ticked
            )
        }


def _column_choices(sheet):
    """Each column by its number, with what its first row holds."""
    first = sheet.rows[0] if sheet.rows else [""] * len(sheet.columns)
    for index, (name, value) in enumerate(zip(sheet.columns, first, strict=True)):
        yield str(index), f"{name}: {value[:24]}" if value else name


def as_text(sheet):
    """A sheet as it travels with the page."""
    return json.dumps(sheet.to_plain(), ensure_ascii=False)


def sheet_of(data):
    """The sheet that came back with the page, with what was typed over its cells: `cell-LINE-INDEX`
    is the text of a line in a column. Raises BadFile.
    """
    try:
        sheet = Sheet.from_plain(json.loads(data.get("sheet", "")))
    except BadFile:
        raise
    except (ValueError, RecursionError) as error:
        raise BadFile(
            tell("The table that came with the page cannot be read. Choose the file once more.")
        ) from error
    typed = {}
    for name, text in data.items():
        if written := re.fullmatch(r"cell-([0-9]{1,7})-([0-9]{1,2})", name):
            typed[int(written[1]), int(written[2])] = text
    return sheet.with_cells(typed)
