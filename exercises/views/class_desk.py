"""The instructor's view of one class: open it, watch, close, release, key, results."""

import segno
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_POST, require_safe

from .. import kit_queries, queries, vocabulary
from ..domain.planning import course_check
from ..domain.running.roles import Act
from ..domain.tasks import observed_key
from ..forms.course import BandForm
from ..languages import tell, told
from ..models import CourseClass, Kit
from ..permissions import acting_for, class_of
from ..presenting.arrivals import signs_texts
from ..presenting.attendance import attendance_columns, attendance_records
from ..presenting.findings import said
from ..presenting.hand_out import not_back_text
from ..presenting.headcount import closing_text
from ..presenting.key_table import key_rows
from ..presenting.north_sentences import norths_of_tasks
from ..presenting.opening import opening_text
from ..presenting.practice_links import practice_links
from ..presenting.results_table import RESULT_COLUMNS, result_records
from ..presenting.units import angles_of_class, compasses_text
from ..serving import server
from ..usecases import check_ground, open_class as usecase, run_class
from ..usecases.arrival_signs import arrival_signs
from ..usecases.attendance import attendance
from ..usecases.debrief import debrief, keep_up
from ..usecases.guard_joining import MOST_ADDED
from .acting import who_may
from .downloads import csv_file, workbook


@require_safe
@login_required
def class_page(request, pk):
    """The class: its code, its state, who is there, what came last."""
    acting = acting_for(request.user, pk, Act.WATCH)
    if not acting.may(Act.RUN):
        return redirect("live", pk)
    course_class = acting.course_class
    host = server.host_for_phones(request.get_host(), server.address_on_the_network())
    phones = f"{request.scheme}://{host}"
    link = f"{phones}{reverse('join', args=[course_class.code])}"
    return render(
        request,
        "exercises/desk/class.html",
        {
            "class": course_class,
            "acting": acting,
            "link": link,
            "has_kit": course_class.kit_id or Kit.objects.usable_by(request.user).exists(),
            "at_home": practice_links(
                course_class.course.site, course_class.date, f"{phones}{reverse('practice')}"
            ),
            "qr": mark_safe(
                segno.make_qr(link).svg_inline(
                    svgclass="qr", lineclass="qr-dark", omitsize=True, border=4
                )
            ),
            "compasses": compasses_text(course_class.compasses.exclude(number="")),
            "own_policies": [
                (task, told(vocabulary.POLICIES[policy]))
                for task, policy in course_class.own_policies()
            ],
            **_arrivals(acting),
        },
    )


def _arrivals(acting):
    """Who is there, each with what they sent and what is worth a look in how they joined."""
    found = queries.arrivals(acting.course_class)
    signs = signs_texts(arrival_signs(acting.course_class), MOST_ADDED)
    return {
        **found,
        "may_take_out": acting.may(Act.RUN),
        "arrived": [(person, sent, signs.get(person.pk, ())) for person, sent in found["people"]],
    }


@require_safe
@who_may(Act.WATCH)
def class_arrivals(request, acting):
    """The part of the class page that refreshes itself."""
    course_class = acting.course_class
    keep_up(course_class=course_class, now=timezone.now())
    return render(
        request,
        "exercises/parts/arrivals.html",
        {"class": course_class, **_arrivals(acting)},
    )


@require_safe
@login_required
def class_opening(request, pk):
    """What opening a class means, before the button that does it."""
    course_class = class_of(request.user, pk)
    if course_class.state != CourseClass.State.DRAFT:
        return redirect("class", pk)
    on, source = course_class.date, course_class.key_source
    try:
        said = opening_text(usecase.compute_key(course_class.course, on, source), on)
    except usecase.NotReady as error:
        said = {"trouble": told(error)}
    is_observed = source == CourseClass.KeySource.OBSERVED
    return render(
        request,
        "exercises/desk/opening.html",
        {"class": course_class, "is_observed": is_observed, **said},
    )


