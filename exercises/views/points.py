"""Points of a site: brought in from a file, written to one, measured from another, surveyed at the
mark, moved on the map.
"""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from .. import queries
from ..domain.earth import coordinates
from ..domain.earth.ellipse import circle
from ..domain.earth.geodesy import Position, UnsuitableGrid
from ..domain.earth.magnetics import NoDeclination
from ..domain.surveying import survey
from ..domain.words import say
from ..exchange import rows, writing
from ..exchange.sheet import BadFile
from ..forms.points_file import MappingForm, SheetForm, sheet_of
from ..forms.surveyed_point import HereForm, MovesForm, NewPointFields, RadiationForm
from ..languages import phone_catalogue, tell, tell_many, told
from ..models import Point, Survey
from ..permissions import site_of
from ..presenting.surveys import place_text, row_text, survey_rows
from ..usecases import bring_in, survey_site

TYPED_ACCURACY_M = 3.0  # a typed place that says nothing of its accuracy: a phone's in the open


@require_http_methods(["GET", "POST"])
@login_required
def points_import(request, pk):
    """Three steps on one address: choose a file, look at what it means, bring in what is chosen."""
    site = site_of(request.user, pk)
    if request.method != "POST":
        return render(request, "exercises/desk/import.html", {"site": site, "form": SheetForm()})
    if "sheet" not in request.POST:
        form = SheetForm(request.POST, request.FILES)
        if not form.is_valid():
            return render(request, "exercises/desk/import.html", {"site": site, "form": form})
        sheet = form.cleaned_data["sheet"]
        return _preview(
            request,
            site,
            sheet,
            MappingForm.of_sheet(
                sheet, form.cleaned_data["source"], survey.day_at(timezone.now(), site.longitude)
            ),
        )
    try:
        sheet = sheet_of(request.POST)
    except BadFile as error:
        messages.error(request, told(error))
        return redirect("points_import", pk)
    form = MappingForm(request.POST, sheet=sheet)
    if not form.is_valid():
        return _preview(request, site, sheet, form)
    return (
        _bring_in(request, site, sheet, form)
        if "take" in request.POST
        else _preview(request, site, sheet, form)
    )


def _preview(request, site, sheet, form):
    """What each row means, without writing anything."""
    found, trouble = [], ""
    if not form.is_bound or form.is_valid() or form.errors:
        try:
            found = rows.interpret(
                sheet,
                form.settings(queries.usual_height_m(site)),
                queries.known_points(site),
                site.position(),
            )
        except (BadFile, UnsuitableGrid) as error:
            trouble = told(error)
    counts = {
        action: sum(row.action == action for row in found)
        for action in ("new", "survey", "named", "same", "refused")
    }
    return render(
        request,
        "exercises/desk/import_preview.html",
        {
            "site": site,
            "form": form,
            "sheet": sheet,
            "note": told(sheet.note),
            "trouble": trouble,
            "counts": counts,
            "takes": counts["new"] + counts["survey"] + counts["named"],
            "rows": [row_text(row) for row in found],
            "all_refused": bool(found) and counts["refused"] == len(found),
            "left_out": {
                row.line
                for row in found
                if (
                    str(row.line) not in request.POST.getlist("line")
                    if f"code-{row.line}" in request.POST
                    else row.coincides
                )
            },
        },
    )


def _bring_in(request, site, sheet, form):
    """Take in the rows that were ticked, all or none: where one of them is refused by now, or none
    was ticked, the whole form comes back.
    """
    chosen = set(request.POST.getlist("line"))
    try:
        found = [
            row
            for row in rows.interpret(
                sheet,
                form.settings(queries.usual_height_m(site)),
                queries.known_points(site),
                site.position(),
            )
            if str(row.line) in chosen and row.action != "same"
        ]
        for row in found:
            if row.action == "refused":
                raise survey_site.CannotSurvey(
                    say(
                        "Line {line}: {reason} Nothing was brought in.",
                        line=row.line,
                        reason=row.problem,
                    )
                )
        if not found:
            raise survey_site.CannotSurvey(say("No line is ticked. Nothing was brought in."))
        made, surveyed = bring_in.bring_in(
            site=site,
            rows=found,
            again=form.cleaned_data["again"],
            by=request.user,
            now=timezone.now(),
            on=form.cleaned_data["on"],
            source=form.cleaned_data["source"],
        )
    except (BadFile, UnsuitableGrid, survey_site.CannotSurvey) as error:
        messages.error(request, told(error))
        return _preview(request, site, sheet, form)
    messages.success(
        request,
        " ".join(
            [
                tell_many("{number} point made.", "{number} points made.", made),
                *(
                    [tell_many("{number} surveyed again.", "{number} surveyed again.", surveyed)]
                    if surveyed
                    else []
                ),
            ]
        ),
    )
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


