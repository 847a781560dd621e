"""Compasses of a set against each other, before a class."""

from django.contrib.auth.decorators import login_required
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from ..domain.running.set_check import TooFewCompasses, set_check
from ..forms.compasses import SetCheckForm
from ..languages import tell
from ..permissions import class_of
from ..presenting.counted import as_counted
from ..presenting.set_check import set_check_text


@require_http_methods(["GET", "POST"])
@login_required
def compasses_checked(request, pk):
    """All sight one far line; what was typed is looked at and not kept."""
    course_class = class_of(request.user, pk)
    numbers = course_class.compasses.exclude(number="").values_list("number", flat=True)
    form = SetCheckForm(
        request.POST or None,
        initial={"readings": "\n".join(f"{number} " for number in sorted(numbers, key=as_counted))},
    )
    found = None
    if request.method == "POST" and form.is_valid():
        wanted = form.cleaned_data
        try:
            found = set_check_text(
                set_check(wanted["readings"], wanted["step_deg"], wanted["line"])
            )
        except TooFewCompasses:
            form.add_error(
                "readings",
                tell(
                    "Of two compasses that differ nobody can say which is odd. Read three or more, "
                    "or give the line’s bearing."
                ),
            )
    return render(
        request,
        "exercises/running/compasses.html",
        {"class": course_class, "form": form, "found": found},
    )
