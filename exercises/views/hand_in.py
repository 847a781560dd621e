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
from ..languages import tell, told
from ..models import CourseClass, Reading
from ..permissions import class_of
from ..presenting.hand_in import handed_in_text, readings_text
from ..usecases.take_readings import take_readings


@require_http_methods(["GET", "POST"])
@login_required
def hand_in(request):
    """Show what was scanned (it comes in the address) or pasted; take it in at a yes."""
    text = (request.POST or request.GET).get("r", "")
    course_class, readings, trouble = _read(request.user, text) if text else (None, [], "")
    if request.method == "POST" and course_class and "take" in request.POST:
        key = queries.current_key(course_class)
        named = {reading["person"] for reading in readings}
        people = list(course_class.people.filter(pk__in=named).select_related("compass"))
        outcomes = take_readings(
            course_class=course_class,
            people=people,
            sent=readings,
            answers=key.as_domain(),
            now=timezone.now(),
            source=Reading.Source.HANDED,
        )
        _report(request, outcomes)
        return redirect("class", course_class.pk)
    return render(
        request,
        "exercises/desk/hand_in.html",
        {
            "text": text,
            "class": course_class,
            "readings": _shown(course_class, readings),
            "trouble": trouble,
        },
    )


def _read(user, text):
    """The class, the readings and what stands in the way."""
    try:
        code, readings = handover.read(text)
    except handover.NotReadable as error:
        return None, [], told(error)
    course_class = queries.class_by_code(code)
    if course_class is None or course_class.owner_id != user.pk:
        return None, [], tell("These readings are of a class that is not yours.")
    if course_class.state == CourseClass.State.DRAFT:
        return None, [], tell("This class is not open yet.")
    return class_of(user, course_class.pk), readings, ""


def _shown(course_class, readings):
    """Readings for a look before they are taken in, in two queries."""
    if course_class is None:
        return []
    names = dict(course_class.people.values_list("pk", "name"))
    here = course_class.readings.filter(client_id__in=[reading["id"] for reading in readings])
    ids = {str(client_id) for client_id in here.values_list("client_id", flat=True)}
    return readings_text(readings, names, ids)


def _report(request, outcomes):
    messages.success(request, handed_in_text(outcomes))
    for outcome in outcomes:
        if outcome.status in ("refused", "conflict"):
            messages.error(request, told(outcome.message))
