"""A point is removed, after what goes with it was said, and put back from the session."""

import json

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from ..languages import tell, told
from ..models import Point
from ..permissions import site_of
from ..usecases.remove_point import CannotRemovePoint, goes_with, put_point_back, remove_point


@require_http_methods(["GET", "POST"])
@login_required
def point_delete(request, pk, code):
    """Say what goes with a point, then remove it."""
    site = site_of(request.user, pk)
    point = get_object_or_404(Point, site=site, code=code)
    trouble = ""
    if request.method == "POST":
        try:
            rows = remove_point(point=point)
        except CannotRemovePoint as error:
            trouble = told(error)
        else:
            kept = request.session.get("removed_points", {})
            request.session["removed_points"] = {**kept, str(site.pk): rows}
            return redirect("site", site.pk)
    return render(
        request,
        "exercises/desk/point_remove.html",
        {"site": site, "point": point, "trouble": trouble, "goes": goes_with(point)},
    )


@require_POST
@login_required
def point_back(request, pk):
    """Put the point back that was removed last."""
    site = site_of(request.user, pk)
    rows = request.session.get("removed_points", {}).pop(str(site.pk), None)
    request.session.modified = True
    if rows:
        try:
            point = put_point_back(site=site, kept=rows)
        except CannotRemovePoint as error:
            messages.error(request, told(error))
        else:
            messages.success(request, tell("Point {code} is back.", code=point.code))
    return redirect("site", site.pk)


def removed_point(request, site):
    """The code of the point that was removed last from a site and can be put back, or ""."""
    rows = request.session.get("removed_points", {}).get(str(site.pk))
    return json.loads(rows)[0]["fields"]["code"] if rows else ""
