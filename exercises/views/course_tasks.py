"""The course editor: a task is added, changed where it stands, copied, moved, taken out and put
back, and each is confirmed beside it.
"""

from zoneinfo import ZoneInfo

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from .. import queries
from ..forms.course import ClassForm, PeopleForm, PoliciesForm
from ..forms.task import TaskForm
from ..languages import tell, told
from ..models import Task
from ..presenting.course_checks import checked, offered_pairs, shown
from ..usecases import mend_course, plan_course
from ..usecases.check_ground import surroundings
from . import taken_out
from .desk import course_of

CHECK, POLICIES = "check", "policies"  # where buttons are confirmed; a task's number: at its row


@require_http_methods(["GET", "POST"])
@login_required
def course_edit(request, pk):
    """A course: its tasks with today's answers, what the check says, and a form for the next."""
    course = course_of(request.user, pk)
    form = TaskForm(request.POST or None, instance=Task(course=course), site=course.site)
    if request.method == "POST" and form.is_valid():
        try:
            added = plan_course.add_task(
                course=course,
                task=form.save(commit=False),
                then_face=form.cleaned_data["then_face"] or False,
            )
            return at_task(
                request, course, added.number, tell("Task {task} added.", task=added.number)
            )
        except plan_course.CannotChange as error:
            form.add_error(None, told(error))
    return _course_page(request, course, form)


@require_http_methods(["GET", "POST"])
@login_required
def task_edit(request, pk, number):
    """The same page with a task's own values in the form, to change it where it stands."""
    course = course_of(request.user, pk)
    rows = course.tasks.select_related("station", "target", "second", "third")
    task = get_object_or_404(rows, number=number)
    edited = {"number": number, "line": line_of(task), "was": task.fingerprint()}
    form = TaskForm(request.POST or None, instance=task, site=course.site)
    if request.method == "POST":
        edited["was"] = request.POST.get("was", "")
        if form.is_valid():
            try:
                mend_course.change_task(task=form.save(commit=False), was=edited["was"])
                return at_task(
                    request, course, task.number, tell("Task {task} changed.", task=task.number)
                )
            except plan_course.CannotChange as error:
                form.add_error(None, told(error))
    return _course_page(request, course, form, edited=edited)


def at_task(request, course, number, sentence, part=""):
    """Back to the course, at a task's row or a part of it, with a sentence beside it."""
    messages.success(request, sentence, extra_tags=str(number))
    return redirect(f"{reverse('course', args=[course.pk])}#task{number}{part}")


def line_of(task):
    """A task's points by their codes."""
    return f"{task.station.code} → {task.target.code}" if task.target else task.station.code


def _course_page(request, course, form, edited=None):
    """The course with a form: of a new task, or of the one that is edited."""
    zone = queries.usual_time_zone(course.site)
    today, asked = timezone.localdate(timezone=ZoneInfo(zone)), PeopleForm.asked(request.GET)
    tasks = list(course.tasks.select_related("station", "target", "second", "third"))
    ground = surroundings(course.site)
    found = checked(course, tasks, ground, today)
    return render(
        request,
        "exercises/desk/course.html",
        {
            "course": course,
            "form": form,
            "edited": edited,
            "policies": PoliciesForm(tasks=tasks),
            "pairs": offered_pairs(course, ground, today),
            "people": asked.people_asked,
            "people_form": asked,
            # half of the page's time, so only where it is asked for
            "power": shown(course, ground, today, asked.people_asked)
            if "people" in request.GET
            else None,
            **found,
            **_said(request, found["tasks"]),
            "removed": taken_out.last(request, course, found["was"]),
            "class_form": ClassForm(
                auto_id="class_%s",
                initial={"date": today, "name": course.name, "time_zone": zone},
            ),
        },
    )


def _said(request, tasks):
    """What is to be said, at the row, at the check, or above where its place is not on the page."""
    said = list(messages.get_messages(request))
    rows = [
        (task, answer, view, [one for one in said if one.extra_tags == str(task.number)])
        for task, answer, view in tasks
    ]
    placed = {CHECK, POLICIES, *(str(task.number) for task, _, _ in tasks)}
    return {
        "rows": rows,
        "said_at_check": [one for one in said if one.extra_tags == CHECK],
        "said_at_policies": [one for one in said if one.extra_tags == POLICIES],
        "said_above": [one for one in said if one.extra_tags not in placed],
    }