@require_safe
@login_required
def class_closing(request, pk):
    """Whether all are back, before the button that closes a class."""
    acting = acting_for(request.user, pk, Act.RUN)
    if not acting.course_class.is_open:
        return redirect("class", pk)
    return render(
        request,
        "exercises/running/closing.html",
        {
            "class": acting.course_class,
            "acting": acting,
            **closing_text(acting.course_class),
            "not_back": not_back_text(kit_queries.compasses_out(acting.course_class)),
        },
    )


@require_POST
@login_required
def class_change(request, pk, verb):
    """Open, close, open again, or release the feedback."""
    acting, now = acting_for(request.user, pk, Act.RUN), timezone.now()
    try:
        run_class.change_state(course_class=acting.course_class, verb=verb, by=acting, now=now)
        if verb == "close":
            debrief(course_class=acting.course_class, now=now)
    except usecase.NotReady as error:
        messages.error(request, told(error))
    return redirect("class", pk)


@require_POST
@login_required
def person_band(request, pk, person):
    """Give one person a wider band, or take it back."""
    someone = get_object_or_404(class_of(request.user, pk).people, pk=person)
    form = BandForm(request.POST, instance=someone)
    if form.is_valid():
        someone.save(update_fields=["wider_band_deg"])
    else:
        messages.error(
            request,
            tell(
                "The band for {name}: give degrees from 1 to 90, or leave it empty.",
                name=someone.name,
            ),
        )
    return redirect("class", pk)


@require_safe
@who_may(Act.ANSWERS)
def class_key(request, acting):
    """The key: frozen once the class is open, computed for its date before."""
    course_class = acting.course_class
    frozen, trouble = queries.current_key(course_class), ""
    try:
        answers = (
            frozen.as_domain()
            if frozen
            else usecase.compute_key(
                course_class.course, course_class.date, course_class.key_source
            )
        )
    except usecase.NotReady as error:
        answers, trouble = (), told(error)
    findings = said(course_check.findings(answers)) if answers else []
    return render(
        request,
        "exercises/desk/key.html",
        {
            "class": course_class,
            "key": frozen,
            "rows": key_rows(
                answers,
                _observed(course_class, answers),
                angles_of_class(course_class.units()),
            ),
            "norths": norths_of_tasks(answers),
            "trouble": trouble,
            "findings": [finding for finding in findings if not finding.task],
        },
    )


def _observed(course_class, answers):
    """The key's answers beside the bearings observed on the ground, by task."""
    return observed_key.compare(
        answers,
        check_ground.sightings(
            course_class.course.site.as_domain(),
            check_ground.observed_rows(course_class.course.site),
        ),
    )


def _records(course_class):
    """The results of a class as records."""
    whole = debrief(course_class=course_class, now=timezone.now())
    return result_records(whole, list(course_class.readings.select_related("person")))


@require_safe
@login_required
def results_csv(request, pk):
    """The results as CSV."""
    course_class = class_of(request.user, pk)
    return csv_file(RESULT_COLUMNS, _records(course_class), f"class-{course_class.code}")


@require_safe
@login_required
def results_xlsx(request, pk):
    """The results as a workbook."""
    course_class = class_of(request.user, pk)
    name = f"class-{course_class.code}"
    return workbook(RESULT_COLUMNS, _records(course_class), name, "Results")


def _attendance(course_class):
    """The attendance of a class as columns, records and the name of a file."""
    found = attendance(course_class)
    return (
        attendance_columns(found, course_class),
        attendance_records(found, course_class),
        f"attendance-{course_class.code}",
    )


@require_safe
@login_required
def attendance_csv(request, pk):
    """Who was there, as CSV."""
    return csv_file(*_attendance(class_of(request.user, pk)))


@require_safe
@login_required
def attendance_xlsx(request, pk):
    """Who was there, as a workbook."""
    return workbook(*_attendance(class_of(request.user, pk)), "Attendance")
