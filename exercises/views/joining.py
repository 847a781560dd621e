"""The participant's phone on its way into a class: find it, join it or go on with it, say with
which compass and what pace.
"""

import re
from urllib.parse import urlencode

from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from .. import queries
from ..domain.earth.length_units import length_of
from ..forms.station import (
    CodeForm,
    CompassForm,
    GoOnForm,
    JoinForm,
    LengthsForm,
    PaceForm,
    plain_code,
)
from ..languages import tell, told
from ..usecases.guard_joining import CannotJoin, whence
from ..usecases.join_class import (
    NobodyFound,
    change_compass,
    choose_lengths,
    go_on,
    join_class,
    note_paces,
)
from ..usecases.keep_kit import is_withdrawn
from .address import address_of
from .phone_cookie import (
    class_here,
    classes_of_phone,
    device_of,
    phone_here,
    to_class,
    was_here,
)
from .typed_codes import found_by

AT_A_TASK = re.compile(r"\w{1,4}/\w{1,8}")  # a station and a task, as the class's page names them


@require_safe
def home(request):
    """Two ways in: a class code for participants, the sign-in for instructors. Holds nothing
    personal, so that a phone may keep it.
    """
    form = CodeForm(request.GET or None)
    scanned = plain_code(request.GET.get("card", ""))
    if form.is_bound and form.is_valid():
        code = form.cleaned_data["code"]
        way = found_by(request, code, *_ways_in(scanned))
        if way:
            return redirect(way)
        form.add_error(
            "code",
            tell(
                "No class has the code “{code}”. Check it with your instructor: letters and "
                "digits, no O, I, S or 0, 1, 5.",
                code=code,
            ),
        )
    return _front_page(request, form, _point_of_card(request, scanned))


def _ways_in(card):
    """What finds where a code leads that was typed on the front page: into a class, by way of a
    card or not, to a card, or to an invitation.
    """

    def to_class_of(code):
        course_class = queries.class_by_code(code)
        return course_class and _to_join(course_class, card)

    return (
        to_class_of,
        lambda code: queries.point_by_card(code) and reverse("card", args=[code]),
        lambda code: queries.is_invitation(code) and reverse("invitation", args=[code]),
    )


def _point_of_card(request, code):
    """The point on whose card a code stands, or None."""
    return found_by(request, code, queries.point_by_card) if code else None


def _front_page(request, form, point):
    """The front page; `point` is the one whose card was scanned, or None."""
    return render(request, "exercises/station/home.html", {"form": form, "card": point})


def _to_join(course_class, card):
    """The address of joining a class, by way of a card or not."""
    address = reverse("join", args=[course_class.code])
    return f"{address}?{urlencode({'card': card})}" if card else address


def _station_of_card(request, course_class):
    """The place on a class's page of the card by way of which somebody joins: `#A`; nothing without
    one, or where it stands on other ground.
    """
    point = _point_of_card(request, plain_code(request.GET.get("card", "")))
    is_here = point is not None and point.site_id == course_class.course.site_id
    return f"#{point.code}" if is_here else ""


@require_safe
@never_cache
def card(request, code):
    """The card at a station: opens it in whichever class the phone is in; a phone that is in none
    is led through joining to the station. Cards outlive classes.
    """
    point = found_by(request, code, queries.point_by_card)
    if point is None:
        raise Http404("No card has this code.")
    course_class = queries.class_on_phone(point, classes_of_phone(request))
    if course_class:
        return redirect(f"{reverse('station', args=[course_class.code])}#{point.code}")
    return _front_page(request, CodeForm(), point)


