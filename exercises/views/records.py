"""Between classes: a site over time, what the instructor's own classes have taught the diagnosis,
and counts to share.
"""

from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_POST, require_safe

from .. import queries
from ..domain.diagnosis import priors
from ..domain.mistakes import causes
from ..domain.results import across_classes
from ..domain.words import say_many
from ..exchange import tables
from ..languages import local, tell, tell_many, told
from ..models import CourseClass
from ..permissions import site_of
from ..presenting.causes import WORDS as CAUSES
from ..presenting.over_time import pooled, trends
from ..usecases import experience
from ..usecases.debrief import beliefs, debrief, uncounted
from .class_desk import download

LATEST_CLASSES = 8


@require_safe
@login_required
def over_time(request, pk):
    """The classes held on a site, or those of one of its courses: is the share of each cause
    falling, and what do its stations read?
    """
    row = site_of(request.user, pk)
    classes = CourseClass.objects.filter(course__site=row)
    courses = {str(course.pk): course for course in row.courses.all()}
    course = courses.get(request.GET.get("course", ""))
    for late in classes.filter(state=CourseClass.State.CLOSED).order_by("-date", "-pk")[
        :LATEST_CLASSES
    ]:
        debrief(course_class=late, now=timezone.now())  # counts it again if anything has come since
    held = queries.held_classes(classes.filter(course=course) if course else classes)
    return render(
        request,
        "exercises/debrief/over_time.html",
        {
            "site": row,
            "courses": courses.values(),
            "course": course,
            "classes": [one.course_class for one in held[-LATEST_CLASSES:]],
            "causes": trends(held[-LATEST_CLASSES:]),
            "stations": pooled(held),
        },
    )


@require_safe
@login_required
def own_experience(request):
    """What is believed of a class before it reads: the stated figures, and what the instructor's
    own classes made of them.
    """
    for row in uncounted(request.user):
        debrief(course_class=row, now=timezone.now())
    sharpened, held = beliefs(request.user)
    stated = priors.STATED
    habits = [
        (
            tell("no habit") if code == "ok" else told(CAUSES[code].name),
            f"{a:.0%}",
            f"{b:.0%}",
        )
        for code, a, b in zip(priors.HABITS, stated.habits, sharpened.habits, strict=True)
    ]
    slips = [
        (
            tell("none") if code == "ok" else told(CAUSES[code].name),
            local(f"{a:.1%}"),
            local(f"{b:.1%}"),
        )
        for code, a, b in zip(causes.CODES, stated.slips, sharpened.slips, strict=True)
        if a > 0
    ]
    sigmas = [
        (local(f"{sigma:g}°"), f"{a:.0%}", f"{b:.0%}")
        for sigma, a, b in zip(priors.SIGMAS_DEG, stated.sigmas, sharpened.sigmas, strict=True)
    ]
    kept = getattr(request.user, "experience", None)
    return render(
        request,
        "exercises/debrief/experience.html",
        {
            "counted": _counted(held, kept.since if kept else None),
            "since": kept.since if kept else None,
            "tables": [
                (tell("Habits, share of people"), habits),
                (tell("Slips, share of readings"), slips),
                (tell("Scatter of a sound reading"), sigmas),
            ],
            "columns": across_classes.COLUMNS,
            "least_people": across_classes.LEAST_PEOPLE,
            "least_readings": across_classes.LEAST_READINGS,
        },
    )


def _counted(held, since):
    """What the instructor's classes add to the stated figures, in a sentence; `since` is the moment
    of a fresh beginning, or None.
    """
    day = date_format(timezone.localtime(since), "DATE_FORMAT") if since else ""
    if not held:
        return (
            tell(
                "No closed class of yours counts yet since {date}: the stated figures are used.",
                date=day,
            )
            if since
            else tell("No closed class of yours counts yet: the stated figures are used.")
        )
    people = say_many(
        "{number} person", "{number} people", round(sum(sum(one.habits) for one in held))
    )
    readings = say_many(
        "{number} reading", "{number} readings", round(sum(sum(one.slips) for one in held))
    )
    if since:
        return tell_many(
            "{number} closed class, {people}, {readings} since {date}.",
            "{number} closed classes, {people}, {readings} since {date}.",
            len(held),
            people=people,
            readings=readings,
            date=day,
        )
    return tell_many(
        "{number} closed class, {people}, {readings}.",
        "{number} closed classes, {people}, {readings}.",
        len(held),
        people=people,
        readings=readings,
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
def counts_csv(request):
    """Counts of causes over the instructor's closed classes, without names."""
    rows = []
    for row in request.user.classes.filter(state=CourseClass.State.CLOSED).select_related(
        "course__site"
    ):
        for one in debrief(course_class=row, now=timezone.now()).judged:
            rows.append(
                (
                    row.date.year,
                    one.answer.kind,
                    one.answer.north,
                    one.answer.norths.declination_deg,
                    one.cause,
                    (row.pk, one.person),
                )
            )
    return download(
        "\ufeff"
        + tables.as_text(across_classes.COLUMNS, across_classes.counts_without_names(rows)),
        "text/csv; charset=utf-8",
        "causes.csv",
    )
