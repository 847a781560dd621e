"""Counting heads: begin a count, tick names on as many phones as there are counters."""

from django.http import JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from .. import kit_queries
from ..domain.running.roles import Act
from ..languages import phone_catalogue, tell
from ..models import Headcount
from ..presenting.hand_out import out_words
from ..presenting.headcount import count_text, earlier_text
from ..usecases import count_heads
from .acting import who_may
from .bodies import NotOurs, json_of

LONGEST_BATCH = 500


@require_http_methods(["GET", "POST"])
@who_may(Act.COUNT)
def headcounts(request, acting):
    """The counts of a class, and a button for each occasion that begins one."""
    course_class = acting.course_class
    if request.method == "POST":
        occasion = request.POST.get("occasion")
        if occasion in Headcount.Occasion.values:
            begun = count_heads.begin(
                course_class=course_class, occasion=occasion, by=acting, now=timezone.now()
            )
            return redirect("headcount", course_class.pk, begun.pk)
    counts = course_class.headcounts.prefetch_related("marks")[:20]
    return render(
        request,
        "exercises/running/headcounts.html",
        {
            "class": course_class,
            "acting": acting,
            "occasions": Headcount.Occasion.choices,
            "counts": earlier_text(course_class, counts),
            "out": _out(course_class),
            "may_run": acting.may(Act.RUN),
        },
    )


@require_safe
@who_may(Act.COUNT)
def headcount(request, acting, count):
    """One count, to tick names in."""
    found = get_object_or_404(acting.course_class.headcounts, pk=count)
    return render(
        request,
        "exercises/running/headcount.html",
        {
            "class": acting.course_class,
            "acting": acting,
            "headcount": found,
            "state": count_text(found),
            "out": _out(acting.course_class),
            "catalogue": phone_catalogue(),
        },
    )


@require_safe
@who_may(Act.COUNT)
def headcount_state(request, acting, count):
    """What is known of a count by now."""
    found = get_object_or_404(acting.course_class.headcounts, pk=count)
    return JsonResponse(count_text(found))


@require_POST
@who_may(Act.COUNT)
def headcount_marks(request, acting, count):
    """Take in what a counter ticked: from a script in one batch, from the form one name at a
    time.
    """
    found = get_object_or_404(acting.course_class.headcounts, pk=count)
    now = timezone.now()
    if request.content_type != "application/json":
        mark = {
            "id": request.POST.get("id"),
            "person": _number(request.POST.get("person")),
            "here": request.POST.get("here") == "yes",
        }
        count_heads.take_marks(headcount=found, sent=[mark], clock=None, by=acting, now=now)
        return redirect("headcount", acting.course_class.pk, found.pk)
    try:
        body = json_of(request)
        sent = body["marks"]
    except (NotOurs, KeyError):
        sent = None
    if not isinstance(sent, list) or len(sent) > LONGEST_BATCH:
        return JsonResponse(
            {"message": tell("This is not a list of marks. Reload the page.")}, status=400
        )
    kept = count_heads.take_marks(
        headcount=found, sent=sent, clock=body.get("clock"), by=acting, now=now
    )
    return JsonResponse({"kept": kept, **count_text(found)})


def _out(course_class):
    """How many compasses are out, where the class has a kit."""
    return out_words(kit_queries.compasses_out(course_class).count()) if course_class.kit_id else ""


def _number(text):
    """A primary key of a form, or None of what is none."""
    return int(text) if text and text.isdecimal() and len(text) < 18 else None
