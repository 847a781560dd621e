"""The instructor takes over readings that a phone could not send: scanned off its screen, or
pasted.
"""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from .. import queries
from ..exchange import handover
from ..languages import tell, tell_many, told
from ..models import CourseClass, Reading
from ..permissions import class_of
from ..usecases.take_readings import take_readings


@require_http_methods(["GET", "POST"])
@login_required
def hand_in(request):
    """Show what was scanned (it comes in the address) or pasted; take it in at a yes."""
    text = (request.POST or request.GET).get("r", "")
    row, readings, trouble = _read(request.user, text) if text else (None, [], "")
    if request.method == "POST" and row and "take" in request.POST:
        key = queries.current_key(row)
        people = list(
            row.people.filter(pk__in={one["person"] for one in readings}).select_related("compass")
        )
        outcomes = take_readings(
            course_class=row,
            people=people,
            sent=readings,
            answers=key.as_domain(),
            now=timezone.now(),
            source=Reading.Source.HANDED,
        )
        _report(request, outcomes)
        return redirect("class", row.pk)
    return render(
        request,
        "exercises/desk/hand_in.html",
        {"text": text, "class": row, "readings": _shown(row, readings), "trouble": trouble},
    )


def _read(user, text):
    """The class, the readings and what stands in the way."""
    try:
        code, readings = handover.read(text)
    except handover.NotReadable as error:
        return None, [], told(error)
    found = queries.class_by_code(code)
    if found is None or found.owner_id != user.pk:
        return None, [], tell("These readings are of a class that is not yours.")
    if found.state == CourseClass.State.DRAFT:
        return None, [], tell("This class is not open yet.")
    return class_of(user, found.pk), readings, ""


def _shown(row, readings):
    """Readings for a look before they are taken in: name, task, answer, whether they are here
    already; in two queries.
    """
    if row is None:
        return []
    names = dict(row.people.values_list("pk", "name"))
    here = {
        str(one)
        for one in row.readings.filter(client_id__in=[one["id"] for one in readings]).values_list(
            "client_id", flat=True
        )
    }
    return [
        (
            names.get(one["person"], tell("somebody who is not in this class")),
            one["task"],
            one["text"],
            one["id"] in here,
        )
        for one in readings
    ]


def _report(request, outcomes):
    new, again = (
        sum(outcome.status == status for outcome in outcomes) for status in ("stored", "again")
    )
    messages.success(
        request,
        " ".join(
            [
                tell_many("One reading taken in.", "{number} readings taken in.", new),
                *(
                    [tell_many("One was here already.", "{number} were here already.", again)]
                    if again
                    else []
                ),
            ]
        ),
    )
    for outcome in outcomes:
        if outcome.status in ("refused", "conflict"):
            messages.error(request, told(outcome.message))
