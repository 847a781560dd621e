"""After the class: what its readings say, for teaching; what each person may practise; the key put
right.
"""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from ..domain.tasks import corrections
from ..domain.words import say
from ..forms.debrief import CorrectionForm, ReasonForm
from ..languages import tell, told
from ..permissions import class_of
from ..presenting.answers import words_of
from ..presenting.debrief import alone, overview
from ..presenting.person_sheet import sheet
from ..usecases import correct_key
from ..usecases.debrief import debrief as debriefed, under


@require_safe
@login_required
def debrief(request, pk):
    """The page to teach from: what happened, what to reteach, the ground, the compasses, the
    people, each task.
    """
    row = class_of(request.user, pk)
    return render(
        request,
        "exercises/debrief/debrief.html",
        {
            "class": row,
            "keys": row.keys.select_related("frozen_by").defer("answers", "points"),
            **overview(debriefed(course_class=row, now=timezone.now())),
        },
    )


@require_safe
@login_required
def person_sheet(request, pk, person):
    """One person's readings and what to practise, to hand out."""
    row = class_of(request.user, pk)
    someone = get_object_or_404(row.people, pk=person)
    return render(
        request,
        "exercises/debrief/sheets.html",
        {"class": row, "sheets": [sheet(debriefed(course_class=row, now=timezone.now()), someone)]},
    )


@require_safe
@login_required
def person_sheets(request, pk):
    """Everybody's sheet, a page each."""
    row = class_of(request.user, pk)
    whole = debriefed(course_class=row, now=timezone.now())
    return render(
        request,
        "exercises/debrief/sheets.html",
        {"class": row, "sheets": [sheet(whole, person) for person in row.people.all()]},
    )


@require_safe
@login_required
def debrief_alone(request, pk):
    """What is for the instructor alone, on a page of its own so that no projector shows it by
    chance.
    """
    row = class_of(request.user, pk)
    return render(
        request,
        "exercises/debrief/alone.html",
        {"class": row, "groups": alone(debriefed(course_class=row, now=timezone.now()))},
    )


@require_http_methods(["GET", "POST"])
@login_required
def key_correct(request, pk):
    """Preview a correction of the key, whose credit changes and how; with a reason, adopt it."""
    row = class_of(request.user, pk)
    now = debriefed(course_class=row, now=timezone.now())
    form, reason = CorrectionForm(request.GET), ReasonForm(request.POST or None)
    key, trouble = _corrected(now.key, form)
    if request.method == "POST" and key and reason.is_valid():
        try:
            if reason.cleaned_data["version"] != key.version:
                raise correct_key.NotCorrected(
                    say("The key has been changed meanwhile. Look at the debrief again.")
                )
            correct_key.adopt(
                key=key, by=request.user, now=timezone.now(), reason=reason.cleaned_data["reason"]
            )
            messages.success(
                request,
                tell(
                    "The key is now version {version}. It can be taken back under “Versions of "
                    "the key”.",
                    version=key.version,
                ),
            )
            return redirect("debrief", pk)
        except correct_key.NotCorrected as error:
            reason.add_error("reason", told(error))
    return render(
        request,
        "exercises/debrief/correct.html",
        {
            "class": row,
            "form": form,
            "reason": reason,
            "key": key,
            "trouble": trouble,
            "what": form.in_words() if key else "",
            "version": reason.data.get("version") or (key.version if key else ""),
            "answers": _moved(now.answers, key) if key else (),
            "people": _changes(now, under(course_class=row, key=key)) if key else (),
        },
        status=200 if key else 400,
    )


def _corrected(key, form):
    """The corrected key, unsaved, or None and why not."""
    if key is None:
        return None, tell("The class has no key yet: open it first.")
    if not form.is_valid():
        return None, tell("That is no correction. Choose one on the debrief.")
    what, of, degrees, error_deg = (
        form.cleaned_data[name] for name in ("what", "of", "degrees", "error")
    )
    try:
        if what == "station":
            return correct_key.station_corrected(
                key=key, station=of, degrees=degrees, error_deg=error_deg
            ), ""
        if what == "line":
            return correct_key.line_corrected(
                key=key, task=of, degrees=degrees, error_deg=error_deg
            ), ""
        if what == "drop":
            return correct_key.task_dropped(key=key, task=of), ""
        older = key.course_class.keys.filter(version=int(of)).first() if of.isdecimal() else None
        if older is None:
            return None, tell("There is no such version of the key.")
        return correct_key.taken_back(key=key, older=older), ""
    except correct_key.NotCorrected as error:
        return None, told(error)


def _moved(before, key):
    """Tasks whose answer would be another: (label, answer now, answer then)."""
    then = {answer.task: answer for answer in key.counted()}
    said = [
        (
            answer.task,
            words_of(answer).answer_text(answer),
            words_of(answer).answer_text(then[answer.task])
            if answer.task in then
            else tell("does not count"),
        )
        for answer in before
    ]
    return [row for row in said if row[1] != row[2]]


def _changes(before, after):
    """Whose credit changes: (name, credit before, credit after, the changes), by name."""
    credit = [
        {(whole.name(one), one.task): one.credit for one in whole.judged}
        for whole in (before, after)
    ]
    totals, by_person = ({}, {}), {}
    for total, credits in zip(totals, credit, strict=True):
        for (name, _), value in credits.items():
            total[name] = total.get(name, 0.0) + value
    for change in corrections.changes(*credit):
        by_person.setdefault(change.person, []).append(change)
    return [
        (name, totals[0].get(name, 0.0), totals[1].get(name, 0.0), own)
        for name, own in sorted(by_person.items(), key=lambda pair: pair[0].casefold())
    ]