@require_http_methods(["GET", "POST"])
@login_required
def point_measured(request, pk):
    """A new point from a bearing and a distance; first looked at, then made."""
    site = site_of(request.user, pk)
    form = RadiationForm(request.POST or None, site=site, initial={"on": timezone.localdate()})
    fields, found = NewPointFields(request.POST or None, instance=Point(site=site)), None
    if request.method == "POST" and form.is_valid() and fields.is_valid():
        one = form.cleaned_data
        try:
            found = survey.radiate(
                site.as_domain(),
                one["start"].code,
                one["bearing_deg"],
                one["north"],
                one["distance_m"],
                bearing_uncertainty_deg=one["bearing_error_deg"],
                distance_uncertainty_m=one["distance_error_m"],
                on=one["on"],
            )
            if "make" in request.POST:
                made = survey_site.new_point(
                    point=fields.save(commit=False), found=_radiated(form, found, request.user)
                )
                messages.success(
                    request,
                    tell(
                        "Point {code}: {place}",
                        code=made.code,
                        place=place_text(found.position, found.ellipse),
                    ),
                )
                return redirect("site", pk)
        except (NoDeclination, UnsuitableGrid, survey_site.CannotSurvey) as error:
            form.add_error(None, told(error))
    return render(
        request,
        "exercises/desk/measured.html",
        {
            "site": site,
            "form": form,
            "fields": fields,
            "found": found,
            "place": place_text(found.position, found.ellipse) if found else "",
        },
    )


def _radiated(form, found, by):
    one = form.cleaned_data
    return survey_site.unsaved(
        found.position,
        found.ellipse,
        Point.Method.SURVEYED,
        measured_on=one["on"],
        by=by,
        now=timezone.now(),
        client_id=one["client_id"],
        details={
            "how": "radiated",
            "from": one["start"].code,
            "bearing_deg": one["bearing_deg"],
            "north": one["north"],
            "distance_m": one["distance_m"],
            "declination_deg": found.declination_deg,
        },
    )


@require_http_methods(["GET", "POST"])
@login_required
def point_here(request, pk, code=None):
    """Survey a point with the phone that stands on it; a new one, or one that is there, again.
    Sending twice stores once.
    """
    site = site_of(request.user, pk)
    point = get_object_or_404(Point, site=site, code=code) if code else None
    form = HereForm(request.POST or None, near=site.position())
    stored = _stored(request.POST.get("client_id", ""), site) if request.method == "POST" else None
    if stored and stored.point.code in (code, request.POST.get("code", "").strip().upper()):
        return _done(request, stored.point)
    fields = None if point else NewPointFields(request.POST or None, instance=Point(site=site))
    if request.method == "POST" and form.is_valid() and (point or fields.is_valid()):
        try:
            found = _found_here(
                form.cleaned_data,
                request.user,
                point.elevation_m if point else queries.usual_height_m(site),
            )
            return _done(
                request,
                survey_site.add_survey(point=point, found=found)
                if point
                else survey_site.new_point(point=fields.save(commit=False), found=found),
            )
        except survey_site.CannotSurvey as error:
            form.add_error(None, told(error))
    wrong = request.method == "POST"
    if wrong and request.headers.get("Accept", "").startswith("application/json"):
        errors = {
            name: " ".join(str(error) for error in listed)
            for one in (form, fields)
            if one
            for name, listed in one.errors.items()
        }
        return JsonResponse({"status": "refused", "errors": errors}, status=422)
    return render(
        request,
        "exercises/desk/here.html",
        {
            "site": site,
            "point": point,
            "form": form,
            "fields": fields,
            "catalogue": phone_catalogue(),
            "assumed": {
                "radius": survey.SIGMAS_IN_RADIUS,
                "lasting": survey.LASTING_SHARE,
                "floor": survey.VISIT_FLOOR_M,
            },
        },
        status=422 if wrong else 200,
    )


