"""The participant's phone: find the class, join it or go on with it, do the tasks, send
readings.
"""

import hashlib
import json
import re
from collections import Counter

from django.conf import settings
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from .. import queries
from ..domain.diagnosis.diagnosis import MODEL_VERSION
from ..domain.tasks import telling
from ..forms.station import CodeForm, CompassForm, GoOnForm, JoinForm, PaceForm
from ..languages import tell, told
from ..models import CourseClass
from ..permissions import may_see_sheets
from ..presenting import phone
from ..presenting.person_sheet import sheet
from ..usecases.debrief import debrief_of
from ..usecases.join_class import (
    NameTaken,
    NobodyFound,
    change_compass,
    go_on,
    join_class,
    note_paces,
    people_of,
)
from ..usecases.take_readings import LONGEST_BATCH, take_readings

PHONE_KEEPS_DAYS = 30
MOST_ON_A_PHONE = 30


@require_safe
def home(request):
    """Two ways in: a class code for participants, the sign-in for instructors. Holds nothing
    personal, so that a phone may keep it.
    """
    form = CodeForm(request.GET or None)
    if form.is_bound and form.is_valid():
        found = queries.class_by_code(form.cleaned_data["code"])
        if found:
            return redirect("join", found.code)
        if queries.point_by_card(form.cleaned_data["code"]):
            return redirect("card", form.cleaned_data["code"].strip().upper())
        form.add_error(
            "code",
            tell(
                "No class has the code “{code}”. Check it with your instructor: letters and "
                "digits, no O, I, S or 0, 1, 5.",
                code=form.cleaned_data["code"],
            ),
        )
    return render(request, "exercises/station/home.html", {"form": form})


@require_safe
@never_cache
def card(request, code):
    """The card at a station: opens it in whichever class the phone is in; a phone that is in none
    is told to join first. Cards outlive classes.
    """
    point = queries.point_by_card(code)
    if point is None:
        raise Http404("No card has this code.")
    found = queries.class_on_phone(
        point,
        [
            int(name.removeprefix("navclass_"))
            for name in request.COOKIES
            if re.fullmatch(r"navclass_\d{1,9}", name)
        ],
    )
    if found:
        return redirect(f"{reverse('station', args=[found.code])}#{point.code}")
    return render(request, "exercises/station/home.html", {"form": CodeForm(), "card": point})


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
            form.add_error(
                "names",
                tell(
                    "A phone can write for {number} people. Use another phone for the rest.",
                    number=MOST_ON_A_PHONE,
                ),
            )
            return render(request, "exercises/station/join.html", {"class": found, "form": form})
        try:
            joined = join_class(
                course_class=found,
                names=cleaned["names"],
                compass_number=cleaned["compass"].upper(),
                now=timezone.now(),
                graduation_deg=cleaned["graduation"],
                declination_is_set=cleaned["is_set"],
                token=cleaned["token"],
            )
        except NameTaken as error:
            form.add_error("names", told(error))
        else:
            return _remember(request, found, joined)
    return render(request, "exercises/station/join.html", {"class": found, "form": form})


@require_http_methods(["GET", "POST"])
def other_phone(request, code):
    """Go on with the class on this phone, with the personal code of somebody whose own phone is
    gone.
    """
    found = _class(code)
    form = GoOnForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            return _remember(
                request,
                found,
                go_on(
                    course_class=found,
                    personal_code=form.cleaned_data["personal_code"],
                    now=timezone.now(),
                ),
            )
        except NobodyFound as error:
            form.add_error("personal_code", told(error))
    return render(request, "exercises/station/other_phone.html", {"class": found, "form": form})


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
        change_compass(
            course_class=found,
            people=people,
            compass_number=cleaned["compass"].upper(),
            graduation_deg=cleaned["graduation"],
            declination_is_set=cleaned["is_set"],
        )
        return redirect("station", found.code)
    return render(
        request,
        "exercises/station/compass.html",
        {"class": found, "form": form, "names": ", ".join(person.name for person in people)},
    )


@require_http_methods(["GET", "POST"])
def pace(request, code):
    """How many double paces the people of this phone take over a taped line, so that the legs of a
    walk can be told in their own.
    """
    found = _class(code)
    people = _people(request, found)
    if not people:
        return redirect("join", found.code)
    form = PaceForm(request.POST or None, people=people)
    if request.method == "POST" and form.is_valid():
        note_paces(course_class=found, people=people, paces_m=form.paces_m())
        back = request.GET.get("to", "")
        return redirect(
            reverse("station", args=[found.code])
            + (f"#{back}" if re.fullmatch(r"\w{1,4}/\w{1,8}", back) else "")
        )
    return render(request, "exercises/station/pace.html", {"class": found, "form": form})


def _remember(request, found, joined):
    """Go to the class with a cookie that speaks for these people and those before them."""
    new = {str(person.pk): secret for person, secret in joined}
    tokens = [
        token
        for token in request.COOKIES.get(_cookie(found), "").split("|")
        if token and token.partition(":")[0] not in new
    ]
    tokens += [f"{pk}:{secret}" for pk, secret in new.items()]
    response = redirect("station", found.code)
    response.set_cookie(
        _cookie(found),
        "|".join(tokens),
        max_age=PHONE_KEEPS_DAYS * 86400,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )  # not request.is_secure(): a laptop's http and https share their cookies
    return response


@require_safe
@ensure_csrf_cookie
def station(request, code):
    """The class on the phone: a page that asks for what it shows, so that a phone may keep the page
    and hold what it was told.
    """
    found = _class(code)
    if not _people(request, found):
        return redirect("join", found.code)
    return render(request, "exercises/station/class.html", {"code": found.code})


