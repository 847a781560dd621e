"""The course check's buttons, and a course that is proposed and overruled pick by pick."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from ..domain.planning import pairs, proposal
from ..domain.tasks.bands import PRESETS, BadBand, Band
from ..domain.tasks.kinds import kind_of
from ..domain.words import say
from ..forms.course import ChangeForm, ProposalForm
from ..languages import tell, tell_many, told
from ..presenting.course_checks import measures_text
from ..presenting.proposals import address, line_text, picks
from ..usecases import plan_course
from ..usecases.open_class import NO_ANSWER
from .desk import course_of


@require_POST
@login_required
def course_change(request, pk):
    """Apply a change that the check offers."""
    course, form = course_of(request.user, pk), ChangeForm(request.POST)
    if not form.is_valid():
        messages.error(
            request, " ".join(str(error) for errors in form.errors.values() for error in errors)
        )
        return redirect("course", pk)
    one = form.cleaned_data
    try:
        if one["verb"] == "reorder":
            plan_course.reorder(
                course=course,
                was=one["was"],
                numbers=[
                    int(number)
                    for number in one["order"].split()
                    if number.isdecimal() and len(number) < 6
                ],
            )
        else:
            plan_course.change_task(
                course=course,
                number=one["task"],
                was=one["was"],
                is_dropped=one["verb"] == "drop",
                target=one["target"],
                band=Band(one["full_credit_deg"], one["part_credit_deg"])
                if one["verb"] == "widen"
                else None,
            )
        messages.success(request, _done(one))
    except (plan_course.CannotChange, BadBand) as error:
        messages.error(request, told(error))
    return redirect("course", pk)


def _done(one):
    """What a button did, in words."""
    if one["verb"] == "widen":
        return tell(
            "Task {task}: full credit within {full:g}°, part credit within {part:g}°.",
            task=one["task"],
            full=one["full_credit_deg"],
            part=one["part_credit_deg"],
        )
    if one["verb"] == "retarget":
        return tell("Task {task} asks for {target} now.", task=one["task"], target=one["target"])
    return (
        tell("Task {task} dropped. Those after it have moved up.", task=one["task"])
        if one["verb"] == "drop"
        else tell("The tasks are in the order of the shorter walk.")
    )


@require_POST
@login_required
def course_pair(request, pk):
    """Take an offered pair of tasks into the course, by its marks; what is not offered is not
    taken.
    """
    course, band = course_of(request.user, pk), PRESETS["usual"].band
    offered = pairs.offers(
        course.site.as_domain(), timezone.localdate(), band, dangers=course.site.hazards_as_domain()
    )
    chosen = next(
        (pair for pair in offered if list(pair.stations) == request.POST.getlist("station")), None
    )
    try:
        if chosen is None:
            raise plan_course.CannotChange(
                say("This pair is not offered any more. Look at the course once more.")
            )
        added = plan_course.take_pair(course=course, pair=chosen, band=band)
        messages.success(request, tell_many("{number} task added.", "{number} tasks added.", added))
    except plan_course.CannotChange as error:
        messages.error(request, told(error))
    return redirect("course", pk)


@require_safe
@login_required
def propose(request, pk):
    """A course of n tasks, each pick explained. Keeping and refusing lines are in the address, so
    nothing is stored until it is taken.
    """
    course = course_of(request.user, pk)
    form = ProposalForm(request.GET if "number" in request.GET else None)
    found, trouble, ground = None, "", course.site.as_domain()
    if form.is_valid():
        one = form.cleaned_data
        asked = [
            proposal.Line(task.station.code, task.target.code, task.north)
            for task in course.tasks.select_related("station", "target")
            if task.target
        ]
        try:
            found = proposal.propose(
                ground,
                timezone.localdate(),
                tasks=one["number"],
                north=one["north"],
                kind=one["kind"],
                band=form.band,
                keep=form.lines("keep"),
                refuse=[*form.lines("refuse"), *asked],
                hazards=course.site.hazards_as_domain(),
            )
        except (proposal.NothingToPick, *NO_ANSWER) as error:
            trouble = told(error)
    return render(
        request,
        "exercises/desk/propose.html",
        {
            "course": course,
            "form": form,
            "found": found,
            "trouble": trouble,
            "picks": picks(form, found, ground) if found else [],
            "lines": [
                (name, line_text(line)) for name in ("keep", "refuse") for line in form.lines(name)
            ],
            "anew": address(form, keep=[], refuse=[]) if found else "",
            "silent": [
                code
                for code, point in ground.points.items()
                if point.is_station and not ground.choices_from(code)
            ],
            "measures": measures_text(found.measures) if found else None,
            "refused": [
                (
                    line,
                    address(
                        form, refuse=[other for other in form.lines("refuse") if other != line]
                    ),
                )
                for line in form.lines("refuse")
            ]
            if found
            else [],
        },
    )


@require_POST
@login_required
def proposal_take(request, pk):
    """Put the picks of a proposal into the course; what it asks already is left out, so that
    sending twice adds once.
    """
    course = course_of(request.user, pk)
    form = ProposalForm(request.POST)
    if not form.is_valid():
        messages.error(request, tell("The proposal is not complete. Propose once more."))
        return redirect("propose", pk)
    try:
        lines = form.lines("take")
        added = plan_course.take_lines(
            course=course, lines=lines, kind=kind_of(form.cleaned_data["kind"]).code, band=form.band
        )
        there = (
            [
                tell_many(
                    "{number} is in the course already.",
                    "{number} are in the course already.",
                    len(lines) - added,
                )
            ]
            if added < len(lines)
            else []
        )
        messages.success(
            request,
            " ".join([tell_many("{number} task added.", "{number} tasks added.", added), *there]),
        )
    except plan_course.CannotChange as error:
        messages.error(request, told(error))
    return redirect("course", pk)
