"""A rotation while it runs: the page of who helps, a large clock, signals, a new plan."""

import uuid

from django.http import JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ..domain.running.roles import Act
from ..domain.running.rotation_values import NoRotation
from ..forms.rotation import LateForm
from ..languages import phone_catalogue, tell, told
from ..presenting import rotation_live as words
from ..usecases import run_rotation
from ..usecases.clocks import moment
from ..usecases.follow_rotation import follow, running
from .acting import who_may
from .bodies import NotOurs, json_of

LONGEST_BATCH = 200


@require_safe
@never_cache
@who_may(Act.COUNT)
def rotation_live(request, acting):
    """The round, the groups, and the buttons of who helps."""
    return _page(request, acting, "exercises/running/rotation_live.html")


@require_safe
@never_cache
@who_may(Act.WATCH)
def rotation_clock(request, acting):
    """A clock to be read from afar."""
    return _page(request, acting, "exercises/running/rotation_clock.html")


def _page(request, acting, template):
    """A page that goes on by itself; where nothing runs it says so."""
    course_class, now = acting.course_class, timezone.now()
    followed = follow(course_class, now)
    shown = {}
    if followed:
        clock = words.clock_of(course_class, followed.row)
        shown = {
            "row": followed.row,
            "now": words.now_text(followed, clock),
            "plan": words.live_plan(followed),
            "state": words.live_state(followed, clock),
            "ends_round": words.button_round(followed),
            "mark_id": str(uuid.uuid4()),
            "stations": [one.code for one in followed.planned.problem.stations],
        }
    return render(
        request,
        template,
        {
            "class": course_class,
            "acting": acting,
            "may_run": acting.may(Act.RUN),
            "catalogue": phone_catalogue(),
            **shown,
        },
    )


@require_safe
@never_cache
@who_may(Act.WATCH)
def rotation_state(request, acting):
    """How the rotation stands by now, for the pages that are open."""
    return JsonResponse(_state(acting.course_class))


def _state(course_class):
    followed = follow(course_class, timezone.now())
    if followed is None:
        return {"version": None}
    return words.live_state(followed, words.clock_of(course_class, followed.row))


@require_POST
@who_may(Act.COUNT)
def rotation_marks(request, acting):
    """Take in signals, and what was said of groups: from a script in one batch, from a form one."""
    course_class, now = acting.course_class, timezone.now()
    if request.content_type != "application/json":
        row, sent, clock = running(course_class), [_of_form(request.POST)], None
    else:
        row, sent, clock = _sent(course_class, request)
    if not isinstance(sent, list) or len(sent) > LONGEST_BATCH:
        return JsonResponse(
            {"message": tell("This is not a list of marks. Reload the page.")}, status=400
        )
    kept = (
        run_rotation.take_marks(rotation=row, sent=sent, clock=clock, by=acting, now=now)
        if row
        else []
    )
    if request.content_type != "application/json":
        return redirect("rotation_live", course_class.pk)
    return JsonResponse({"kept": kept, **_state(course_class)})


def _of_form(posted):
    """A mark as a form without a script sends it."""
    number = posted.get("round", "")
    return {
        "id": posted.get("id"),
        "what": posted.get("what"),
        "round": int(number) if number.isdecimal() and len(number) < 6 else None,
        "group": posted.get("group"),
        "station": posted.get("station"),
    }


def _sent(course_class, request):
    """The rotation, the marks and the clock that a script sent; nothing of what is none."""
    try:
        found = json_of(request)
    except NotOurs:
        return None, None, None
    version, sent, clock = found.get("version"), found.get("marks"), found.get("clock")
    is_number = type(version) is int and version in range(1, 32768)
    if not is_number:
        return None, sent, clock
    rows = course_class.rotations.filter(version=version, started_at__isnull=False)
    return rows.first(), sent, clock


@require_http_methods(["GET", "POST"])
@never_cache
@who_may(Act.RUN)
def rotation_again(request, acting):
    """A new plan for what remains, looked at before it is kept."""
    course_class, now = acting.course_class, timezone.now()
    row = running(course_class)
    if row is None:
        return redirect("rotation", course_class.pk)
    groups = [group["code"] for group in row.plan["groups"]]
    form = LateForm(request.POST or request.GET or None, groups=groups)
    late_min = form.late_min() if form.is_bound and form.is_valid() else {}
    trouble = ""
    try:
        if request.method == "POST" and form.is_valid():
            kept = run_rotation.take_up_again(
                course_class=course_class,
                late_min=late_min,
                looked_at=_looked_at(request.POST, now),
                looked_like=request.POST.get("looked_like", ""),
                by=acting,
                now=now,
            )
            if kept:
                return redirect("rotation_live", course_class.pk)
            trouble = tell("Something came in meanwhile. This is the plan by now: look again.")
        shown = _again(course_class, late_min, now)
    except NoRotation as error:
        shown, trouble = {}, told(error)
    return render(
        request,
        "exercises/running/rotation_again.html",
        {"class": course_class, "acting": acting, "form": form, "trouble": trouble, **shown},
    )


def _looked_at(posted, now):
    """The moment for which somebody looked at a plan."""
    found = moment(posted.get("looked_at"))
    return min(found or now, now)


def _again(course_class, late_min, now):
    """What a new plan would change."""
    followed = follow(course_class, now)
    planned = run_rotation.planned_again(followed, late_min)
    return {
        "changes": words.changes_text(
            followed, planned, words.clock_of(course_class, followed.row)
        ),
        "looked_at": now.isoformat(),
        "looked_like": run_rotation.look_of(followed),
    }
