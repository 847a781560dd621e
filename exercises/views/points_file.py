"""Points of a site brought in from a file, and written to one."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from .. import queries
from ..domain.earth.geodesy import UnsuitableGrid
from ..domain.surveying.survey import day_at
from ..domain.words import say
from ..exchange import rows, writing
from ..exchange.columns import FIELDS, unused
from ..exchange.sheet import BadFile
from ..forms.headerless import first_form, sent_form
from ..forms.points_file import SheetForm, as_text, sheet_of
from ..languages import phone_catalogue, told
from ..models import Point
from ..permissions import site_of
from ..presenting.points_file import (
    brought_in_text,
    left_text,
    orders_text,
    read_as_text,
    rows_text,
    ticked_text,
    unused_text,
)
from ..usecases import bring_in
from ..usecases.survey_site import CannotSurvey


@require_http_methods(["GET", "POST"])
@login_required
def points_import(request, pk):
    """Three steps on one address: choose a file; look at what it means, type over its cells and
    look again; bring in what is ticked.
    """
    site = site_of(request.user, pk)
    if "sheet" not in request.POST:
        return _choose(request, site)
    try:
        sheet = sheet_of(request.POST)
    except BadFile as error:
        messages.error(request, told(error))
        return redirect("points_import", pk)
    form = _form(request, sheet, site)
    if form.is_valid() and "take" in request.POST:
        return _bring_in(request, site, sheet, form)
    if "exchange" in request.POST:
        sheet = _exchanged(request, site, sheet, form)
        form = _form(request, sheet, site)
    return _preview(request, site, sheet, form)


def _choose(request, site):
    """Ask for a file; one that can be read is looked at."""
    is_sent = request.method == "POST"
    form = SheetForm(request.POST, request.FILES) if is_sent else SheetForm()
    if not is_sent or not form.is_valid():
        return render(request, "exercises/desk/import.html", {"site": site, "form": form})
    sheet, today = form.cleaned_data["sheet"], day_at(timezone.now(), site.longitude)
    mapping = first_form(sheet, form.cleaned_data["source"], today, site)
    return _preview(request, site, sheet, mapping)


def _form(request, sheet, site):
    """The form that came back, checked, with the sheet as it is by now."""
    data = request.POST.copy()
    data["sheet"] = as_text(sheet)
    form = sent_form(data, sheet, site)
    form.full_clean()
    return form


def _exchanged(request, site, sheet, form):
    """The sheet with two coordinates exchanged, in the line that was asked for or in all where they
    look so.
    """
    asked = request.POST["exchange"]
    try:
        meant, columns = _meant(site, sheet, form), form.settings().columns
    except (BadFile, UnsuitableGrid):
        return sheet  # the preview says it
    return sheet.with_cells(
        {
            (row.line, columns[key]): text
            for row in meant
            if asked in ("all", str(row.line))
            for key, text in row.exchanged.items()
        }
    )


def _preview(request, site, sheet, form, rest_text=""):
    """What each row means, without writing anything. `rest_text` says that these are the rows that
    are left where others were brought in.
    """
    meant, columns, trouble, read_as = [], {}, "", ""
    try:
        meant, settings = _meant(site, sheet, form), form.settings()
        method = Point.Method(settings.method).label
        columns, read_as = settings.columns, read_as_text(settings, method)
    except (BadFile, UnsuitableGrid) as error:
        trouble = told(error)
    left_out = form.left_out(meant)
    form.note_look(meant)
    return render(
        request,
        "exercises/desk/import_preview.html",
        {
            "site": site,
            "form": form,
            "note": told(sheet.note),
            "trouble": trouble,
            "read_as": read_as,
            "rest_text": rest_text,
            "left_out": left_out,
            "ticked": ticked_text(len(meant) - len(left_out), len(meant)),
            "unused": unused_text(unused(sheet, columns)) if columns else "",
            "orders": orders_text(form.both_ways()),
            "catalogue": phone_catalogue(),
            **rows_text(
                meant,
                {key: (index, told(FIELDS[key])) for key, index in columns.items()},
            ),
        },
    )


def _meant(site, sheet, form):
    """What the rows of a sheet mean for a site as it is now."""
    settings = form.settings()
    return rows.interpret(sheet, settings, queries.known_points(site), site.position())


def _ticked(meant, form):
    """The rows that were ticked, but for those that bring nothing. Raises CannotSurvey where one of
    them is refused by now, or there is none.
    """
    lines = form.ticked_lines()
    ticked = [row for row in meant if str(row.line) in lines and row.action != "same"]
    for row in ticked:
        if row.action == "refused":
            raise CannotSurvey(
                say(
                    "Line {line}: {reason} Nothing was brought in.",
                    line=row.line,
                    reason=row.problem,
                )
            )
    if not ticked:
        raise CannotSurvey(say("No line is ticked. Nothing was brought in."))
    return ticked


def _bring_in(request, site, sheet, form):
    """Take in the rows that were ticked, all or none: where that cannot be, the whole form comes
    back. Rows that could not be taken when they were shown stay there, to be mended.
    """
    try:
        meant = _meant(site, sheet, form)
        ticked = _ticked(meant, form)
        made, surveyed = bring_in.bring_in(
            site=site,
            rows=ticked,
            again=form.cleaned_data["again"],
            by=request.user,
            now=timezone.now(),
            on=form.cleaned_data["on"],
            source=form.cleaned_data["source"],
        )
    except (BadFile, UnsuitableGrid, CannotSurvey) as error:
        messages.error(request, told(error))
        return _preview(request, site, sheet, form)
    messages.success(request, brought_in_text(made, surveyed))
    taken = {row.line for row in ticked}
    repaired = form.repaired(meant) - taken
    refused = {row.line for row in meant if row.action == "refused"}
    if not refused | repaired:
        return redirect("site", site.pk)
    rest = sheet.without(taken | {row.line for row in meant if row.action == "same"})
    return _preview(
        request, site, rest, _form(request, rest, site), left_text(len(rest.rows), len(repaired))
    )


@require_safe
@login_required
def points_export(request, pk, form):
    """The points of a site as a file."""
    site = site_of(request.user, pk)
    answer = HttpResponse(
        writing.write(form, queries.points_out(site), site.name),
        content_type=writing.CONTENT_TYPES[form],
    )
    answer["Content-Disposition"] = f'attachment; filename="points-{site.pk}.{form}"'
    return answer
