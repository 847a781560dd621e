"""The kit of a class: which goes out, who has which compass, what is back."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from .. import kit_queries
from ..domain.running.roles import Act
from ..forms.kit import GiveForm
from ..languages import tell, tell_many, told
from ..models import Kit
from ..permissions import acting_for
from ..presenting.hand_out import class_kit_text
from ..presenting.kit import written_text
from ..usecases import hand_out, keep_kit
from ..usecases.debrief import debrief
from .acting import who_may


@require_safe
@who_may(Act.COUNT)
def class_kit(request, acting):
    """Where each compass is now, and a button for each person and group; before that, which kit
    goes out.
    """
    course_class = acting.course_class
    page = {"class": course_class, "acting": acting, "kits": _kits(acting)}
    if course_class.kit:
        page |= class_kit_text(course_class, kit_queries.kit_compasses(course_class.kit))
    return render(request, "exercises/running/kit.html", page)


def _kits(acting):
    """The kits that whoever is here could send out with the class."""
    if acting.user is None or not acting.may(Act.RUN):
        return Kit.objects.none()
    return Kit.objects.usable_by(acting.user)


@require_POST
@login_required
def kit_choose(request, pk):
    """Say which kit goes out, or none."""
    acting = acting_for(request.user, pk, Act.RUN)
    wanted = request.POST.get("kit", "")
    chosen = (
        get_object_or_404(_kits(acting), pk=wanted)
        if wanted.isdecimal() and len(wanted) < 19
        else None
    )
    try:
        hand_out.choose_kit(
            course_class=acting.course_class, kit=chosen, by=acting, now=timezone.now()
        )
    except hand_out.CannotHandOut as error:
        messages.error(request, told(error))
    return redirect("class_kit", pk)


@require_POST
@who_may(Act.COUNT)
def kit_give(request, acting):
    """Give compasses to a person or a group."""
    course_class, form = acting.course_class, GiveForm(request.POST)
    if not form.is_valid():
        wrong = form.errors.get("numbers") or [tell("Give the numbers again.")]
        messages.error(request, wrong[0])
        return redirect("class_kit", course_class.pk)
    wanted = form.cleaned_data
    person = group = None
    if wanted["person"]:
        person = get_object_or_404(course_class.people.listed(), pk=wanted["person"])
    else:
        group = get_object_or_404(course_class.groups, name=wanted["group"])
    try:
        hand_out.give_out(
            course_class=course_class,
            numbers=wanted["numbers"],
            person=person,
            group_name=group.name if group else "",
            by=acting,
            now=timezone.now(),
        )
    except hand_out.CannotHandOut as error:
        messages.error(request, told(error))
    return redirect("class_kit", course_class.pk)


@require_POST
@who_may(Act.COUNT)
def kit_back(request, acting):
    """Take a compass back, or all of them."""
    number = hand_out.take_back(
        course_class=acting.course_class,
        number=request.POST.get("number", "")[:8],
        now=timezone.now(),
    )
    messages.success(
        request, tell_many("{number} compass is back.", "{number} compasses are back.", number)
    )
    return redirect("class_kit", acting.course_class.pk)


@require_POST
@login_required
def kit_said(request, pk):
    """Write into the kit's log what the class's readings say of its compasses."""
    acting, now = acting_for(request.user, pk, Act.RUN), timezone.now()
    course_class = acting.course_class
    number = keep_kit.write_found_in_class(
        course_class=course_class,
        found=debrief(course_class=course_class, now=now).diagnosis,
        by=acting,
        now=now,
    )
    messages.success(request, written_text(number))
    return redirect("debrief_alone", pk)
