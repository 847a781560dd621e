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
from ..domain.results import across_classes, cohort
from ..domain.words import say, say_many
from ..exchange import tables
from ..languages import local, tell, tell_many, tell_signed, told
from ..models import CourseClass
from ..permissions import site_of
from ..usecases import experience
from ..usecases.debrief import beliefs, debrief, uncounted
from .class_desk import download

LATEST_CLASSES = 8
TREND_WORDS = {
    "falling": say("falling"),
    "rising": say("rising"),
    "steady": say("no change that can be told"),
}


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
            "causes": _trends(held[-LATEST_CLASSES:]),
            "stations": _pooled(held),
        },
    )


def _trends(held):
    """A row for each mistake: name, cells with share and interval, what can be said from the first
    class to the last.
    """
    by_class = [
        (
            across_classes.shares([verdict.cause for verdict in one.found.verdicts]),
            len(one.found.verdicts),
        )
        for one in held
    ]
    rows = []
    for code in sorted(
        {code for shares, _ in by_class for code in shares},
        key=lambda code: -sum(shares[code].hits for shares, _ in by_class if code in shares),
    ):
        cells = [
            shares.get(code, across_classes.Share(0, number, *cohort.share_interval(0, number)))
            for shares, number in by_class
        ]
        rows.append(
            (
                told(causes.REGISTER[code].name),
                [
                    (
                        f"{cell.share:.0%}",
                        tell("{low:.0%} to {high:.0%}", low=cell.low, high=cell.high),
                    )
                    for cell in cells
                ],
                told(TREND_WORDS[across_classes.trend(cells[0], cells[-1])])
                if len(cells) > 1
                else tell("one class"),
            )
        )
    return rows


def _pooled(held):
    """Each station's bias over all classes: code, bias in words, how many classes."""
    seen, now = {}, held[-1].points if held else {}
    for one in held:
        for code, pair in across_classes.station_biases(
            one.found, one.answers, one.first_answers
        ).items():
            if _place(one.points, code) == _place(
                now, code
            ):  # surveyed anew since: another station
                seen.setdefault(code, []).append(pair)
    rows = []
    for code, pairs in sorted(seen.items()):
        mean, error = cohort.pooled(pairs)
        interval = tell(
            "{low} to {high}°",
            low=tell_signed(mean - 1.96 * error, 1),
            high=tell_signed(mean + 1.96 * error, 1),
        )
        rows.append(
            (
                code,
                f"{tell_signed(mean, 1)}°",
                interval,
                len(pairs),
                abs(mean) - 1.96 * error > 0 and abs(mean) > 1.0,
            )
        )
    return rows


def _place(points, code):
    """Where a key has a point, None where it has it not."""
    point = points.get(code)
    return point and (point["latitude"], point["longitude"])


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
            tell("no habit") if code == "ok" else told(causes.REGISTER[code].name),
            f"{a:.0%}",
            f"{b:.0%}",
        )
        for code, a, b in zip(priors.HABITS, stated.habits, sharpened.habits, strict=True)
    ]
    slips = [
        (
            tell("none") if code == "ok" else told(causes.REGISTER[code].name),
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
        for one in debrief(course_class=row, now=timezone.now()).counted:
            rows.append(
                (
                    row.date.year,
                    one.answer.kind,
                    one.answer.north,
                    one.answer.norths.declination_deg,
                    one.result.cause,
                    (row.pk, one.person.pk),
                )
            )
    return download(
        "\ufeff"
        + tables.as_text(across_classes.COLUMNS, across_classes.counts_without_names(rows)),
        "text/csv; charset=utf-8",
        "causes.csv",
    )
