"""Checking the ground: bearings observed with a compass, the sun's shadow, and what bends needles
or is dangerous there.
"""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from .. import queries
from ..forms.hazard import HazardForm
from ..forms.observed import InstrumentForm, ObservedForm, ShadowForm
from ..languages import phone_catalogue, tell, told
from ..models import Hazard, ObservedBearing
from ..permissions import site_of
from ..presenting.ground_check import (
    ground_text,
    noted_otherwise_text,
    noted_text,
    observed_row_text,
)
from ..presenting.site_map import site_map
from ..usecases import check_ground, survey_site


@require_http_methods(["GET", "POST"])
@login_required
def ground(request, pk):
    """What the observed bearings say of stations, compasses and points, and the two forms for more
    of them.
    """
    site = site_of(request.user, pk)
    which = request.POST.get("what", "")
    line, shadow = _forms(request, site, which)
    form = {"line": line, "shadow": shadow}.get(which)
    if form and form.is_valid():
        try:
            bearings = form.bearings(timezone.now())
            survey_site.observe(bearings=bearings)
            messages.success(request, noted_text(bearings))
            return redirect(f"{reverse('ground', args=[pk])}#{which}")
        except survey_site.CannotSurvey as error:
            form.add_error(None, told(error))
    return render(
        request,
        "exercises/desk/ground.html",
        {
            "site": site,
            "line": line,
            "shadow": shadow,
            **ground_text(check_ground.checked(site)),
        },
    )


def _forms(request, site, which):
    """The forms of a line and of a shadow, of which one (`which`) may have been sent. Who reads one
    line reads the next with the same compass, and from the same place.
    """
    usual = {"on": timezone.localdate()}
    last = site.observed.order_by("-received_at", "-pk").first()
    if last:
        usual |= {
            "start": last.station_id,
            "station": last.station_id,
            "compass": last.compass,
            "north": last.north,
        }
    line = ObservedForm(request.POST if which == "line" else None, site=site, initial=usual)
    shadow = ShadowForm(
        request.POST if which == "shadow" else None,
        site=site,
        auto_id="shadow_%s",
        initial={**usual, "time_zone": queries.usual_time_zone(site)},
    )
    return line, shadow


@require_POST
@login_required
def compass_noted(request, pk):
    """Note a compass's bearings the other way: as set for the declination, or as not set."""
    site = site_of(request.user, pk)
    form = InstrumentForm(request.POST)
    if form.is_valid():
        number = check_ground.note_otherwise(site=site, instrument=form.instrument())
        messages.success(request, noted_otherwise_text(form.instrument(), number))
    return redirect("ground", pk)


@require_POST
@login_required
def observed_delete(request, pk, row):
    """Take an observed bearing out that was a slip."""
    bearing = get_object_or_404(
        ObservedBearing.objects.select_related("station", "target"),
        pk=row,
        site=site_of(request.user, pk),
    )
    bearing.delete()
    messages.success(request, tell("Taken out: {bearing}.", bearing=observed_row_text(bearing)))
    return redirect("ground", pk)


@require_http_methods(["GET", "POST"])
@login_required
def hazard_edit(request, pk, hazard=None):
    """Add something that bends needles or endangers people, or change it."""
    site = site_of(request.user, pk)
    row = get_object_or_404(Hazard, pk=hazard, site=site) if hazard else Hazard(site=site)
    form = HazardForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        try:
            saved = survey_site.add_hazard(hazard=form.save(commit=False))
            messages.success(request, tell("“{name}” saved.", name=saved.name))
            for note in form.notes:
                messages.info(request, note)
            return redirect("site", pk)
        except survey_site.CannotSurvey as error:
            form.add_error(None, told(error))
    others = [other.as_domain() for other in site.hazards.exclude(pk=row.pk)]
    return render(
        request,
        "exercises/desk/hazard.html",
        {
            "site": site,
            "form": form,
            "saved": hazard,
            "title": row.name if hazard else tell("New hazard"),
            "map": site_map(site.as_domain(), site.position(), [], others),
            "catalogue": phone_catalogue(),
        },
    )


@require_POST
@login_required
def hazard_delete(request, pk, hazard):
    """Take a hazard off the site."""
    row = get_object_or_404(Hazard, pk=hazard, site=site_of(request.user, pk))
    row.delete()
    messages.success(request, tell("“{name}” deleted.", name=row.name))
    return redirect("site", pk)
