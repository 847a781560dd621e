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
from ..exchange.sheet import BadFile
from ..forms.headerless import first_form, sent_form
from ..forms.points_file import SheetForm, sheet_of
from ..languages import told
from ..permissions import site_of
from ..presenting.points_file import brought_in_text, orders_text, rows_text
from ..usecases import bring_in
from ..usecases.survey_site import CannotSurvey


@require_http_methods(["GET", "POST"])
@login_required
def points_import(request, pk):
    """Three steps on one address: choose a file, look at what it means, bring in what is chosen."""
    site = site_of(request.user, pk)
    if "sheet" not in request.POST:
        return _choose(request, site)
    try:
        sheet = sheet_of(request.POST)
    except BadFile as error:
        messages.error(request, told(error))
        return redirect("points_import", pk)
    form = sent_form(request.POST, sheet, site)
    if form.is_valid() and "take" in request.POST:
        return _bring_in(request, site, sheet, form)
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


def _preview(request, site, sheet, form):
    """What each row means, without writing anything."""
    meant, trouble = [], ""
    try:
        meant = _meant(site, sheet, form)
    except (BadFile, UnsuitableGrid) as error:
        trouble = told(error)
    return render(
        request,
        "exercises/desk/import_preview.html",
        {
            "site": site,
            "form": form,
            "sheet": sheet,
            "note": told(sheet.note),
            "trouble": trouble,
            "left_out": form.left_out(meant),
            "orders": orders_text(form.both_ways()),
            **rows_text(meant),
        },
    )


def _meant(site, sheet, form):
    """What the rows of a sheet mean for a site as it is now."""
    settings = form.settings()
    return rows.interpret(sheet, settings, queries.known_points(site), site.position())


def _ticked(site, sheet, form):
    """The rows that were ticked, but for those that bring nothing. Raises CannotSurvey where one of
    them is refused by now, or there is none.
    """
    lines = form.ticked_lines()
    ticked = [
        row for row in _meant(site, sheet, form) if str(row.line) in lines and row.action != "same"
    ]
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
    back.
    """
    try:
        made, surveyed = bring_in.bring_in(
            site=site,
            rows=_ticked(site, sheet, form),
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
    return redirect("site", site.pk)


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
