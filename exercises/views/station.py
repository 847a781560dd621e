"""The participant's phone in a class: what it shows, and the readings that it sends."""

import hashlib

from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import get_language
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_POST, require_safe

from .. import queries
from ..domain.diagnosis.diagnosis import MODEL_VERSION
from ..domain.planning.home_lessons import LESSONS, NoLesson
from ..domain.tasks import telling
from ..languages import tell, told
from ..models import CourseClass
from ..permissions import may_see_sheets
from ..presenting import phone
from ..presenting.person_sheet import sheet
from ..presenting.questions import not_asked, questions_for
from ..presenting.rotation_live import phone_rotation
from ..usecases.debrief import settled_or_of, verdict_on
from ..usecases.follow_rotation import told_to_phones
from ..usecases.join_class import note_heard
from ..usecases.take_readings import LONGEST_BATCH, take_readings
from ..usecases.take_said import take_labels, take_replies
from ..usecases.tell_at_home import tell_at_home
from ..usecases.watch_class import hear_phone
from .bodies import NotOurs, json_of
from .phone_cookie import phone_here, sender_here, was_here


@require_safe
@ensure_csrf_cookie
def station(request, code):
    """The class on the phone: a page that asks for what it shows, so that a phone may keep the page
    and hold what it was told.
    """
    course_class, people = phone_here(request, code)
    if not people:
        return redirect("join", course_class.code)
    return render(
        request,
        "exercises/station/class.html",
        {"code": course_class.code, "lesson_codes": " ".join(LESSONS)},
    )


@require_safe
@never_cache
def mine(request, code):
    """The sheets of this phone's people, once they may see them; until then the class's page."""
    course_class, people = phone_here(request, code)
    key = queries.current_key(course_class)
    if not people or not may_see_sheets(course_class, key.counted() if key else ()):
        return redirect("station", course_class.code)
    whole = settled_or_of(course_class=course_class, people=people)
    return render(
        request,
        "exercises/station/mine.html",
        {"class": course_class, "sheets": [sheet(whole, person) for person in people]},
    )


@require_safe
@never_cache
@ensure_csrf_cookie
def state(request, code):
    """What the phone may know, as JSON: at its beginning, and again while it is open."""
    course_class, people = phone_here(request, code)
    if not people:
        return _not_here(request, course_class)
    unsent = request.GET.get("unsent", "0")
    hear_phone(
        people=people,
        unsent=int(unsent) if unsent.isascii() and unsent.isdecimal() and len(unsent) < 6 else 0,
        now=timezone.now(),
    )
    if request.GET.get("have") == _stamp(course_class, queries.current_key(course_class), people):
        return HttpResponse(status=204)
    return JsonResponse(_state(course_class, people))


@require_POST
def readings(request, code):
    """Store a batch of readings. Every one gets its own final word; nothing that comes twice is
    stored twice. What they were worth is asked for apart (`shown`): a reading is safe at once,
    however long that takes.
    """
    sender = sender_here(request, code)
    if not sender.people:
        return _refused(
            tell("This phone is not in the class. Join it again; your readings stay on the phone."),
            status=403,
        )
    try:
        sent = json_of(request)["readings"]
    except (NotOurs, KeyError):
        return _refused(tell("This is not a list of readings. Reload the page."), status=400)
    if not isinstance(sent, list) or len(sent) > LONGEST_BATCH:
        return _refused(
            tell("Send a list of at most {number} readings.", number=LONGEST_BATCH), status=400
        )
    if sender.course_class.state == CourseClass.State.DRAFT or sender.key is None:
        return _refused(
            tell("The class is not open yet. Your readings stay on the phone."), status=409
        )
    return JsonResponse({"readings": _taken(sender, *_parted(sent), timezone.now())})


def _taken(sender, said, sent, now):
    """What is said of readings, and readings, taken in; the final words on them, readings first."""
    course_class, key = sender.course_class, sender.key
    answers, state = key.as_domain(), course_class.telling()
    common = {"course_class": course_class, "people": sender.people, "now": now}
    outcomes = take_readings(**common, sent=sent, answers=answers, clock=timezone.now)
    taken = [
        *take_replies(**common, sent=[one for one in said if "cause" not in one], answers=answers),
        *take_labels(
            **common,
            sent=[one for one in said if "cause" in one],
            verdict_of=lambda reading: verdict_on(course_class, reading),
        ),
    ]
    tells = {answer.task for answer in key.counted() if telling.may_tell(answer, state)}
    return [
        *(phone.outcome_text(outcome, key.dropped, tells) for outcome in outcomes),
        *(phone.taken_text(outcome, tells) for outcome in taken),
    ]


@require_safe
@never_cache
def shown(request, code):
    """What may be told by now of this phone's readings of some tasks (`?task=3&task=4`), as JSON; a
    map half is told with its field half.
    """
    sender = sender_here(request, code)
    course_class, people, key = sender.course_class, sender.people, sender.key
    if not people:
        return _not_here(request, course_class)
    asked = set(request.GET.getlist("task"))
    asked |= {answer.after for answer in key.counted() if answer.task in asked} if key else set()
    rows = _readings_of(course_class, people)
    return JsonResponse({"shown": _shown(course_class, people, key, rows, asked)})


