"""Compasses of a set against each other, before a class or without one: all sight one far line, and
each is looked over.
"""

import uuid

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from .. import queries
from ..domain.running import kit as domain
from ..domain.running.roles import Act
from ..domain.running.set_check import TooFewCompasses, set_check
from ..forms.compasses import SetCheckForm
from ..forms.kit import LookForm
from ..languages import tell, told
from ..permissions import acting_for
from ..presenting.counted import as_counted
from ..presenting.kit import LOOKED_FOR, in_order, written_text
from ..presenting.set_check import line_choices, set_check_text
from ..usecases import check_ground, keep_kit


@require_http_methods(["GET", "POST"])
@login_required
def compasses_checked(request, pk):
    """Check the compasses that go out with a class."""
    acting = acting_for(request.user, pk, Act.RUN)
    course_class = acting.course_class
    return check_page(
        request,
        kit=course_class.kit,
        by=acting,
        back=("compasses_checked", pk),
        page={"class": course_class},
    )


def check_page(request, *, kit, by, back, page):
    """The page of a check, of a kit or, without one, of whatever compasses there are: what was
    typed is looked at, and written into the kit's log when that is asked for.
    """
    course_class = page.get("class")
    compasses = (
        [row for row in in_order(kit.compasses.all()) if not row.withdrawn_at] if kit else []
    )
    lines = _lines(course_class)
    form = SetCheckForm(
        request.POST if _is_of_check(request) else None,
        lines=line_choices(lines),
        initial={"readings": "\n".join(f"{number} " for number in _numbers(kit, course_class))},
    )
    look = LookForm(request.POST if "look" in request.POST else None, compasses=compasses)
    if look.is_bound and kit and look.is_valid():
        _write_look(request, look, by, course_class)
        return redirect(*back)
    found = _found(form, lines) if form.is_bound and form.is_valid() else None
    if found and kit and request.POST.get("write"):
        _write(request, kit, found, by, course_class)
        return redirect(*back)
    return render(
        request,
        "exercises/running/compasses.html",
        {
            **page,
            "kit": kit,
            "form": form,
            "look": look,
            "looked_for": [told(line) for line in LOOKED_FOR],
            "found": found and set_check_text(found),
            "to_write": kit and found and _to_write(kit, found),
            "token": uuid.uuid4(),
        },
    )


def _is_of_check(request):
    return request.method == "POST" and "look" not in request.POST


def _numbers(kit, course_class):
    """The numbers to be filled in: those of the kit that are not withdrawn, else those of which the
    class's people told.
    """
    if kit:
        rows = kit.compasses.filter(withdrawn_at=None)
    elif course_class:
        rows = course_class.compasses.exclude(number="")
    else:
        return []
    return sorted(rows.values_list("number", flat=True), key=as_counted)


def _lines(course_class):
    """The lines of the class's site on its day; none without a class."""
    if course_class is None:
        return []
    site = course_class.course.site
    return check_ground.magnetic_lines(
        site.as_domain(), queries.visible_pairs(site), course_class.date
    )


def _found(form, lines):
    """What the check says, or None with an error of the form."""
    wanted = form.cleaned_data
    line = next((one for one in lines if one.code == wanted.get("along")), None)
    try:
        if line:
            return set_check(
                wanted["readings"], wanted["step_deg"], line.bearing_deg, line.error_deg
            )
        return set_check(wanted["readings"], wanted["step_deg"], wanted["line"])
    except TooFewCompasses:
        form.add_error(
            "readings",
            tell(
                "Of two compasses that differ nobody can say which is odd. Read three or more, "
                "or give the line’s bearing."
            ),
        )
    return None


def _to_write(kit, found):
    """How many of the compasses of a check are in the kit and have something to be written."""
    there = set(kit.compasses.values_list("number", flat=True))
    return sum(one.number in there for one in domain.of_check(found))


def _write(request, kit, found, by, course_class):
    """Write what was found into the log, and withdraw the odd ones where that was pressed."""
    number = keep_kit.write_measured(
        kit=kit,
        measured=domain.of_check(found),
        by=by,
        now=timezone.now(),
        token=f"check {request.POST.get('token', '')[:36]}",
        withdraws=request.POST["write"] == "withdraw",
        course_class=course_class,
    )
    messages.success(request, written_text(number))


def _write_look(request, look, by, course_class):
    """Write what was seen into the log."""
    number = sum(
        keep_kit.write(
            compass=compass,
            event=event,
            by=by,
            now=timezone.now(),
            course_class=course_class,
            token=f"look {look.cleaned_data['token']}",
        )
        for compass, event in look.found()
    )
    messages.success(request, written_text(number))