@require_http_methods(["GET", "POST"])
def join(request, code):
    """Join with a name or several, or go on to the class where this phone is in it already."""
    course_class, here = phone_here(request, code)
    place = _station_of_card(request, course_class)
    if request.method == "GET" and here and "more" not in request.GET:
        return redirect(reverse("station", args=[course_class.code]) + place)
    form = JoinForm(request.POST or None, people_here=len(here), unit=course_class.unit)
    if request.method == "POST" and form.is_valid() and not _is_warned(course_class, form):
        wanted = form.cleaned_data
        device = device_of(request)
        try:
            joined = join_class(
                course_class=course_class,
                names=wanted["names"],
                now=timezone.now(),
                token=wanted["token"],
                whence=whence(course_class=course_class, phone=device, address=address_of(request)),
                **form.instrument(),
            )
        except CannotJoin as error:
            form.add_error("names", told(error))
        else:
            return to_class(request, course_class, joined, place=place, device=device)
    return render(
        request,
        "exercises/station/join.html",
        {
            "class": course_class,
            "form": form,
            "was_here": not here and was_here(request, course_class),
        },
    )


def _is_warned(course_class, form):
    """Whether the form comes back once, because the compass that it names was withdrawn."""
    number = form.cleaned_data["compass"].upper()
    return is_withdrawn(course_class, number) and form.warn_of_withdrawn()


@require_http_methods(["GET", "POST"])
def other_phone(request, code):
    """Go on with the class on this phone, with the personal code of somebody whose own phone is
    gone.
    """
    course_class = class_here(request, code)
    form = GoOnForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            joined = go_on(
                course_class=course_class,
                personal_code=form.cleaned_data["personal_code"],
                address=address_of(request),
                now=timezone.now(),
            )
        except NobodyFound as error:
            form.add_error("personal_code", told(error))
        else:
            place = _station_of_card(request, course_class)
            return to_class(request, course_class, joined, place=place)
    return render(
        request, "exercises/station/other_phone.html", {"class": course_class, "form": form}
    )


@require_http_methods(["GET", "POST"])
def compass(request, code):
    """Another compass for the people of this phone, from their next reading on."""
    course_class, people = phone_here(request, code)
    if not people:
        return redirect("join", course_class.code)
    form = CompassForm(request.POST or None, unit=course_class.unit)
    if request.method == "POST" and form.is_valid() and not _is_warned(course_class, form):
        change_compass(course_class=course_class, people=people, **form.instrument())
        return redirect("station", course_class.code)
    return render(
        request,
        "exercises/station/compass.html",
        {"class": course_class, "form": form, "names": ", ".join(person.name for person in people)},
    )


@require_http_methods(["GET", "POST"])
def lengths(request, code):
    """The unit in which the people of this phone are told lengths. Who chooses their own paces and
    has not counted them is led to that.
    """
    course_class, people = phone_here(request, code)
    if not people:
        return redirect("join", course_class.code)
    form = LengthsForm(request.POST or None, initial={"lengths": people[0].lengths})
    if request.method == "POST" and form.is_valid():
        chosen = form.cleaned_data["lengths"]
        choose_lengths(people=people, lengths=chosen)
        is_known = all(length_of(chosen).number(1.0, person.pace_m) for person in people)
        return redirect("station" if is_known else "pace", course_class.code)
    return render(request, "exercises/station/lengths.html", {"class": course_class, "form": form})


@require_http_methods(["GET", "POST"])
def pace(request, code):
    """How many double paces the people of this phone take over a taped line, so that the legs of a
    walk can be told in their own.
    """
    course_class, people = phone_here(request, code)
    if not people:
        return redirect("join", course_class.code)
    lengths = length_of(people[0].lengths)
    form = PaceForm(request.POST or None, people=people, lengths=lengths)
    if request.method == "POST" and form.is_valid():
        note_paces(course_class=course_class, people=people, paces_m=form.paces_m())
        back = request.GET.get("to", "")
        place = f"#{back}" if AT_A_TASK.fullmatch(back) else ""
        return redirect(reverse("station", args=[course_class.code]) + place)
    return render(request, "exercises/station/pace.html", {"class": course_class, "form": form})
