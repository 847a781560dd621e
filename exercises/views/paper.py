"""Answers from paper: a grid to type them into, a table to bring them in from, and the readings
made of them.
"""

import json
import re

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from .. import queries
from ..domain.earth.angle_units import UNITS
from ..domain.running.roles import Act
from ..exchange.sheet import BadFile
from ..forms.paper import PaperFileForm, PaperForm
from ..languages import phone_catalogue, tell, told
from ..presenting.paper import (
    cell_name,
    grid,
    outcome_text,
    sheet_units,
    table_text,
    taken_in_text,
    unit_name,
)
from ..usecases import type_paper
from ..usecases.debrief import keep_up
from .acting import who_may

# as `cell_name` and `unit_name` make them
CELL, UNIT = re.compile(r"cell-(\d{1,12})-(\w{1,8})"), re.compile(r"unit-(\d{1,12})")


@require_http_methods(["GET", "POST"])
@who_may(Act.PAPER)
def paper(request, acting):
    """The grid of people and tasks; a second hand sees nothing of the first until it has typed."""
    course_class = acting.course_class
    key = queries.current_key(course_class)
    answers = key.as_domain() if key else ()
    entries = list(course_class.paper_entries.all())
    people = list(course_class.people.listed().select_related("compass", "course_class"))
    form, file_form = _form(request, entries, people), PaperFileForm()
    if request.method == "POST" and key and form.is_valid():
        try:
            if "table" not in request.POST:
                return _noted(request, acting, form, answers)
            file_form = PaperFileForm(request.POST, request.FILES)
            if file_form.is_valid():
                return _table_noted(request, acting, form, file_form, answers)
        except (type_paper.CannotType, BadFile) as error:
            messages.error(request, told(error))
    is_good = form.is_bound and form.is_valid()
    hand = form.cleaned_data["hand"] if is_good else _hand(request)
    return render(
        request,
        "exercises/desk/paper.html",
        {
            "class": course_class,
            "key": key,
            "form": form,
            "file_form": file_form,
            "catalogue": phone_catalogue(),
            **grid(people, answers, entries, hand, request.POST, course_class.units()),
        },
    )


def _hand(request):
    """Which hand the address asks for."""
    return 2 if request.GET.get("hand") == "2" else 1


def _form(request, entries, people):
    hand = _hand(request)
    shown = {
        cell_name(entry.person_id, entry.task): entry.text
        for entry in entries
        if entry.hand == hand
    } | {unit_name(person): code for person, code in sheet_units(people, entries, hand).items()}
    return PaperForm(
        request.POST or None,
        initial={
            "hand": hand,
            "is_double": hand == 2 or any(entry.hand == 2 for entry in entries),
            "shown": json.dumps(shown),
        },
    )


def _table_noted(request, acting, form, file_form, answers):
    """Note the answers of a table."""
    course_class = acting.course_class
    hand = form.cleaned_data["hand"]
    number = type_paper.note_table(
        course_class=course_class,
        rows=file_form.rows(),
        tasks={answer.task for answer in answers},
        hand=hand,
        by=acting.user,
        now=timezone.now(),
    )
    messages.success(request, table_text(number))
    return redirect(_address(course_class, hand))


def _noted(request, acting, form, answers):
    """Note what was typed, add names, and take in if that was asked for."""
    course_class = acting.course_class
    typed, now = form.cleaned_data, timezone.now()
    type_paper.note(
        course_class=course_class,
        cells=_cells_here(request.POST, course_class, answers),
        hand=typed["hand"],
        by=acting.user,
        now=now,
        shown=_cells(typed["shown"]),
        units=_units(request.POST),
        units_shown=_units(typed["shown"]),
    )
    if typed["names"]:
        type_paper.add_people(course_class=course_class, names=typed["names"], now=now)
    if "take" not in request.POST:
        messages.success(request, tell("Noted."))
        return redirect(_address(course_class, typed["hand"]))
    outcomes, left = type_paper.take_in(
        course_class=course_class,
        answers=answers,
        is_double=typed["is_double"],
        by=acting.user,
        now=now,
    )
    _report(request, outcomes, left)
    keep_up(course_class=course_class, now=now)
    return redirect("class", course_class.pk)


def _cells_here(fields, course_class, answers):
    """The cells of this class's people and tasks."""
    people = {person.pk for person in course_class.people.listed()}
    tasks = {answer.task for answer in answers}
    return {
        (person, task): text
        for (person, task), text in _cells(fields).items()
        if person in people and task in tasks
    }


def _cells(fields):
    """Fields named after cells, by (person's key, task)."""
    return {
        (int(match[1]), match[2]): text
        for name, text in fields.items()
        if (match := CELL.fullmatch(name))
    }


def _units(fields):
    """Fields named after the units of sheets: codes by the person's key."""
    return {
        int(match[1]): code
        for name, code in fields.items()
        if code in UNITS and (match := UNIT.fullmatch(name))
    }


def _address(course_class, hand):
    return f"{reverse('paper', args=[course_class.pk])}?hand={hand}"


def _report(request, outcomes, left):
    messages.success(request, taken_in_text(outcomes, left))
    for name, outcome in outcomes:
        sentence, is_good = outcome_text(name, outcome)
        if sentence:
            (messages.success if is_good else messages.error)(request, sentence)
