"""What is seen from a station: chosen on its map or in a list, which are one form, and put back."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from ..domain.planning.sights import expected, sights, usual_reach_m
from ..forms.sight_lines import ReachForm
from ..languages import phone_catalogue, tell
from ..models import Point
from ..permissions import site_of
from ..presenting import sight_lines
from ..queries import tasks_along
from ..usecases import note_lines


@require_http_methods(["GET", "POST"])
@login_required
def point_lines(request, pk, code):
    """The targets that a station sees, to be ticked; those within a reach on demand."""
    site = site_of(request.user, pk)
    station = get_object_or_404(Point, site=site, code=code)
    if not station.mark:
        messages.error(request, tell("Say first where to stand: {code} has no mark.", code=code))
        return redirect("point_edit", pk, code)
    if request.method == "GET":
        return _page(request, site, station)
    sees, was = set(request.POST.getlist("sees")), set(request.POST.get("was", "").split())
    asked = {"added": sees - was, "taken": was - sees}
    try:
        changed = note_lines.change_lines(station=station, is_sure="sure" in request.POST, **asked)
    except note_lines.LinesInUse as error:
        return _page(request, site, station, asked=asked, in_use=error.tasks)
    return _at_map(request, station, changed)


def _page(request, site, station, asked=None, in_use=None):
    """The page of a station's lines, with a change that was `asked` for and is not stored, or as
    `_ticked_first` has them.
    """
    ground = site.as_domain()
    found, noted = sights(ground, station.code), set(ground.visible.get(station.code, ()))
    reach = ReachForm(request.GET if "within" in request.GET else None)
    reach.fields["within"].initial = usual_reach_m(ground)
    if asked:
        ticked = (noted | asked["added"]) - asked["taken"]
    else:
        ticked = _ticked_first(reach, found, noted)
    rows = sight_lines.rows(ground, station.code, found, tasks_along(site), on=timezone.localdate())
    return render(
        request,
        "exercises/desk/sight_lines.html",
        {
            "site": site,
            "station": station,
            "reach": reach,
            "rows": [{**row, "is_ticked": row["code"] in ticked} for row in rows],
            "was": [row["code"] for row in rows if row["is_noted"]],
            "is_offered": bool(ticked) and not noted,
            "in_use": in_use,
            "map": sight_lines.lines_map(
                ground, site.position(), station.code, site.hazards_as_domain()
            ),
            "catalogue": phone_catalogue(),
        },
    )


def _ticked_first(reach, found, noted):
    """The codes to tick on a page that is opened: what is noted, for somebody has looked; and what
    is expected within the reach that was asked for, or the usual one where nothing is noted.
    """
    if reach.is_bound:
        return noted | expected(found, reach.cleaned_data["within"]) if reach.is_valid() else noted
    return noted or expected(found, reach["within"].initial)


def _at_map(request, station, changed):
    """Back to the map of the site at a station, where what was changed is said and can be put
    back.
    """
    request.session["lines_changed"] = {
        "station": [station.site_id, station.code],
        "added": changed.added,
        "taken": changed.taken,
    }
    return redirect(f"{reverse('site', args=[station.site_id])}?station={station.code}#lines")


def last_change(request, site, pairs):
    """What was changed last at the station that the address names, where it is still so by the
    (station, target) pairs of the site; or None.
    """
    code, kept = request.GET.get("station"), request.session.get("lines_changed")
    if not kept or kept["station"] != [site.pk, code]:
        return None
    seen = {target for station, target in pairs if station == code}
    if not seen.issuperset(kept["added"]) or seen.intersection(kept["taken"]):
        return None
    words = sight_lines.changed_text(code, kept["added"], kept["taken"])
    return {**kept, "code": code, "words": words}