@require_safe
@login_required
def course_shows(request, pk):
    """The part of the course's page that says what it can show: fetched when it is opened."""
    course, asked = course_of(request.user, pk), PeopleForm.asked(request.GET)
    power = shown(course, surroundings(course.site), timezone.localdate(), asked.people_asked)
    return render(
        request,
        "exercises/parts/power.html",
        {
            "course": course,
            "power": power,
            "people": asked.people_asked,
            "people_form": asked,
        },
    )


@require_POST
@login_required
def tasks_order(request, pk):
    """Put the tasks in the order into which they were dragged."""
    course = course_of(request.user, pk)
    words = request.POST.get("order", "").split()
    numbers = [int(word) for word in words if word.isdecimal() and len(word) < 6]
    try:
        plan_course.reorder(course=course, was=request.POST.get("was", ""), numbers=numbers)
    except plan_course.CannotChange as error:
        messages.error(request, told(error))
        return redirect("course", pk)
    order, moved = [str(number) for number in numbers], request.POST.get("task")
    place = order.index(moved) + 1 if moved in order else 1
    return at_task(request, course, place, tell("Moved: it is task {task} now.", task=place))


@require_POST
@login_required
def task_change(request, pk, number, verb):
    """Move a task, copy it, or take it out: it is as it was shown, or nothing is done."""
    course, was = course_of(request.user, pk), request.POST.get("was", "")
    if number > plan_course.MOST_TASKS:
        raise Http404("No course has a task of this number.")
    try:
        return VERBS[verb](request, course, number, was)
    except plan_course.CannotChange as error:
        messages.error(request, told(error))
        return redirect("course", pk)


def _moved(by, part):
    """Moves a task by a place and stays at its button; at an end at the other one, for there the
    row has no more of the first.
    """

    def move(request, course, number, was):
        place = mend_course.move_task(course=course, number=number, was=was, by=by)
        ends = {1: "-down", course.tasks.count(): "-up"}
        sentence = tell("Moved: it is task {task} now.", task=place)
        return at_task(request, course, place, sentence, ends.get(place, part))

    return move


def _copied(request, course, number, was):
    copy = mend_course.copy_task(course=course, number=number, was=was)
    sentence = tell("Task {task} is a copy of task {number}.", task=copy, number=number)
    return at_task(request, course, copy, sentence)


def _removed(request, course, number, was):
    taken_out.keep(request, course, mend_course.take_out(course=course, number=number, was=was))
    return redirect(f"{reverse('course', args=[course.pk])}#removed")


VERBS = {
    "up": _moved(-1, "-up"),
    "down": _moved(1, "-down"),
    "copy": _copied,
    "remove": _removed,
}


@require_POST
@login_required
def task_back(request, pk):
    """Put a task that was taken out back at its place; pressed twice, it is there once."""
    course = course_of(request.user, pk)
    row = taken_out.kept(request, course, request.POST.get("task", ""))
    if row is None:
        messages.error(request, tell("This task is not kept any more. Add it once more."))
        return redirect("course", pk)
    try:
        number = mend_course.put_back(course=course, row=row)
    except plan_course.CannotChange as error:
        messages.error(request, told(error))
        return redirect("course", pk)
    return at_task(request, course, number, tell("Task {task} is back.", task=number))


@require_POST
@login_required
def course_policies(request, pk):
    """Say task by task when the answer is told."""
    course = course_of(request.user, pk)
    form = PoliciesForm(request.POST, tasks=course.tasks.select_related("station", "target"))
    if form.is_valid():
        plan_course.set_policies(course=course, policies=form.policies())
        messages.success(request, tell("Saved."), extra_tags=POLICIES)
    else:
        sentence = tell("Choose one of the listed ways for each task.")
        messages.error(request, sentence, extra_tags=POLICIES)
    return redirect(f"{reverse('course', args=[pk])}#policies")
