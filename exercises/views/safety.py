"""What keeps people safe: a site's emergency sheet, and a class's list before it goes out."""

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ..domain.running.roles import Act
from ..forms.safety import CheckListForm, SafetyForm
from ..permissions import acting_for, site_of
from ..presenting.check_list import unticked, usual_lines
from ..presenting.emergency import emergency_notice, emergency_text
from ..printing import paper
from ..printing.notices import notice_sheet
from ..usecases import prepare_class
from .acting import who_may


@require_http_methods(["GET", "POST"])
@login_required
def site_safety(request, pk):
    """What a site has for an emergency."""
    site = site_of(request.user, pk)
    form = SafetyForm(request.POST or None, instance=site)
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("site", pk)
    return render(
        request,
        "exercises/running/site_safety.html",
        {"form": form, "site": site, "parts": emergency_text(site_of(request.user, pk), _today())},
    )


def _today():
    return timezone.localdate()


@require_safe
@who_may(Act.WATCH)
def emergency(request, acting):
    """The emergency sheet of a class's site, for a helper's phone."""
    course_class = acting.course_class
    return render(
        request,
        "exercises/running/emergency.html",
        {
            "class": course_class,
            "acting": acting,
            "parts": emergency_text(course_class.course.site, course_class.date),
        },
    )


@require_safe
@who_may(Act.WATCH)
def emergency_pdf(request, acting):
    """The same on paper."""
    course_class = acting.course_class
    sheet = paper.size("letter" if request.GET.get("paper") == "letter" else "a4")
    parts = emergency_text(course_class.course.site, course_class.date)
    when = date_format(course_class.date, "DATE_FORMAT")
    content = notice_sheet(emergency_notice(course_class, when, parts), sheet)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{course_class.code}-emergency.pdf"'
    return answer


@require_http_methods(["GET", "POST"])
@login_required
def before_going_out(request, pk):
    """A class's list before it goes out, to tick; and to be made its own."""
    acting = acting_for(request.user, pk, Act.RUN)
    course_class = acting.course_class
    items = list(course_class.checks.all())
    lines = [item.words for item in items] or usual_lines()
    form = CheckListForm(request.POST or None, initial={"lines": "\n".join(lines)})
    if request.method == "POST" and form.is_valid():
        prepare_class.set_lines(course_class=course_class, lines=form.cleaned_data["lines"])
        return redirect("before_going_out", pk)
    return render(
        request,
        "exercises/running/before.html",
        {
            "class": course_class,
            "acting": acting,
            "items": items or unticked(lines),
            "form": form,
            "left": sum(item.done_at is None for item in items) if items else len(lines),
        },
    )


@require_POST
@login_required
def check_tick(request, pk, number):
    """Tick a line of the list, or take its tick away; the usual list becomes the class's own with
    the first one.
    """
    acting = acting_for(request.user, pk, Act.RUN)
    if not acting.course_class.checks.exists():
        prepare_class.set_lines(course_class=acting.course_class, lines=usual_lines())
    prepare_class.tick(
        item=get_object_or_404(acting.course_class.checks, number=number),
        is_done=request.POST.get("done") == "yes",
        by=acting,
        now=timezone.now(),
    )
    return redirect(f"{reverse('before_going_out', args=[pk])}#line{number}")
