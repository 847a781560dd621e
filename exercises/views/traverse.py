"""A traverse: typed, looked at, then stored as surveys of its corners."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from ..domain.earth.geodesy import UnsuitableGrid
from ..domain.earth.magnetics import NoDeclination
from ..domain.surveying.traverses.field_book import BadBook
from ..domain.surveying.traverses.surveyed_traverse import survey_traverse
from ..forms.traverse import TraverseForm
from ..languages import tell_many, told
from ..permissions import site_of
from ..presenting.traverse import traverse_text
from ..usecases.store_traverse import SurveyedCorner, store_traverse
from ..usecases.survey_site import CannotSurvey


@require_http_methods(["GET", "POST"])
@login_required
def traverse(request, pk):
    """Legs from a known point to a known point; first looked at, then stored."""
    site = site_of(request.user, pk)
    ground, surveyed = site.as_domain(), None
    form = TraverseForm(request.POST or None, site=site)
    if request.method == "POST" and form.is_valid():
        try:
            surveyed = _surveyed(ground, form)
            if "store" in request.POST and _may_store(form, surveyed):
                number = _store(request.user, site, form, surveyed)
                messages.success(
                    request,
                    tell_many(
                        "Traverse stored: {number} point surveyed.",
                        "Traverse stored: {number} points surveyed.",
                        number,
                    ),
                )
                return redirect("site", pk)
        except BadBook as error:
            form.refuse(error)
        except (NoDeclination, UnsuitableGrid, CannotSurvey) as error:
            form.add_error(None, told(error))
    page = traverse_text(surveyed, ground.points, form)
    new = {corner["code"] for corner in page["corners"] if corner["is_new"]}
    return render(
        request,
        "exercises/desk/traverse.html",
        {"site": site, "form": form, "kept": form.kept(new), **page},
    )


def _surveyed(ground, form):
    """What the legs say. Raises BadBook, NoDeclination, UnsuitableGrid."""
    measured = form.cleaned_data
    return survey_traverse(
        ground, measured["book"], measured["north"], form.instruments(), on=measured["on"]
    )


def _may_store(form, surveyed):
    """Whether it closes, or a person has said that it is to be stored though it does not; where
    neither, the form says so.
    """
    if surveyed.adjustment.is_believable or form.cleaned_data["anyway"]:
        return True
    form.add_error("anyway", _("The traverse does not close. Look for the slip first."))
    return False


def _store(by, site, form, surveyed):
    """Store the corners; how many they are. Raises CannotSurvey."""
    measured, adjustment = form.cleaned_data, surveyed.adjustment
    return store_traverse(
        site=site,
        form_id=measured["client_id"],
        corners=[
            SurveyedCorner(
                corner.code,
                corner.adjusted,
                corner.ellipse,
                form.name_of(corner.code),
                form.mark_of(corner.code),
            )
            for corner in surveyed.corners
        ],
        details={
            "how": "traverse",
            "from": surveyed.legs[0].start,
            "to": surveyed.legs[-1].to,
            "legs": len(surveyed.legs),
            "north": measured["north"],
            "declination_deg": surveyed.declination_deg,
            "missed_m": round(adjustment.misclosure.linear_m, 3),
            "book": measured["legs"],
        },
        measured_on=measured["on"],
        by=by,
        now=timezone.now(),
    )