def _stored(client_id, site):
    """The survey that a form of this site stored before, or None, also for what is no identifier:
    the form says so.
    """
    try:
        return (
            Survey.objects.select_related("point")
            .filter(client_id=client_id, point__site=site)
            .first()
        )
    except ValidationError:
        return None


def _found_here(one, by, height_m):
    """An unsaved survey of a visit with the phone, or of a place that was typed; at a height where
    neither tells one.
    """
    now = timezone.now()
    if visit := one.get("visit"):
        return survey_site.unsaved(
            _at_height(visit.position, height_m if visit.height_m is None else visit.height_m),
            circle(visit.accuracy_m),
            Point.Method.AVERAGED,
            measured_on=one["on"],
            by=by,
            now=now,
            client_id=one["client_id"],
            details={
                "how": "phone",
                "fixes": visit.fixes,
                "seconds": round(visit.seconds),
                "scatter_m": round(visit.scatter_m, 2),
            },
        )
    place = one["typed"]
    accuracy_m = max(
        one.get("accuracy_m") or place.uncertainty_m or TYPED_ACCURACY_M,
        coordinates.finest_m(place),
    )
    return survey_site.unsaved(
        _at_height(place.position, place.position.elevation_m or height_m),
        circle(accuracy_m),
        Point.Method.RECEIVER,
        measured_on=survey.day_at(now, place.position.longitude_deg),
        by=by,
        now=now,
        client_id=one["client_id"],
        details={"how": "typed", "notation": place.notation},
    )


def _at_height(position, height_m):
    return Position(position.latitude_deg, position.longitude_deg, height_m)


def _done(request, point):
    """A page for a form, a word for the script of the phone."""
    said = tell(
        "Point {code}: {place}",
        code=point.code,
        place=place_text(point.as_domain().position, point.as_domain().error),
    )
    if request.headers.get("Accept", "").startswith("application/json"):
        return JsonResponse(
            {
                "status": "stored",
                "said": said,
                "surveys": reverse("point_surveys", args=[point.site_id, point.code]),
            }
        )
    messages.success(request, said)
    return redirect("point_surveys", point.site_id, point.code)


@require_safe
@login_required
def point_surveys(request, pk, code):
    """All surveys of a point, and what they say together."""
    site = site_of(request.user, pk)
    point = get_object_or_404(Point, site=site, code=code)
    return render(
        request,
        "exercises/desk/surveys.html",
        {
            "site": site,
            "point": point,
            "surveys": survey_rows(list(point.surveys.select_related("by"))),
            "place": place_text(point.as_domain().position, point.as_domain().error),
        },
    )


@require_POST
@login_required
def survey_aside(request, pk, code, survey_pk):
    """Leave a survey out, or take it in again."""
    site = site_of(request.user, pk)
    found = get_object_or_404(Survey, pk=survey_pk, point__site=site, point__code=code)
    try:
        survey_site.set_aside(found=found, is_set_aside=request.POST.get("aside") == "yes")
    except survey_site.CannotSurvey as error:
        messages.error(request, told(error))
    return redirect("point_surveys", pk, code)


@require_POST
@login_required
def points_move(request, pk):
    """Store where points were dragged to on the map: all, or none."""
    site = site_of(request.user, pk)
    form = MovesForm(request.POST, near=site.position())
    if form.is_valid():
        try:
            survey_site.move_points(
                site=site,
                moves=form.cleaned_data["moves"],
                accuracy_m=form.cleaned_data["accuracy_m"],
                by=request.user,
                now=timezone.now(),
                on=survey.day_at(timezone.now(), site.longitude),
            )
            messages.success(
                request,
                tell_many(
                    "{number} point moved. Its earlier surveys are kept, set aside.",
                    "{number} points moved. Their earlier surveys are kept, set aside.",
                    len(form.cleaned_data["moves"]),
                ),
            )
        except survey_site.CannotSurvey as error:
            messages.error(request, told(error))
    else:
        for errors in form.errors.values():
            messages.error(request, " ".join(str(error) for error in errors))
    return redirect("site", pk)
