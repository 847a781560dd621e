"""The course check's buttons, and a course that is proposed and overruled pick by pick."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from ..domain.planning import pairs, proposal
from ..domain.planning.findings import DROP, NARROW, WIDEN
from ..domain.planning.weighing import Line
from ..domain.tasks.bands import PRESETS, BadBand, Band
from ..domain.tasks.kinds import kind_of
from ..domain.words import say
from ..forms.course import ChangeForm, ProposalForm
from ..languages import tell, tell_many, told
from ..presenting.course_checks import change_text
from ..presenting.proposals import line_text, proposal_text, taken_text
from ..usecases import mend_course, plan_course
from ..usecases.check_ground import surroundings
from ..usecases.open_class import NO_ANSWER
from . import taken_out
from .course_tasks import CHECK, at_task
from .desk import course_of


@require_POST
@login_required
def course_change(request, pk):
    """Apply a change that the check offers."""
    course, form = course_of(request.user, pk), ChangeForm(request.POST)
    if not form.is_valid():
        wrong = " ".join(str(error) for errors in form.errors.values() for error in errors)
        messages.error(request, wrong, extra_tags=CHECK)
        return redirect(f"{reverse('course', args=[pk])}#check")
    change = form.cleaned_data
    try:
        task = course.tasks.filter(number=change["task"]).first()
        _change(course, change)
        if change["verb"] == DROP:
            taken_out.keep(request, course, mend_course.plain_row(task))
        messages.success(request, change_text(change), extra_tags=CHECK)
    except (plan_course.CannotChange, BadBand) as error:
        messages.error(request, told(error), extra_tags=CHECK)
    return redirect(f"{reverse('course', args=[pk])}#check")


def _change(course, change):
    """Do what a button of the check asks for. Raises CannotChange or BadBand."""
    if change["verb"] == "reorder":
        words = change["order"].split()
        numbers = [int(word) for word in words if word.isdecimal() and len(word) < 6]
        plan_course.reorder(course=course, was=change["was"], numbers=numbers)
        return
    is_banded = change["verb"] in (WIDEN, NARROW)
    plan_course.change_task(
        course=course,
        number=change["task"],
        was=change["was"],
        is_dropped=change["verb"] == DROP,
        target=change["target"],
        band=Band(change["full_credit_deg"], change["part_credit_deg"]) if is_banded else None,
    )


@require_POST
@login_required
def course_pair(request, pk):
    """Take an offered pair of tasks into the course, by its marks; what is not offered is not
    taken.
    """
    course, band = course_of(request.user, pk), PRESETS["usual"].band
    offered = pairs.offers(surroundings(course.site), timezone.localdate(), band)
    stations = request.POST.getlist("station")
    chosen = next((pair for pair in offered if list(pair.stations) == stations), None)
    try:
        if chosen is None:
            raise plan_course.CannotChange(
                say("This pair is not offered any more. Look at the course once more.")
            )
        added = plan_course.take_pair(course=course, pair=chosen, band=band)
        sentence = tell_many("{number} task added.", "{number} tasks added.", added)
        return at_task(request, course, course.tasks.count(), sentence)
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
    proposed, trouble, ground = None, "", surroundings(course.site)
    if form.is_valid():
        try:
            proposed = _proposed(course, ground, form)
        except (proposal.NothingToPick, *NO_ANSWER) as error:
            trouble = told(error)
    return render(
        request,
        "exercises/desk/propose.html",
        {
            "course": course,
            "form": form,
            "found": proposed,
            "trouble": trouble,
            "lines": [
                (name, line_text(line)) for name in ("keep", "refuse") for line in form.lines(name)
            ],
            "silent": [
                code
                for code, point in ground.site.points.items()
                if point.is_station and not ground.site.choices_from(code)
            ],
            **proposal_text(form, proposed, ground.site),
        },
    )


def _proposed(course, ground, form):
    """A proposal as it was asked for, without the lines that the course has. Raises NothingToPick,
    or what leaves a course without answers.
    """
    wanted, today, there = form.cleaned_data, timezone.localdate(), course.as_domain()
    asked = [Line(task.station, task.target, task.north) for task in there if task.target]
    return proposal.propose(
        ground.site,
        today,
        tasks=wanted["number"],
        north=wanted["north"],
        kind=wanted["kind"],
        band=form.band,
        keep=form.lines("keep"),
        refuse=[*form.lines("refuse"), *asked],
        hazards=ground.hazards,
        bent=ground.bent,
        beside=there,
        standing=form.lines("standing"),
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
        messages.success(request, taken_text(added, len(lines) - added))
    except plan_course.CannotChange as error:
        messages.error(request, told(error))
    return redirect("course", pk)
