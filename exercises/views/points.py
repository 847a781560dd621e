"""Points of a site: measured from another, surveyed at the mark, moved on the map."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ..domain.earth import coordinates
from ..domain.earth.ellipse import circle
from ..domain.earth.geodesy import Position, UnsuitableGrid
from ..domain.earth.magnetics import NoDeclination
from ..domain.earth.place import in_words
from ..domain.surveying import survey
from ..exchange import read_as
from ..forms.surveyed_point import HereForm, MovesForm, NewPointFields, RadiationForm
from ..languages import phone_catalogue, tell, tell_many, told
from ..models import Point, Survey
from ..permissions import site_of
from ..presenting.surveys import bent_text, on_plan, place_text, survey_rows
from ..presenting.whereabouts import point_words
from ..usecases import survey_site

TYPED_ACCURACY_M = 3.0  # a typed place that says nothing of its accuracy: a phone's in the open


@require_http_methods(["GET", "POST"])
@login_required
def point_measured(request, pk):
    """A new point from a bearing and a distance; first looked at, then made."""
    site = site_of(request.user, pk)
    form = RadiationForm(request.POST or None, site=site, initial={"on": timezone.localdate()})
    fields = NewPointFields(request.POST or None, instance=Point(site=site))
    radiation = None
    if request.method == "POST" and form.is_valid() and fields.is_valid():
        try:
            radiation = _radiated(site, form.cleaned_data)
            if "make" in request.POST:
                point = survey_site.new_point(
                    point=fields.save(commit=False),
                    survey=_radiated_survey(form.cleaned_data, radiation, request.user),
                )
                place = place_text(radiation.position, radiation.ellipse)
                messages.success(
                    request, tell("Point {code}: {place}", code=point.code, place=place)
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
            "found": radiation,
            "place": place_text(radiation.position, radiation.ellipse) if radiation else "",
            "bent": bent_text(radiation) if radiation else "",
        },
    )


def _radiated(site, measured):
    """Where the point lies that was measured."""
    return survey.radiate(
        site.as_domain(),
        measured["start"].code,
        measured["bearing_deg"],
        measured["north"],
        measured["distance_m"],
        bearing_uncertainty_deg=measured["bearing_error_deg"],
        distance_uncertainty_m=measured["distance_error_m"],
        on=measured["on"],
    )


def _radiated_survey(measured, radiation, by):
    """The unsaved survey of a point that was measured."""
    return survey_site.unsaved(
        radiation.position,
        radiation.ellipse,
        Point.Method.SURVEYED,
        measured_on=measured["on"],
        by=by,
        now=timezone.now(),
        client_id=measured["client_id"],
        details={
            "how": "radiated",
            "from": measured["start"].code,
            "bearing_deg": measured["bearing_deg"],
            "north": measured["north"],
            "distance_m": measured["distance_m"],
            "declination_deg": radiation.declination_deg,
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
    fields = None if point else NewPointFields(request.POST or None, instance=Point(site=site))
    if request.method != "POST":
        return _here_page(request, site, point, form, fields)
    stored = _stored(request.POST.get("client_id", ""), site)
    if stored and stored.point.code in (code, request.POST.get("code", "").strip().upper()):
        return _done(request, stored.point)
    if form.is_valid() and (point or fields.is_valid()):
        try:
            stored = _store_here(request.user, site, point, form, fields)
            _say_as_read(request, form.cleaned_data.get("typed"))
            return _done(request, stored)
        except survey_site.CannotSurvey as error:
            form.add_error(None, told(error))
    if _wants_json(request):
        return JsonResponse({"status": "refused", "errors": _errors(form, fields)}, status=422)
    return _here_page(request, site, point, form, fields, status=422)


def _say_as_read(request, place):
    """Say how a typed place was read, and what had to be decided."""
    if place:
        sentence = tell("Read as {place}.", place=told(in_words(place.position)))
        messages.info(request, " ".join([sentence, *map(told, read_as.notes(place))]))


def _here_page(request, site, point, form, fields, status=200):
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
        status=status,
    )


def _errors(*forms):
    """What is wrong in the fields of some forms, by the fields' names."""
    return {
        name: " ".join(str(error) for error in errors)
        for form in forms
        if form
        for name, errors in form.errors.items()
    }


def _wants_json(request):
    """Whether it is the script of the phone that asks."""
    return request.headers.get("Accept", "").startswith("application/json")


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


def _store_here(by, site, point, form, fields):
    """Survey a point that is there again, or make a new one; gives the point."""
    height_m = point.elevation_m if point else None
    here, now = form.cleaned_data, timezone.now()
    survey_of = (
        _visit_survey(here, height_m) if here.get("visit") else _typed_survey(here, height_m, now)
    )
    survey = survey_site.unsaved(**survey_of, by=by, now=now, client_id=here["client_id"])
    if point:
        return survey_site.add_survey(point=point, survey=survey)
    return survey_site.new_point(point=fields.save(commit=False), survey=survey)


def _visit_survey(here, height_m):
    """What `survey_site.unsaved` is told of a visit with the phone; at its point's height where
    it tells none.
    """
    visit = here["visit"]
    return {
        "position": _at_height(
            visit.position, height_m if visit.height_m is None else visit.height_m
        ),
        "ellipse": circle(visit.accuracy_m),
        "method": Point.Method.AVERAGED,
        "measured_on": here["on"],
        "details": {
            "how": "phone",
            "fixes": visit.fixes,
            "seconds": round(visit.seconds),
            "scatter_m": round(visit.scatter_m, 2),
        },
    }


def _typed_survey(here, height_m, now):
    """The same of a place that was typed."""
    place = here["typed"]
    stated_m = here.get("accuracy_m") or place.uncertainty_m or TYPED_ACCURACY_M
    return {
        "position": _at_height(
            place.position, height_m if place.height_m is None else place.height_m
        ),
        "ellipse": circle(max(stated_m, coordinates.finest_m(place))),
        "method": Point.Method.RECEIVER,
        "measured_on": survey.day_at(now, place.position.longitude_deg),
        "details": {"how": "typed", "notation": place.notation},
    }


def _at_height(position, height_m):
    return Position(position.latitude_deg, position.longitude_deg, height_m)


def _done(request, point):
    """A page for a form, a word for the script of the phone."""
    there = point.as_domain()
    others = [row.as_domain() for row in point.site.points.exclude(pk=point.pk)]
    sentence = tell(
        "Point {code}: {place}",
        code=point.code,
        place=point_words(there.position, others, place_text(there.position, there.error)),
    )
    if _wants_json(request):
        return JsonResponse(
            {
                "status": "stored",
                "said": sentence,
                "surveys": reverse("point_surveys", args=[point.site_id, point.code]),
            }
        )
    messages.success(request, sentence)
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
            "plan": on_plan(site.as_domain(), site.position()),
        },
    )


@require_POST
@login_required
def survey_aside(request, pk, code, survey_pk):
    """Leave a survey out, or take it in again."""
    site = site_of(request.user, pk)
    row = get_object_or_404(Survey, pk=survey_pk, point__site=site, point__code=code)
    try:
        survey_site.set_aside(survey=row, is_set_aside=request.POST.get("aside") == "yes")
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
