"""Forms of a file of points: choosing it, and saying how it is to be read."""

import json
import re

from django import forms
from django.utils.translation import gettext_lazy as _

from ..exchange import reading, rows
from ..exchange.columns import FIELDS, guess_columns
from ..exchange.sheet import BadFile, Sheet
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
            "A name before it, with a colon: Gate: 45.13020 S, 170.10030 E. Or rows of a data "
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


class MappingForm(forms.Form):
    """How a sheet is read: a column for each field, the grid of eastings and northings, what holds
    where the sheet is silent, and what becomes of points that are there.
    """

    sheet = forms.CharField(widget=forms.HiddenInput, max_length=1_000_000)
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
                "sheet": json.dumps(sheet.to_plain(), ensure_ascii=False),
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
        """(code, name, mark) by line, of the rows that a person could type over."""
        lines = [match[1] for name in self.data if (match := re.fullmatch(r"code-(\d{1,6})", name))]
        return {
            int(line): tuple(self.data.get(f"{key}-{line}", "") for key in ("code", "name", "mark"))
            for line in lines
        }

    def ticked_lines(self):
        """The lines whose rows a person ticked, as texts."""
        return set(self.data.getlist("line"))

    def left_out(self, meant):
        """The lines of the rows that are not ticked: at first, those that would be a second point
        where one stands.
        """
        ticked = self.ticked_lines()
        return {
            row.line
            for row in meant
            if (str(row.line) not in ticked if f"code-{row.line}" in self.data else row.coincides)
        }


def _column_choices(sheet):
    """Each column by its number, with what its first row holds."""
    first = sheet.rows[0] if sheet.rows else [""] * len(sheet.columns)
    for index, (name, value) in enumerate(zip(sheet.columns, first, strict=True)):
        yield str(index), f"{name}: {value[:24]}" if value else name


def sheet_of(data):
    """The sheet that came back with the page. Raises BadFile."""
    try:
        return Sheet.from_plain(json.loads(data.get("sheet", "")))
    except BadFile:
        raise
    except (ValueError, RecursionError) as error:
        raise BadFile(
            tell("The table that came with the page cannot be read. Choose the file once more.")
        ) from error
