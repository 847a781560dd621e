"""Answers from paper: whose hand types, names without a phone, a table."""

import json

from django import forms
from django.utils.translation import gettext_lazy as _

from ..exchange import reading
from ..exchange.sheet import BadFile
from ..exchange.tables import UNIT_NAMES
from ..languages import tell

COLUMNS = {
    "person": ("person", "name", "nombre", "persona"),
    "task": ("task", "ejercicio", "tarea", "nr", "no"),
    "answer": ("answer", "reading", "bearing", "respuesta", "lectura", "rumbo"),
    "compass": ("compass", "brújula", "brujula"),
    "unit": ("unit", "unidad"),
}


class PaperForm(forms.Form):
    """The hand that types, whether two must agree, and people to add."""

    hand = forms.TypedChoiceField(
        choices=[("1", _("first")), ("2", _("second"))],
        coerce=int,
        initial="1",
        widget=forms.HiddenInput,
    )
    is_double = forms.BooleanField(
        label=_("Take in only what two hands typed alike"), required=False
    )
    shown = forms.CharField(
        required=False, widget=forms.HiddenInput
    )  # as JSON, what the page showed, so that only what was touched is written
    names = forms.CharField(
        label=_("Names without a phone"),
        required=False,
        max_length=2000,
        help_text=_("One in each line, or with commas between them."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def clean_shown(self):
        """Cells by their field's name; anything else is none."""
        try:
            shown = json.loads(self.cleaned_data["shown"])
        except (ValueError, RecursionError):  # also a number of more digits than Python reads
            return {}
        return (
            {name: text for name, text in shown.items() if isinstance(text, str)}
            if isinstance(shown, dict)
            else {}
        )

    def clean_names(self):
        """Names, each once."""
        names = [
            name.strip()[:30]
            for name in self.cleaned_data["names"].replace("\n", ",").split(",")
            if name.strip()
        ]
        return list(dict.fromkeys(names))


class PaperFileForm(forms.Form):
    """A table of answers, CSV or XLSX, as for `manage.py grade`: person, task, answer, compass."""

    file = forms.FileField(
        label=_("Table of answers"),
        help_text=_(
            "CSV or XLSX with the columns person, task, answer, and compass and unit (degrees, "
            "mils) if you like."
        ),
    )

    def rows(self):
        """(line, person, task, answer, compass, code of the unit or nothing) of the file. Raises
        BadFile.
        """
        file = self.cleaned_data["file"]
        sheet = reading.read_file(
            file.name, file.read(reading.LARGEST_FILE + 1), most_rows=reading.MOST_ANSWERS
        ).even()
        lower = [name.casefold() for name in sheet.columns]
        where = {
            key: next((lower.index(name) for name in names if name in lower), None)
            for key, names in COLUMNS.items()
        }
        missing = next((key for key in ("person", "task", "answer") if where[key] is None), None)
        if missing:
            raise BadFile(
                tell(
                    "The column “{column}” is missing. The columns are person, task, answer, "
                    "compass.",
                    column=missing,
                )
            )
        rows = []
        for line, cells in zip(sheet.lines, sheet.rows, strict=True):
            *row, unit = (cells[where[key]] if where[key] is not None else "" for key in COLUMNS)
            rows.append((line, *row, _unit(line, unit)))
        return rows


def _unit(line, text):
    """The code of a unit that a row names, or nothing where it names none. Raises BadFile."""
    if not text:
        return ""
    unit = UNIT_NAMES.get(text.casefold())
    if unit is None:
        raise BadFile(
            tell(
                "Line {line}: “{text}” is no unit of a compass. Write degrees, mils, mil6300 or "
                "mil6000.",
                line=line,
                text=text[:20],
            )
        )
    return unit.code
