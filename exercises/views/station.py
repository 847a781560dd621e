"""The participant's phone: find the class, join it, do the tasks, send readings."""
import hashlib
import json

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from .. import queries
from ..debriefing import sheet
from ..forms.station import CodeForm, CompassForm, JoinForm
from ..models import CourseClass
from ..permissions import may_see_answers, may_see_sheets
from ..usecases.debrief import debrief_of
from ..usecases.join_class import NameTaken, change_compass, join_class, people_of
from ..usecases.take_readings import LONGEST_BATCH, take_readings
from ..wording import feedback, public_task

PHONE_KEEPS_DAYS = 30
MOST_ON_A_PHONE = 30
UNKNOWN_CODE = "No class has the code “%s”. Check it with your instructor: letters and digits, no O, I, S or 0, 1, 5."


@require_http_methods(["GET", "POST"])
def home(request):
    """Two ways in: a class code for participants, the sign-in for instructors."""
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        found = queries.class_by_code(form.cleaned_data["code"])
        if found:
            return redirect("join", found.code)
        form.add_error("code", UNKNOWN_CODE % form.cleaned_data["code"])
    return render(request, "exercises/station/home.html", {"form": form}, status=200)


def _class(code):
    found = queries.class_by_code(code)
    if found is None:
        raise Http404("No class has this code.")
    return found


def _cookie(course_class):
    return f"navclass_{course_class.pk}"


def _people(request, course_class):
    """The people for whom this phone speaks."""
    tokens = [token for token in request.COOKIES.get(_cookie(course_class), "").split("|") if token]
    return people_of(course_class, tokens)


@require_http_methods(["GET", "POST"])
def join(request, code):
    """Join with a name or several, or go on to the class where this phone is in it already."""
    found = _class(code)
    here = _people(request, found)
    if request.method == "GET" and here and "more" not in request.GET:
        return redirect("station", found.code)
    form = JoinForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        cleaned = form.cleaned_data
        if len(here) + len(cleaned["names"]) > MOST_ON_A_PHONE:
            form.add_error("names", f"A phone can write for {MOST_ON_A_PHONE} people. Use another phone for the rest.")
            return render(request, "exercises/station/join.html", {"class": found, "form": form})
        try:
            joined = join_class(course_class=found, names=cleaned["names"], compass_number=cleaned["compass"].upper(), now=timezone.now(),
                                graduation_deg=cleaned["graduation"], declination_is_set=cleaned["is_set"])
        except NameTaken as error:
            form.add_error("names", str(error))
        else:
            return _remember(request, found, joined)
    return render(request, "exercises/station/join.html", {"class": found, "form": form})


@require_http_methods(["GET", "POST"])
def compass(request, code):
    """Another compass for the people of this phone, from their next reading on."""
    found = _class(code)
    people = _people(request, found)
    if not people:
        return redirect("join", found.code)
    form = CompassForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        cleaned = form.cleaned_data
        change_compass(course_class=found, people=people, compass_number=cleaned["compass"].upper(), graduation_deg=cleaned["graduation"],
                       declination_is_set=cleaned["is_set"])
        return redirect("station", found.code)
    return render(request, "exercises/station/compass.html", {"class": found, "form": form, "people": people})


def _remember(request, found, joined):
    """Go to the class with a cookie that speaks for these people and those before them."""
    tokens = [token for token in request.COOKIES.get(_cookie(found), "").split("|") if token]
    tokens += [f"{person.pk}:{secret}" for person, secret in joined]
    response = redirect("station", found.code)
    response.set_cookie(_cookie(found), "|".join(tokens), max_age=PHONE_KEEPS_DAYS * 86400, httponly=True, samesite="Lax",
                        secure=request.is_secure())
    return response


@require_safe
@ensure_csrf_cookie
def station(request, code):
    """The class on the phone: one page that holds every task, so that moving on needs no network."""
    found = _class(code)
    people = _people(request, found)
    if not people:
        return redirect("join", found.code)
    return render(request, "exercises/station/class.html", {
        "class": found, "cautions": found.course.site.cautions, "page": {**_state(found, people), "code": found.code, "name": found.name}})


