"""A class while it is out, for those who run it: watched, seen to, noted."""

import uuid

from django.http import JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from ..domain.running.roles import Act
from ..languages import phone_catalogue, tell
from ..presenting.emergency import emergency_text
from ..presenting.live import SILENT_MINUTES, USUAL_MINUTES, live_text
from ..presenting.rotation_live import rotation_now
from ..usecases import watch_class
from .acting import who_may
from .bodies import NotOurs, json_of

LONGEST_BATCH = 200


@require_safe
@never_cache
@who_may(Act.WATCH)
def live(request, acting):
    """The page, which fetches its changing part again and again."""
    site = acting.course_class.course.site
    return render(
        request,
        "exercises/running/live.html",
        {
            **_parts(request, acting),
            "parts": emergency_text(site, acting.course_class.date),
            "catalogue": phone_catalogue(),
            "note_id": uuid.uuid4(),
        },
    )


@require_safe
@never_cache
@who_may(Act.WATCH)
def live_parts(request, acting):
    """What changes."""
    return render(request, "exercises/running/live_parts.html", _parts(request, acting))


def _parts(request, acting):
    minutes = request.GET.get("minutes", "")
    now = timezone.now()
    watched = watch_class.watch(course_class=acting.course_class, now=now)
    chosen = int(minutes) if minutes in map(str, SILENT_MINUTES) else USUAL_MINUTES
    return {
        "class": acting.course_class,
        "acting": acting,
        "may_note": acting.may(Act.NOTE),
        "minutes": chosen,
        "choices": SILENT_MINUTES,
        **live_text(watched, now, chosen),
        "rotation": rotation_now(acting.course_class, now),
    }


@require_POST
@who_may(Act.NOTE)
def live_acts(request, acting):
    """Take in what somebody saw to or noted: from a script in one batch, from a form one by one."""
    now = timezone.now()
    common = {"course_class": acting.course_class, "by": acting, "now": now}
    if request.content_type != "application/json":
        watch_class.take_acts(**common, sent=[request.POST.dict()], clock=None)
        return redirect("live", acting.course_class.pk)
    try:
        body = json_of(request)
        sent = body["acts"]
    except (NotOurs, KeyError):
        sent = None
    if not isinstance(sent, list) or len(sent) > LONGEST_BATCH:
        return JsonResponse(
            {"message": tell("This is not a list of acts. Reload the page.")}, status=400
        )
    return JsonResponse(
        {"kept": watch_class.take_acts(**common, sent=sent, clock=body.get("clock"))}
    )
