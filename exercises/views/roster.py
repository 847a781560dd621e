"""Who is in a class: names before it, late comers and early leavers, groups, and names to mend."""

import random

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from .. import kit_queries
from ..domain.running.roles import Act
from ..forms.roster import PersonForm, RosterForm, SameForm, ShuffleForm
from ..languages import tell, tell_many, told
from ..models import CourseClass
from ..permissions import acting_for
from ..presenting.arrivals import signs_texts
from ..presenting.hand_out import out_words
from ..usecases import keep_roster
from ..usecases.arrival_signs import arrival_signs
from ..usecases.guard_joining import MOST_ADDED, set_joining


@require_http_methods(["GET", "POST"])
@login_required
def roster(request, pk):
    """The list of a class; names are put on it from a paste."""
    acting = acting_for(request.user, pk, Act.RUN)
    form = RosterForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        rows = [keep_roster.Row(*row) for row in form.cleaned_data["names"]]
        try:
            new, known = keep_roster.take_roster(course_class=acting.course_class, rows=rows)
        except keep_roster.CannotChange as error:
            form.add_error("names", told(error))
        else:
            messages.success(request, _taken(new, known))
            return redirect("roster", pk)
    return render(request, "exercises/running/roster.html", _page(acting, form))


def _taken(new, known):
    """How many names are new, and how many were there already."""
    said = tell_many("{number} new name.", "{number} new names.", new)
    if known:
        there = tell_many("{number} was there already.", "{number} were there already.", known)
        return f"{said} {there}"
    return said


def _out(course_class):
    """How many compasses are out, where the class has a kit."""
    return out_words(kit_queries.compasses_out(course_class).count()) if course_class.kit_id else ""


def _page(acting, form):
    people = acting.course_class.people
    signs = signs_texts(arrival_signs(acting.course_class), MOST_ADDED)
    listed = people.listed().select_related("group").prefetch_related("second_names")
    return {
        "out": _out(acting.course_class),
        "class": acting.course_class,
        "acting": acting,
        "may_purge": acting.may(Act.PURGE),
        "form": form,
        "shuffle": ShuffleForm(),
        "groups": acting.course_class.groups.prefetch_related("people"),
        "people": [(person, signs.get(person.pk, ())) for person in listed],
        "number": people.expected().count(),
    }


@require_POST
@login_required
def class_joining(request, pk):
    """Who may still join."""
    acting = acting_for(request.user, pk, Act.RUN)
    joining = request.POST.get("joining")
    if joining in CourseClass.Joining.values:
        set_joining(
            course_class=acting.course_class, joining=joining, by=acting, now=timezone.now()
        )
    back = request.POST.get("back")
    return redirect(back if back in ("roster", "headcounts") else "class", pk)


@require_POST
@login_required
def groups_shuffle(request, pk):
    """Divide those who are here into groups by chance."""
    acting = acting_for(request.user, pk, Act.RUN)
    form = ShuffleForm(request.POST)
    try:
        keep_roster.shuffle(
            course_class=acting.course_class,
            number=form.cleaned_data["number"] if form.is_valid() else 0,
            rng=random.SystemRandom(),
        )
    except keep_roster.CannotChange as error:
        messages.error(request, told(error))
    return redirect("roster", pk)


@require_POST
@login_required
def person_change(request, pk, person):
    """Put a name and a group right."""
    acting = acting_for(request.user, pk, Act.RUN)
    someone = get_object_or_404(acting.course_class.people.listed(), pk=person)
    form = PersonForm(request.POST)
    if not form.is_valid():
        messages.error(request, tell("Give a name of at most thirty letters."))
        return redirect("roster", pk)
    try:
        keep_roster.change_person(person=someone, **form.cleaned_data)
    except keep_roster.CannotChange as error:
        messages.error(request, told(error))
    return redirect("roster", pk)


@require_POST
@login_required
def person_leaves(request, pk, person, verb):
    """Somebody goes home early, or is there after all."""
    acting = acting_for(request.user, pk, Act.RUN)
    someone = get_object_or_404(acting.course_class.people.listed(), pk=person)
    if verb == "left":
        keep_roster.note_leaving(person=someone, now=timezone.now())
    else:
        keep_roster.note_return(person=someone)
    return redirect("roster", pk)


@require_http_methods(["GET", "POST"])
@login_required
def person_same(request, pk, person):
    """Say of whom somebody is a second name, or that they are not."""
    acting = acting_for(request.user, pk, Act.RUN)
    someone = get_object_or_404(acting.course_class.people, pk=person, taken_out_at=None)
    now = timezone.now()
    if request.method == "POST" and "apart" in request.POST:
        keep_roster.unmerge(second=someone, by=acting, now=now)
        return redirect("roster", pk)
    form = SameForm(request.POST or None, person=someone)
    if request.method == "POST" and form.is_valid():
        try:
            keep_roster.merge(second=someone, first=form.cleaned_data["first"], by=acting, now=now)
            return redirect("roster", pk)
        except keep_roster.CannotChange as error:
            form.add_error("first", told(error))
    return render(
        request,
        "exercises/running/same.html",
        {"class": acting.course_class, "acting": acting, "person": someone, "form": form},
    )


@require_http_methods(["GET", "POST"])
@login_required
def person_out(request, pk, person):
    """Take somebody out: what goes with them is said first."""
    acting = acting_for(request.user, pk, Act.RUN)
    someone = get_object_or_404(acting.course_class.people.listed(), pk=person)
    if request.method == "POST" and "keep" in request.POST:
        keep_roster.take_out(person=someone, by=acting, now=timezone.now())
        return redirect("roster", pk)
    if request.method == "POST" and "purge" in request.POST and acting.may(Act.PURGE):
        keep_roster.purge(person=someone, by=acting, now=timezone.now())
        return redirect("roster", pk)
    return render(
        request,
        "exercises/running/out.html",
        {
            "class": acting.course_class,
            "acting": acting,
            "person": someone,
            "readings": acting.course_class.readings.of([someone]).count(),
            "may_purge": acting.may(Act.PURGE),
        },
    )