def _state(found, people):
    """What the phone may know now: the state, the tasks once open, which readings are in, feedback once it may be shown."""
    key = queries.current_key(found)
    answers = key.counted() if key else ()
    stations = list(dict.fromkeys(answer.station for answer in answers))
    readings = list(found.readings.filter(person__in=people).select_related("person"))
    return {
        "stamp": _stamp(found, key, people), "state": found.state, "feedback": found.feedback, "sheet": may_see_sheets(found), "people": [{"id": person.pk, "name": person.name} for person in people],
        "stations": [{"code": code, "name": key.points[code]["name"], "mark": key.points[code]["mark"]} for code in stations],
        "tasks": [public_task(answer, key.points) for answer in answers],
        "sent": sorted({(reading.person_id, reading.task) for reading in readings if not reading.problem}),
        "shown": _shown(found, people, key, readings)}


def _stamp(found, key, people):
    """Changes whenever what this phone may know does: a page that has it already is told nothing again."""
    told = (found.state, found.released_at, key.version if key else 0, queries.counted_at(found), found.readings.filter(person__in=people).count(), sorted(p.pk for p in people))
    return hashlib.sha256(repr(told).encode()).hexdigest()[:16]


def _shown(found, people, key, readings):
    """Feedback on the readings that count, once it may be shown.

    While a class is open, people who share a phone see a task's answer when each of them has given theirs.
    """
    if key is None or not may_see_answers(found):
        return []
    given, (counted, _) = {}, queries.counted_for(found, key, readings)
    for one in counted:
        given.setdefault(one.reading.task, set()).add(one.person.pk)
    waits = found.is_open and found.released_at is None
    return [feedback(one) for one in counted if not waits or len(given[one.reading.task]) == len(people)]


@require_safe
def mine(request, code):
    """The sheets of this phone's people, once they may see them; until then the class's page."""
    found = _class(code)
    people = _people(request, found)
    if not people or not may_see_sheets(found):
        return redirect("station", found.code)
    whole = debrief_of(course_class=found, people=people)
    return render(request, "exercises/station/mine.html", {"class": found, "sheets": [sheet(whole, person) for person in people]})


@require_safe
def state(request, code):
    """The same as JSON, for a page that is open while the class opens or feedback is released."""
    found = _class(code)
    people = _people(request, found)
    if not people:
        return JsonResponse({"message": "Join the class first."}, status=403)
    if request.GET.get("have") == _stamp(found, queries.current_key(found), people):
        return HttpResponse(status=204)
    return JsonResponse(_state(found, people))


def _message(outcome, key):
    """What became of a reading, in words; one of a task that was dropped meanwhile is kept for nothing, and said to be."""
    if outcome.reading and outcome.reading.task in key.dropped:
        return f"Kept, but task {outcome.reading.task} does not count any more."
    return outcome.message


@require_POST
def readings(request, code):
    """Store a batch of readings. Every one gets its own final word; nothing that comes twice is stored twice."""
    found = _class(code)
    people = _people(request, found)
    if not people:
        return JsonResponse({"message": "This phone is not in the class. Join it again; your readings stay on the phone."}, status=403)
    try:
        sent = json.loads(request.body)["readings"]
    except (ValueError, TypeError, KeyError, RecursionError):
        return JsonResponse({"message": "This is not a list of readings. Reload the page."}, status=400)
    if not isinstance(sent, list) or len(sent) > LONGEST_BATCH:
        return JsonResponse({"message": f"Send a list of at most {LONGEST_BATCH} readings."}, status=400)
    key = queries.current_key(found)
    if found.state == CourseClass.State.DRAFT or key is None:
        return JsonResponse({"message": "The class is not open yet. Your readings stay on the phone."}, status=409)
    by_task = {answer.task: answer for answer in key.as_domain()}
    outcomes = take_readings(course_class=found, people=people, sent=sent, answers=tuple(by_task.values()), now=timezone.now())
    touched = {outcome.reading.task for outcome in outcomes if outcome.reading}
    shown = _shown(found, people, key, list(found.readings.filter(person__in=people).select_related("person"))) if touched else []
    return JsonResponse({
        "readings": [{"id": outcome.client_id, "status": outcome.status, "message": _message(outcome, key), "task": outcome.reading.task if outcome.reading else "",
                      "person": outcome.reading.person_id if outcome.reading else None, "graded": bool(outcome.reading) and not outcome.reading.problem}
                     for outcome in outcomes],
        "shown": [one for one in shown if one["task"] in touched]})
