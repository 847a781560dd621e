"""Kits of compasses at the desk: the set by number, the log of each, what was seen and measured."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from .. import kit_queries
from ..forms.kit import CompassesForm, EntryForm, KitCompassForm, KitForm
from ..languages import tell, tell_many, told
from ..models import CourseClass, Kit
from ..permissions import kit_of
from ..presenting import kit as presenting
from ..usecases import keep_kit
from ..usecases.trail import Account
from .compasses import check_page


def _own_classes(user):
    """The keys of the classes whose people an instructor may know."""
    return set(CourseClass.objects.of(user).values_list("pk", flat=True))


@require_http_methods(["GET", "POST"])
@login_required
def kits(request):
    """The kits that this instructor may use; and a new one."""
    form = KitForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        form.instance.owner = request.user
        form.save()
        return redirect("kit", form.instance.pk)
    own = Kit.objects.usable_by(request.user).select_related("organisation")
    return render(
        request,
        "exercises/desk/kits.html",
        {"form": form, "kits": own.prefetch_related("compasses")},
    )


@require_http_methods(["GET", "POST"])
@login_required
def kit(request, pk):
    """A kit by number: how each is and where; and more numbers."""
    found = kit_of(request.user, pk)
    form = CompassesForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            new, there = keep_kit.add_compasses(
                kit=found, numbers=form.cleaned_data["numbers"], instrument=form.instrument()
            )
            messages.success(request, _added(new, there))
            return redirect("kit", pk)
        except keep_kit.CannotKeep as error:
            form.add_error("numbers", told(error))
    compasses = kit_queries.kit_compasses(found)
    return render(
        request,
        "exercises/desk/kit.html",
        {
            "kit": found,
            "form": form,
            **presenting.kit_text(compasses, _own_classes(request.user)),
        },
    )


def _added(new, there):
    """How many numbers are new, and how many were there."""
    said = tell_many("{number} new compass.", "{number} new compasses.", new)
    if there:
        before = tell_many("{number} was there already.", "{number} were there already.", there)
        return f"{said} {before}"
    return said


@require_http_methods(["GET", "POST"])
@login_required
def kit_settings(request, pk):
    """What a kit is called and with whom it is shared; an empty one can be removed."""
    found = kit_of(request.user, pk)
    form = KitForm(request.POST or None, instance=found, user=request.user)
    if request.method == "POST" and "remove" in request.POST:
        try:
            keep_kit.remove_kit(kit=found)
            return redirect("kits")
        except keep_kit.CannotKeep as error:
            messages.error(request, told(error))
            return redirect("kit", pk)
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("kit", pk)
    return render(
        request,
        "exercises/desk/kit_settings.html",
        {"kit": found, "form": form, "is_empty": not found.compasses.exists()},
    )


def _compass(user, pk, number):
    """A compass of a kit, with its log and where it is."""
    for compass in kit_queries.kit_compasses(kit_of(user, pk)):
        if compass.number == number:
            return compass
    raise Http404("There is nothing at this address for you.")


@require_http_methods(["GET", "POST"])
@login_required
def kit_compass(request, pk, number):
    """One compass: how it is, its log, what classes found of it; put it right."""
    compass = _compass(request.user, pk, number)
    form = KitCompassForm(request.POST or None, instance=compass)
    if request.method == "POST" and form.is_valid():
        form.keep()
        messages.success(request, tell("Kept."))
        return redirect("kit_compass", pk, number)
    return render(
        request, "exercises/desk/kit_compass.html", _compass_page(request.user, compass, form=form)
    )


def _compass_page(user, compass, **forms):
    """What the page of a compass shows; `forms` are those that came back with errors."""
    own, entries = _own_classes(user), list(compass.entries.all())
    standing = keep_kit.standing(compass)
    return {
        "kit": compass.kit,
        "compass": compass,
        "row": presenting.row(compass, standing, own),
        "log": presenting.log_text(entries, own),
        "said": presenting.said_text(kit_queries.said_in_classes(compass), own),
        "entry": EntryForm(),
        "may_go": not entries and not compass.issues.exists(),
        "form": KitCompassForm(instance=compass),
        **forms,
    }


@require_POST
@login_required
def kit_entry(request, pk, number):
    """Write an entry into a compass's log."""
    compass = _compass(request.user, pk, number)
    form = EntryForm(request.POST)
    if not form.is_valid():
        page = _compass_page(request.user, compass, entry=form)
        return render(request, "exercises/desk/kit_compass.html", page, status=400)
    keep_kit.write(compass=compass, by=Account(request.user), now=timezone.now(), **form.entry())
    return redirect("kit_compass", pk, number)


@require_POST
@login_required
def kit_compass_remove(request, pk, number):
    """Take out a number that was put in by mistake."""
    compass = get_object_or_404(kit_of(request.user, pk).compasses, number=number)
    try:
        keep_kit.remove_compass(compass=compass)
        return redirect("kit", pk)
    except keep_kit.CannotKeep as error:
        messages.error(request, told(error))
        return redirect("kit_compass", pk, number)


@require_http_methods(["GET", "POST"])
@login_required
def kit_check(request, pk):
    """Check a kit without a class."""
    return check_page(
        request,
        kit=kit_of(request.user, pk),
        by=Account(request.user),
        back=("kit_check", pk),
        page={},
    )
