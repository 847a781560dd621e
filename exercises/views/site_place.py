"""A site is made or changed: its place said back in words and on a map before it counts."""

from django.contrib.auth.decorators import login_required
from django.http import HttpResponseBadRequest, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from ..forms.site import BoxForm, PlaceForm, SiteForm
from ..languages import phone_catalogue, tell
from ..models import Site
from ..permissions import site_of
from ..presenting.site_map import tiles
from ..presenting.whereabouts import as_text, place_choices, said_place
from ..queries import place_of_points
from ..world import towns
from .desk import saved


@require_http_methods(["GET", "POST"])
@login_required
def site_edit(request, pk=None):
    """Make a site or change it. A place that can hardly be meant is stored once a person says that
    it is meant.
    """
    site = site_of(request.user, pk) if pk else Site(owner=request.user)
    near = place_of_points(site) if pk else None
    sent = _sent(request)
    form = SiteForm(sent, instance=site, near=near, initial=_initial(site))
    if (
        request.method == "POST"
        and form.is_valid()
        and _is_to_be_kept(request, form)
        and saved(form, tell("You have a site of that name already."))
    ):
        return redirect("site", form.instance.pk)
    said = _said(form, request.POST.get("own_zone", ""))
    return render(
        request,
        "exercises/desk/site_form.html",
        {
            "form": form,
            "title": site.name if pk else tell("New site"),
            "site": site if pk else None,
            "catalogue": phone_catalogue(),
            "map": {"tiles": tiles()},
            **said,
        },
    )


def _sent(request):
    """What was sent, with the place that was chosen instead of the typed one, if any."""
    if request.method != "POST":
        return None
    sent = request.POST.copy()
    sent["place"] = sent.get("place_instead") or sent.get("place", "")
    return sent


def _initial(site):
    """The place of a site that is there."""
    return {"place": as_text(site.position())} if site.pk else {}


def _is_to_be_kept(request, form):
    """Whether a form without a mistake is to be stored: not where a place was only looked at or
    chosen, nor, as yet, where it is doubtful.
    """
    if "keep" not in request.POST and "place_is_meant" not in request.POST:
        return False
    said = said_place(form.position, form.near, request.POST.get("own_zone", ""))
    is_as_it_was = form.instance.pk and "place" not in form.changed_data
    is_meant = request.POST.get("place_is_meant") == form.cleaned_data["place"]
    return bool(not said.doubt or is_as_it_was or is_meant)


def _said(form, own_zone):
    """What the part of a place shows: the place said back, or what could be chosen instead."""
    if not form.is_bound:
        position = form.instance.position() if form.instance.pk else None
        return {"said": said_place(position) if position else None}
    form.is_valid()
    return {
        "said": said_place(form.position, form.near, own_zone) if form.position else None,
        "choices": place_choices(form),
        "place_text": form["place"].value(),
    }


@require_safe
@login_required
def place_said(request):
    """The part of the page that says a place back, for one that is typed or tapped just now."""
    site = site_of(request.user, request.GET["site"]) if _is_number(request, "site") else None
    form = PlaceForm(request.GET, near=place_of_points(site) if site else None)
    shown = _said(form, request.GET.get("own_zone", ""))
    return render(
        request, "exercises/parts/place_said.html", {"place_field": form["place"], **shown}
    )


def _is_number(request, name):
    return request.GET.get(name, "").isdecimal() and len(request.GET[name]) < 10


@require_safe
@login_required
def towns_in(request):
    """The largest towns of a stretch of map, for its labels: name, latitude, longitude each."""
    form = BoxForm(request.GET)
    if not form.is_valid():
        return HttpResponseBadRequest(tell("No stretch of map."))
    found = towns.largest_in(**form.cleaned_data)
    places = [[town.name, town.latitude_deg, town.longitude_deg] for town in found]
    return JsonResponse({"towns": places})
