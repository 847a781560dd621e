"""Answers from paper: a grid to type them into, a table to bring them in from, and the readings
made of them.
"""

import re

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from .. import queries
from ..exchange.sheet import BadFile
from ..forms.paper import PaperFileForm, PaperForm
from ..languages import phone_catalogue, tell, tell_many, told
from ..permissions import class_of
from ..usecases import type_paper
from ..usecases.debrief import keep_up

CELL = re.compile(r"cell-(\d{1,12})-(\w{1,8})")


@require_http_methods(["GET", "POST"])
@login_required
def paper(request, pk):
    """The grid of people and tasks; a second hand sees nothing of the first until it has typed."""
    row = class_of(request.user, pk)
    key = queries.current_key(row)
    answers = key.as_domain() if key else ()
    entries, hand = list(row.paper_entries.all()), 2 if request.GET.get("hand") == "2" else 1
    form, file_form = (
        PaperForm(
            request.POST or None,
            initial={
                "hand": hand,
                "is_double": hand == 2 or any(entry.hand == 2 for entry in entries),
                "shown": {
                    f"cell-{entry.person_id}-{entry.task}": entry.text
                    for entry in entries
                    if entry.hand == hand
                },
            },
        ),
        PaperFileForm(),
    )
    if request.method == "POST" and key and form.is_valid():
        hand = form.cleaned_data["hand"]
        try:
            if "table" in request.POST:
                file_form = PaperFileForm(request.POST, request.FILES)
                if file_form.is_valid():
                    number = type_paper.note_table(
                        course_class=row,
                        rows=file_form.rows(),
                        tasks={answer.task for answer in answers},
                        hand=hand,
                        by=request.user,
                        now=timezone.now(),
                    )
                    messages.success(
                        request,
                        tell_many(
                            "{number} answer noted. Look at it, then take it in.",
                            "{number} answers noted. Look at them, then take them in.",
                            number,
                        ),
                    )
                    return redirect(_address(row, hand))
            else:
                return _noted(request, row, form, answers)
        except (type_paper.CannotType, BadFile) as error:
            messages.error(request, told(error))
    return render(
        request,
        "exercises/desk/paper.html",
        {
            "class": row,
            "key": key,
            "form": form,
            "file_form": file_form,
            "catalogue": phone_catalogue(),
            **_grid(request, row, answers, form, entries),
        },
    )


def _noted(request, row, form, answers):
    """Note what was typed, add names, and take in if that was asked for."""
    one, now = form.cleaned_data, timezone.now()
    people = {person.pk for person in row.people.all()}
    tasks = {answer.task for answer in answers}
    found = _cells(request.POST)
    type_paper.note(
        course_class=row,
        cells={
            cell: text for cell, text in found.items() if cell[0] in people and cell[1] in tasks
        },
        hand=one["hand"],
        by=request.user,
        now=now,
        shown=_cells(one["shown"]),
    )
    if one["names"]:
        type_paper.add_people(course_class=row, names=one["names"], now=now)
    if "take" in request.POST:
        _report(
            request,
            *type_paper.take_in(
                course_class=row,
                answers=answers,
                is_double=one["is_double"],
                by=request.user,
                now=now,
            ),
        )
        keep_up(course_class=row, now=now)
        return redirect("class", row.pk)
    messages.success(request, tell("Noted."))
    return redirect(_address(row, one["hand"]))


def _cells(fields):
    """Fields named after cells, by (person's key, task)."""
    return {
        (int(match[1]), match[2]): text
        for name, text in fields.items()
        if (match := CELL.fullmatch(name))
    }


def _address(row, hand):
    return f"{reverse('paper', args=[row.pk])}?hand={hand}"


def _report(request, outcomes, left):
    new = sum(outcome.status == "stored" for _, outcome in outcomes)
    messages.success(
        request,
        " ".join(
            [
                tell_many("One reading taken in.", "{number} readings taken in.", new),
                *(
                    [
                        tell_many(
                            "{number} cell is left: the two hands differ.",
                            "{number} cells are left: the two hands differ.",
                            left,
                        )
                    ]
                    if left
                    else []
                ),
            ]
        ),
    )
    for name, outcome in outcomes:
        if outcome.reading is not None and outcome.reading.text == type_paper.EMPTIED:
            messages.success(
                request,
                tell(
                    "{name}: the answer to task {task} was taken back.",
                    name=name,
                    task=outcome.reading.task,
                ),
            )
        elif outcome.reading is None or outcome.reading.problem:
            messages.error(request, f"{name}: {told(outcome.message)}")


def _grid(request, row, answers, form, entries):
    """Rows of cells: what this hand typed, or what was just posted; and where the hands differ."""
    hand = (
        int(form.cleaned_data["hand"])
        if form.is_bound and form.is_valid()
        else 2
        if request.GET.get("hand") == "2"
        else 1
    )
    own = {(entry.person_id, entry.task): entry.text for entry in entries if entry.hand == hand}
    left = (
        type_paper.differences(entries)
        if hand == 2 or any(entry.hand == 2 for entry in entries)
        else {}
    )
    choices = {answer.task: " ".join(answer.form.choices(answer)) for answer in answers}
    people = [
        (
            person,
            [
                {
                    "task": answer.task,
                    "name": f"cell-{person.pk}-{answer.task}",
                    "value": request.POST.get(
                        f"cell-{person.pk}-{answer.task}", own.get((person.pk, answer.task), "")
                    ),
                    "widget": answer.form.code,
                    "choices": choices[answer.task],
                    "typed": answer.form.is_typed,
                    "differs": left.get((person.pk, answer.task)),
                }
                for answer in answers
            ],
        )
        for person in row.people.all()
    ]
    return {"hand": hand, "answers": answers, "people": people, "differences": len(left)}
