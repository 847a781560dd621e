"""Between classes: a site over time, what the instructor's own classes have taught the diagnosis,
and counts to share.
"""

from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from .. import record_queries
from ..domain.results import across_classes
from ..exchange import tables
from ..exchange.nameless import table as nameless
from ..models import CourseClass
from ..permissions import site_of
from ..presenting.experience import belief_tables, counted_text
from ..presenting.over_time import pooled, trends
from ..presenting.reliability import reliability_of
from ..usecases import experience
from ..usecases.debrief import beliefs, debrief, uncounted
from ..usecases.share import nameless_classes
from .downloads import download

LATEST_CLASSES = 8


@require_safe
@login_required
def over_time(request, pk):
    """The classes held on a site, or those of one of its courses: is the share of each cause
    falling, and what do its stations read?
    """
    site = site_of(request.user, pk)
    classes = CourseClass.objects.kept().filter(course__site=site)
    courses = {str(course.pk): course for course in site.courses.kept()}
    course = courses.get(request.GET.get("course", ""))
    closed = classes.filter(state=CourseClass.State.CLOSED).order_by("-date", "-pk")
    for course_class in closed[:LATEST_CLASSES]:  # counts again where anything has come since
        debrief(course_class=course_class, now=timezone.now())
    held = record_queries.held_classes(classes.filter(course=course) if course else classes)
    latest = held[-LATEST_CLASSES:]
    return render(
        request,
        "exercises/debrief/over_time.html",
        {
            "site": site,
            "courses": courses.values(),
            "course": course,
            "classes": [held_class.course_class for held_class in latest],
            "causes": trends(latest),
            "stations": pooled(held),
        },
    )


@require_safe
@login_required
def own_experience(request):
    """What is believed of a class before it reads: the stated figures, and what the instructor's
    own classes made of them.
    """
    for course_class in uncounted(request.user):
        debrief(course_class=course_class, now=timezone.now())
    sharpened, held = beliefs(request.user)
    kept = getattr(request.user, "experience", None)
    since = kept.since if kept else None
    return render(
        request,
        "exercises/debrief/experience.html",
        {
            "counted": counted_text(held, since),
            "since": since,
            "tables": belief_tables(sharpened),
            "reliability": reliability_of(record_queries.last_labels(request.user)),
            "columns": across_classes.COLUMNS,
            "least_people": across_classes.LEAST_PEOPLE,
            "least_readings": across_classes.LEAST_READINGS,
        },
    )


@require_POST
@login_required
def experience_change(request, verb):
    """Forget the classes held so far, or let them count again."""
    if verb == "forget":
        experience.forget(instructor=request.user, now=timezone.now())
    else:
        experience.remember(instructor=request.user)
    return redirect("experience")


@require_safe
@login_required
def nameless_csv(request):
    """The readings of the instructor's closed classes, without names, in the open format."""
    held = nameless_classes(instructor=request.user, now=timezone.now())
    return download(f"\ufeff{nameless.as_text(held)}", "text/csv; charset=utf-8", "readings.csv")


@require_safe
@login_required
def counts_csv(request):
    """Counts of causes over the instructor's closed classes, without names."""
    now = timezone.now()
    closed = request.user.classes.kept().filter(state=CourseClass.State.CLOSED)
    rows = [
        (
            course_class.date.year,
            judged.answer.kind,
            judged.answer.north,
            judged.answer.norths.declination_deg,
            judged.cause,
            (course_class.pk, judged.person),
        )
        for course_class in closed.select_related("course__site")
        for judged in debrief(course_class=course_class, now=now).judged
    ]
    counts = tables.as_text(across_classes.COLUMNS, across_classes.counts_without_names(rows))
    return download(f"\ufeff{counts}", "text/csv; charset=utf-8", "causes.csv")
