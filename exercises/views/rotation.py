"""The rotation of a class's groups through its stations: reckoned, kept, started."""

import zoneinfo
from datetime import datetime

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from ..domain.planning.hazards import KINDS
from ..domain.running.roles import Act
from ..domain.running.rotation_values import NoRotation
from ..forms.rotation import BeginForm, RotationForm
from ..languages import tell, told
from ..presenting.rotation import kept_text, rotation_text
from ..usecases import run_rotation
from ..usecases.open_class import NotReady
from ..usecases.reckon_rotation import groups_of, reckoned
from .acting import who_may


@require_safe
@who_may(Act.RUN)
def rotation(request, acting):
    """Reckoned from the groups and what the form says; the same address gives the same one. Beside
    it the one that was kept last.
    """
    course_class = acting.course_class
    form, groups = _form(request, course_class), groups_of(course_class)
    found, trouble = None, ""
    if form.is_bound and form.is_valid() and groups:
        try:
            found = _found(course_class, groups, form.cleaned_data)
        except (NoRotation, NotReady) as error:
            trouble = told(error)
    kept = course_class.rotations.first()
    return render(
        request,
        "exercises/running/rotation.html",
        {
            "class": course_class,
            "form": form,
            "groups": groups,
            "trouble": trouble,
            "rotation": found and rotation_text(found, form.cleaned_data["begin"]),
            "query": request.GET.urlencode(),
            "kept": kept and kept_text(kept),
            "names": course_class.staff.filter(ended_at=None).values_list("name", flat=True),
        },
    )


def _form(request, course_class):
    """What the address says of a rotation; an empty one asks for it."""
    hazards = course_class.course.site.hazards_as_domain()
    dangers = [hazard.name for hazard in hazards if KINDS[hazard.kind].is_danger]
    return RotationForm(request.GET or None, dangers=dangers)


def _found(course_class, groups, wanted):
    """The rotation that a form asks for. Raises NoRotation, NotReady."""
    return reckoned(
        course_class=course_class,
        groups=groups,
        minutes=wanted["minutes"],
        helpers=wanted["helpers"],
        twice=wanted["twice"],
        kept=wanted.get("kept", ()),
    )


@require_POST
@who_may(Act.RUN)
def rotation_keep(request, acting):
    """Keep the rotation that the address gives."""
    course_class = acting.course_class
    form, groups = _form(request, course_class), groups_of(course_class)
    if form.is_bound and form.is_valid() and groups:
        try:
            run_rotation.keep(
                course_class=course_class,
                planned=_found(course_class, groups, form.cleaned_data),
                starts_at=_moment(course_class, form.cleaned_data["begin"]),
                by=acting,
                now=timezone.now(),
            )
        except (NoRotation, NotReady) as error:
            messages.error(request, told(error))
    return redirect("rotation", course_class.pk)


def _moment(course_class, time_of_day):
    """A time of the class's day where the class is."""
    zone = zoneinfo.ZoneInfo(course_class.time_zone)
    return datetime.combine(course_class.date, time_of_day, zone)


@require_POST
@who_may(Act.RUN)
def rotation_start(request, acting, version):
    """Start a rotation: now, or at a time of today where the class is."""
    row = get_object_or_404(acting.course_class.rotations, version=version)
    now = timezone.now()
    form = BeginForm(request.POST)
    starts_at = now
    if "at" in request.POST:
        if not form.is_valid():
            messages.error(request, tell("Give a time such as 10:00."))
            return redirect("rotation", acting.course_class.pk)
        zone = zoneinfo.ZoneInfo(acting.course_class.time_zone)
        today = now.astimezone(zone).date()
        starts_at = datetime.combine(today, form.cleaned_data["at"], zone)
    try:
        run_rotation.start(rotation=row, starts_at=starts_at, by=acting, now=now)
    except run_rotation.CannotRun as error:
        messages.error(request, told(error))
        return redirect("rotation", acting.course_class.pk)
    return redirect("rotation_live", acting.course_class.pk)


@require_POST
@who_may(Act.RUN)
def rotation_end(request, acting, version):
    """End a rotation before its time."""
    row = get_object_or_404(acting.course_class.rotations, version=version)
    run_rotation.end(rotation=row, by=acting, now=timezone.now())
    return redirect("rotation", acting.course_class.pk)


@require_POST
@who_may(Act.RUN)
def rotation_helpers(request, acting, version):
    """Say who stands at which station."""
    row = get_object_or_404(acting.course_class.rotations, version=version)
    run_rotation.name_helpers(rotation=row, names=request.POST.dict())
    return redirect("rotation", acting.course_class.pk)