def _state(found, people):
    """What the phone may know now: the state, the tasks once open, which readings are in, feedback
    once it may be shown.
    """
    key = queries.current_key(found)
    answers = key.counted() if key else ()
    points = key.points if key else {}
    readings = list(found.readings.filter(person__in=people).select_related("person"))
    cards = dict(found.course.site.points.values_list("code", "card_code"))
    return {
        "stamp": _stamp(found, key, people),
        "language": get_language(),
        "code": found.code,
        "name": found.name,
        "cautions": found.course.site.cautions,
        "state": found.state,
        "sheet": may_see_sheets(found, answers),
        "people": [
            {
                "id": person.pk,
                "name": person.name,
                "code": person.personal_code,
                "pace_m": person.pace_m,
            }
            for person in people
        ],
        "stations": phone.stations(answers, points, cards),
        "tasks": phone.tasks(answers, points, found.feedback),
        "sent": sorted(
            {(reading.person_id, reading.task) for reading in readings if not reading.problem}
        ),
        "shown": _shown(found, people, key, readings),
    }


def _stamp(found, key, people):
    """Changes whenever what this phone may know does: a page that has it already is told nothing
    again.
    """
    told_now = (
        get_language(),
        found.name,
        found.course.site.cautions,
        found.state,
        found.released_at,
        key.version if key else 0,
        queries.counted_at(found),
        found.readings.filter(person__in=people).count(),
        sorted(
            (person.pk, person.wider_band_deg or 0.0, person.pace_m or 0.0) for person in people
        ),
        MODEL_VERSION,
    )
    return hashlib.sha256(repr(told_now).encode()).hexdigest()[:16]


def _shown(found, people, key, readings):
    """Hints and feedback on the readings of this phone, as far as they may be shown."""
    if key is None:
        return []
    answers, state = key.counted(), found.telling()
    rows = (
        queries.counting(found, readings, answers)
        if state.is_released
        else queries.latest(readings, answers)
    )
    judged, _ = queries.judged_for(found, key, rows)
    attempts = Counter(
        (str(reading.person_id), reading.task) for reading in readings if not reading.problem
    )
    given = [
        telling.Given(one.person, one.task, attempts[one.person, one.task], one.credit)
        for one in judged
    ]
    told_by_task = telling.told_on_phone(
        given, answers, state, [str(person.pk) for person in people]
    )
    return phone.shown(judged, told_by_task, attempts, key.points, is_released=state.is_released)


@require_safe
@never_cache
def mine(request, code):
    """The sheets of this phone's people, once they may see them; until then the class's page."""
    found = _class(code)
    people = _people(request, found)
    key = queries.current_key(found)
    if not people or not may_see_sheets(found, key.counted() if key else ()):
        return redirect("station", found.code)
    whole = debrief_of(course_class=found, people=people)
    return render(
        request,
        "exercises/station/mine.html",
        {"class": found, "sheets": [sheet(whole, person) for person in people]},
    )


@require_safe
@never_cache
@ensure_csrf_cookie
def state(request, code):
    """What the phone may know, as JSON: at its beginning, and again while it is open."""
    found = _class(code)
    people = _people(request, found)
    if not people:
        return JsonResponse({"message": tell("Join the class first.")}, status=403)
    if request.GET.get("have") == _stamp(found, queries.current_key(found), people):
        return HttpResponse(status=204)
    return JsonResponse(_state(found, people))


def _message(outcome, key):
    """What there is to say of a reading, in words; nothing of one that was simply kept."""
    if outcome.reading and outcome.reading.task in key.dropped:
        return tell("Kept, but task {task} does not count any more.", task=outcome.reading.task)
    is_plain = (
        outcome.reading
        and not outcome.reading.problem
        and not outcome.reading.is_late
        and outcome.status in ("stored", "again")
    )
    return "" if is_plain else told(outcome.message)


@require_POST
def readings(request, code):
    """Store a batch of readings. Every one gets its own final word; nothing that comes twice is
    stored twice.
    """
    found = _class(code)
    people = _people(request, found)
    if not people:
        return JsonResponse(
            {
                "message": tell(
                    "This phone is not in the class. Join it again; your readings stay on the "
                    "phone."
                )
            },
            status=403,
        )
    try:
        sent = json.loads(request.body)["readings"]
    except (ValueError, TypeError, KeyError, RecursionError):
        return JsonResponse(
            {"message": tell("This is not a list of readings. Reload the page.")}, status=400
        )
    if not isinstance(sent, list) or len(sent) > LONGEST_BATCH:
        return JsonResponse(
            {"message": tell("Send a list of at most {number} readings.", number=LONGEST_BATCH)},
            status=400,
        )
    key = queries.current_key(found)
    if found.state == CourseClass.State.DRAFT or key is None:
        return JsonResponse(
            {"message": tell("The class is not open yet. Your readings stay on the phone.")},
            status=409,
        )
    outcomes = take_readings(
        course_class=found, people=people, sent=sent, answers=key.as_domain(), now=timezone.now()
    )
    touched = {outcome.reading.task for outcome in outcomes if outcome.reading}
    touched |= {
        answer.after for answer in key.as_domain() if answer.task in touched
    }  # a map half is told with its field half
    shown = (
        _shown(
            found,
            people,
            key,
            list(found.readings.filter(person__in=people).select_related("person")),
        )
        if touched
        else []
    )
    return JsonResponse(
        {
            "readings": [
                {
                    "id": outcome.client_id,
                    "status": outcome.status,
                    "message": _message(outcome, key),
                    "task": outcome.reading.task if outcome.reading else "",
                    "person": outcome.reading.person_id if outcome.reading else None,
                    "graded": bool(outcome.reading) and not outcome.reading.problem,
                }
                for outcome in outcomes
            ],
            "shown": [one for one in shown if one["task"] in touched],
        }
    )