@require_POST
def at_home(request, code):
    """Keep which lessons one of this phone's people wishes to have told; an empty list takes them
    back.
    """
    _, people = phone_here(request, code)
    by_id = {person.pk: person for person in people}
    if not by_id:
        return _refused(tell("Join the class first."), status=403)
    try:
        sent = json_of(request)
        person, codes = by_id.get(sent["person"]), list(sent["lessons"])
    except (NotOurs, TypeError, KeyError):
        return _refused(tell("This is no list of lessons. Reload the page."), status=400)
    if person is None:
        return _refused(tell("This phone does not speak for that person."), status=403)
    try:
        kept = tell_at_home(person=person, codes=codes, now=timezone.now())
    except NoLesson as error:
        return _refused(told(error), status=400)
    return JsonResponse({"person": person.pk, "home": list(kept)})


def _not_here(request, course_class):
    """What a phone is told that speaks for nobody; one that did once is told that it does no
    longer, and that its personal codes bring nobody back.
    """
    if was_here(request, course_class):
        gone = tell(
            "Your name is not in this class any more. If that is a mistake, ask your instructor. "
            "Readings that were not sent stay on this phone."
        )
        return JsonResponse({"message": gone, "gone": True}, status=403)
    return JsonResponse({"message": tell("Join the class first.")}, status=403)


def _refused(message, status):
    return JsonResponse({"message": message}, status=status)


@require_POST
def heard(request, code):
    """The people of this phone have read the cautions; said twice it is once."""
    _, people = phone_here(request, code)
    if not people:
        return _refused(tell("Join the class first."), 403)
    note_heard(people=people, now=timezone.now())
    return HttpResponse(status=204)


def _parted(sent):
    """What was sent, parted into what is said about readings, and readings."""
    is_said = [isinstance(item, dict) and "about" in item for item in sent]
    return (
        [item for item, is_about in zip(sent, is_said, strict=True) if is_about],
        [item for item, is_about in zip(sent, is_said, strict=True) if not is_about],
    )


def _readings_of(course_class, people):
    return list(course_class.readings.of(people).with_said())


def _state(course_class, people):
    """What the phone may know now: the state, the tasks once open, which readings are in, feedback
    once it may be shown.
    """
    key = queries.current_key(course_class)
    answers = key.counted() if key else ()
    points = key.points if key else {}
    cards = dict(course_class.course.site.points.values_list("code", "card_code"))
    readings = _readings_of(course_class, people)
    return {
        "stamp": _stamp(course_class, key, people),
        "language": get_language(),
        **phone.class_text(course_class),
        "sheet": may_see_sheets(course_class, answers),
        "people": phone.people_text(people),
        "stations": phone.stations(answers, points, cards),
        "tasks": phone.tasks(answers, points, course_class.feedback, people),
        "sent": sorted(
            {(reading.whose.pk, reading.task) for reading in readings if not reading.problem}
        ),
        "shown": _shown(course_class, people, key, readings),
        **phone_rotation(course_class, people),
    }


def _stamp(course_class, key, people):
    """Changes whenever what this phone may know does: a page that has it already is told nothing
    again.
    """
    known = (
        get_language(),
        course_class.name,
        course_class.course.site.cautions,
        course_class.course.site.safety_bearing_deg,
        course_class.course.site.safety_leads_to,
        course_class.state,
        course_class.released_at,
        key.version if key else 0,
        queries.counted_at(course_class),
        course_class.readings.of(people).count(),
        course_class.replies.filter(reading__person__in=people).count(),
        course_class.labels.filter(reading__person__in=people).count(),
        sorted(
            (
                person.pk,
                person.wider_band_deg or 0.0,
                person.pace_m or 0.0,
                person.home_lessons,
                person.lengths,
                person.instrument().unit.code,
                person.group_id or 0,
            )
            for person in people
        ),
        MODEL_VERSION,
        told_to_phones(course_class),
    )
    return hashlib.sha256(repr(known).encode()).hexdigest()[:16]


def _shown(course_class, people, key, readings, tasks=None):
    """Hints and feedback on the readings of this phone, as far as they may be shown: of some tasks,
    or of all.
    """
    if key is None or not readings:
        return []
    answers, state = key.counted(), course_class.telling()
    chosen = (
        queries.counting(course_class, readings, answers)
        if state.is_released
        else queries.latest(readings, answers)
    )
    silent = not_asked(chosen) if course_class.asks else {str(person.pk) for person in people}
    judged, _ = queries.judged_for(course_class, key, chosen, silent)
    tries = queries.tries(readings)
    given = [
        telling.Given(
            judgement.person,
            judgement.task,
            tries[judgement.person, judgement.task],
            judgement.credit,
        )
        for judgement in judged
    ]
    told_by_task = telling.told_on_phone(
        given, answers, state, [str(person.pk) for person in people]
    )
    return phone.shown(
        [judgement for judgement in judged if tasks is None or judgement.task in tasks],
        told_by_task,
        tries,
        key.points,
        questions_for(judged, key.points),
        people,
        is_released=state.is_released,
    )
