"""The rotation of a class's groups through its stations."""

import numpy as np
from django.contrib.auth.decorators import login_required
from django.shortcuts import render
from django.views.decorators.http import require_safe

from .. import queries
from ..domain.planning.hazards import KINDS
from ..domain.running import rotation_ground
from ..domain.running.rotation_time import CourseInformation, fitted
from ..domain.running.rotation_values import Group, NoRotation
from ..forms.rotation import RotationForm
from ..languages import told
from ..permissions import class_of
from ..presenting.rotation import rotation_text
from ..usecases.open_class import NotReady, compute_key


@require_safe
@login_required
def rotation(request, pk):
    """Reckoned from the groups and what the form says; the same address gives the same one."""
    course_class = class_of(request.user, pk)
    hazards = course_class.course.site.hazards_as_domain()
    dangers = [hazard.name for hazard in hazards if KINDS[hazard.kind].is_danger]
    form = RotationForm(request.GET or None, dangers=dangers)
    groups = [
        Group(group.name, len(group.people.all()) or 1)
        for group in course_class.groups.prefetch_related("people")
    ]
    found, trouble = None, ""
    if form.is_bound and form.is_valid() and groups:
        try:
            found = _found(course_class, groups, hazards, form.cleaned_data)
        except (NoRotation, NotReady) as error:
            trouble = told(error)
    return render(
        request,
        "exercises/running/rotation.html",
        {
            "class": course_class,
            "form": form if form.is_bound else RotationForm(dangers=dangers),
            "groups": groups,
            "trouble": trouble,
            "rotation": found and rotation_text(found, form.cleaned_data["begin"]),
        },
    )


def _found(course_class, groups, hazards, wanted):
    """The rotation, deterministic for a class. Raises NoRotation, NotReady."""
    key = queries.current_key(course_class)
    answers = (
        key.counted()
        if key
        else compute_key(course_class.course, course_class.date, course_class.key_source)
    )
    problem = rotation_ground.problem(
        answers,
        course_class.course.site.as_domain(),
        groups,
        hazards=hazards,
        kept=wanted.get("kept", ()),
        places=dict.fromkeys(wanted["twice"], 2),
        minutes=wanted["minutes"],
        helpers=wanted["helpers"],
    )
    rng = np.random.default_rng(course_class.pk)
    return fitted(problem, CourseInformation(answers), rng=rng)
