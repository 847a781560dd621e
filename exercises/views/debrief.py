"""After the class: what its readings say, for teaching; what each person may practise; the key put
right.
"""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ..domain.words import say
from ..forms.debrief import CorrectionForm, ReasonForm
from ..forms.label import LabelForm
from ..forms.prints import PrintForm
from ..languages import tell, told
from ..permissions import class_of
from ..presenting.corrected_key import changed_credit, moved_answers
from ..presenting.debrief import overview
from ..presenting.kit import log_offer
from ..presenting.person_sheet import neighbours, sheet, with_labels
from ..presenting.show import screens
from ..usecases import correct_key, keep_kit
from ..usecases.debrief import debrief as debriefed, under, verdict_on
from ..usecases.take_said import Useless, label_reading


@require_safe
@login_required
def debrief(request, pk):
    """The screens to show to the class, all on one page, without a name."""
    course_class = class_of(request.user, pk)
    whole = debriefed(course_class=course_class, now=timezone.now())
    return render(
        request,
        "exercises/debrief/show.html",
        {"class": course_class, "screens": screens(whole)},
    )


@require_safe
@login_required
def person_sheet(request, pk, person):
    """One person's readings and what to practise, with the ways to the others' and to paper."""
    course_class = class_of(request.user, pk)
    people = list(course_class.people.listed())
    around = neighbours(people, person)
    if around is None:
        raise Http404("Nobody in the class has this number.")
    whole = debriefed(course_class=course_class, now=timezone.now())
    labels = course_class.labels.filter(reading__person=person)
    return render(
        request,
        "exercises/debrief/sheets.html",
        {
            "class": course_class,
            "people": people,
            "sheet": with_labels(sheet(whole, around.person), labels),
            "around": around,
            "papers": PrintForm.base_fields["paper"].choices,
            "instructor": request.session.get("instructor") or request.user.get_full_name(),
        },
    )


@require_safe
@login_required
def person_sheets(request, pk):
    """To the sheet of whoever was chosen by name, or to the first one's."""
    course_class = class_of(request.user, pk)
    people = list(course_class.people.listed().values_list("pk", flat=True))
    if not people:
        return render(request, "exercises/debrief/sheets.html", {"class": course_class})
    chosen = request.GET.get("person", str(people[0]))
    if chosen not in map(str, people):
        raise Http404("Nobody in the class has this number.")
    return redirect("person_sheet", pk, chosen)


@require_POST
@login_required
def reading_label(request, pk, reading):
    """Keep what truly happened at a reading, as the instructor saw it."""
    course_class = class_of(request.user, pk)
    given = get_object_or_404(course_class.readings, pk=reading)
    form = LabelForm(request.POST)
    back = redirect("person_sheet", pk, given.whose.pk)
    if not form.is_valid():
        messages.error(request, tell("Choose what it was."))
        return back
    try:
        label_reading(
            reading=given,
            verdict=verdict_on(course_class, given),
            by=request.user,
            now=timezone.now(),
            **form.cleaned_data,
        )
    except Useless as error:
        messages.error(request, told(error))
    return back


@require_safe
@login_required
def debrief_alone(request, pk):
    """What is for the instructor alone, on a page of its own so that no projector shows it by
    chance: names, what to do about ground and compasses, every number.
    """
    course_class = class_of(request.user, pk)
    whole = debriefed(course_class=course_class, now=timezone.now())
    return render(
        request,
        "exercises/debrief/alone.html",
        {
            "class": course_class,
            "keys": course_class.keys.select_related("frozen_by").defer("answers", "points"),
            "for_log": log_offer(keep_kit.found_in_class(course_class, whole.diagnosis)),
            **overview(whole),
        },
    )


@require_http_methods(["GET", "POST"])
@login_required
def key_correct(request, pk):
    """Preview a correction of the key, whose credit changes and how; with a reason, adopt it."""
    course_class = class_of(request.user, pk)
    whole = debriefed(course_class=course_class, now=timezone.now())
    form, reason = CorrectionForm(request.GET), ReasonForm(request.POST or None)
    key, trouble = _corrected(whole.key, form)
    if request.method == "POST" and key and reason.is_valid():
        try:
            _adopt(request, key, reason.cleaned_data)
            return redirect("debrief_alone", pk)
        except correct_key.NotCorrected as error:
            reason.add_error("reason", told(error))
    page = {"class": course_class, "form": form, "reason": reason, "key": key, "trouble": trouble}
    if key:
        page |= {
            "what": form.in_words(),
            "version": reason.data.get("version") or key.version,
            "answers": moved_answers(whole.answers, key.counted()),
            "people": changed_credit(whole, under(course_class=course_class, key=key)),
        }
    return render(request, "exercises/debrief/correct.html", page, status=200 if key else 400)


def _adopt(request, key, reason):
    """Store a corrected key, and say so. Raises NotCorrected."""
    if reason["version"] != key.version:
        raise correct_key.NotCorrected(
            say("The key has been changed meanwhile. Look at the debrief again.")
        )
    correct_key.adopt(key=key, by=request.user, now=timezone.now(), reason=reason["reason"])
    messages.success(
        request,
        tell(
            "The key is now version {version}. It can be taken back under “Versions of the key”.",
            version=key.version,
        ),
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
    bias = {"degrees": degrees, "error_deg": error_deg}
    try:
        if what == "station":
            return correct_key.station_corrected(key=key, station=of, **bias), ""
        if what == "line":
            return correct_key.line_corrected(key=key, task=of, **bias), ""
        if what == "drop":
            return correct_key.task_dropped(key=key, task=of), ""
        older = (
            key.course_class.keys.filter(version=int(of)).first()
            if of.isdecimal() and len(of) < 6
            else None
        )
        if older is None:
            return None, tell("There is no such version of the key.")
        return correct_key.taken_back(key=key, older=older), ""
    except correct_key.NotCorrected as error:
        return None, told(error)
