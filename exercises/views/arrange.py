"""Copies, things put away, and the bin."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ..domain.running.roles import Act
from ..forms.arrange import AgainForm, NameForm, SettingsForm
from ..languages import tell, told
from ..models import Course, CourseClass, Site
from ..permissions import acting_for, site_of
from ..usecases import arrange, run_class
from .desk import course_of


@require_POST
@login_required
def site_copy(request, pk):
    """A site of one's own that begins as another is."""
    made = arrange.copy_site(site=site_of(request.user, pk), owner=request.user, now=timezone.now())
    return redirect("site", made.pk)


@require_POST
@login_required
def course_copy(request, pk):
    """A course that begins as another is."""
    made = arrange.copy_course(course=course_of(request.user, pk))
    return redirect("course", made.pk)


@require_http_methods(["GET", "POST"])
@login_required
def course_name(request, pk):
    """Give a course another name, or another rule for passing."""
    course = course_of(request.user, pk)
    form = NameForm(request.POST or None, instance=course)
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("course", pk)
    return render(
        request,
        "exercises/desk/form.html",
        {"form": form, "title": tell("Name and rule of {name}", name=course.name), "back": "sites"},
    )


@require_http_methods(["GET", "POST"])
@login_required
def class_again(request, pk):
    """A class to be held once more, on another day."""
    course_class = acting_for(request.user, pk, Act.RUN).course_class
    form = AgainForm(request.POST or None, initial={"name": course_class.name})
    if request.method == "POST" and form.is_valid():
        made = arrange.copy_class(
            course_class=course_class, owner=request.user, **form.cleaned_data
        )
        return redirect("class", made.pk)
    title = tell("Hold {name} once more", name=course_class.name)
    return render(
        request, "exercises/desk/form.html", {"form": form, "title": title, "back": "sites"}
    )


@require_http_methods(["GET", "POST"])
@login_required
def class_settings(request, pk):
    """What of a class can honestly be changed in its state, with what that does."""
    acting = acting_for(request.user, pk, Act.RUN)
    form = SettingsForm(request.POST or None, instance=acting.course_class)
    if request.method == "POST" and form.is_valid():
        run_class.change_settings(
            course_class=acting.course_class,
            wanted=form.wanted(),
            has_new_code=form.cleaned_data["has_new_code"],
            by=acting,
            now=timezone.now(),
        )
        return redirect("class", pk)
    return render(
        request,
        "exercises/running/settings.html",
        {"form": form, "class": acting.course_class, "acting": acting},
    )


def _row(user, kind, pk):
    """Something of an instructor's own that they may put away or remove. Raises Http404."""
    if kind == "class":
        return acting_for(user, pk, Act.PURGE).course_class
    row = course_of(user, pk) if kind == "course" else site_of(user, pk)
    if (row.site if kind == "course" else row).owner_id != user.pk:
        raise Http404("There is nothing at this address for you.")
    return row


@require_POST
@login_required
def set_archived(request, pk, kind, verb):
    """Put a site or a course away, or take it out again."""
    row = _row(request.user, kind, pk)
    arrange.set_archived(row=row, now=timezone.now() if verb == "archive" else None)
    return redirect(kind, pk)


@require_http_methods(["GET", "POST"])
@login_required
def remove(request, pk, kind):
    """Say what goes with something, then let it go into the bin."""
    row, trouble = _row(request.user, kind, pk), ""
    if request.method == "POST":
        try:
            arrange.remove(row=row, now=timezone.now())
        except arrange.CannotArrange as error:
            trouble = told(error)
        else:
            messages.success(
                request,
                tell(
                    "“{name}” lies in the bin, for {days} days.",
                    name=row.name,
                    days=arrange.BIN_DAYS,
                ),
            )
            return redirect("sites")
    return render(
        request,
        "exercises/desk/remove.html",
        {
            "row": row,
            "kind": kind,
            "trouble": trouble,
            "days": arrange.BIN_DAYS,
            "goes": arrange.goes_with(row),
        },
    )


@require_safe
@login_required
def waste_bin(request):
    """What an instructor removed and can put back."""
    arrange.empty_bin(owner=request.user, now=timezone.now())
    rows = [
        (kind, row)
        for kind, found in (
            ("site", Site.objects.filter(owner=request.user)),
            ("course", Course.objects.filter(site__owner=request.user)),
            ("class", CourseClass.objects.filter(owner=request.user)),
        )
        for row in found.exclude(removed_at=None)
    ]
    rows.sort(key=lambda entry: entry[1].removed_at, reverse=True)
    return render(request, "exercises/desk/bin.html", {"rows": rows, "days": arrange.BIN_DAYS})


@require_POST
@login_required
def put_back(request, pk, kind):
    """Take something out of the bin."""
    owned = {
        "site": Site.objects.filter(owner=request.user),
        "course": Course.objects.filter(site__owner=request.user),
        "class": CourseClass.objects.filter(owner=request.user),
    }
    row = get_object_or_404(owned[kind], pk=pk)
    try:
        arrange.put_back(row=row)
    except arrange.CannotArrange as error:
        messages.error(request, told(error))
        return redirect("waste_bin")
    return redirect("sites")
