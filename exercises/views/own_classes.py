"""A person's sheet over several classes: those that their phone has been in, and those whose codes
they kept.
"""

from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from .. import queries
from ..forms.station import KeptCodesForm
from ..languages import tell, told
from ..models import CourseClass
from ..permissions import may_see_sheets
from ..presenting.own_classes import own_classes_text
from ..usecases.debrief import settled_or_of
from ..usecases.join_class import NobodyFound, go_on
from .address import address_of
from .phone_cookie import classes_of_phone, people_here, remember
from .typed_codes import found_by

MOST_CLASSES = 12  # beside each other; the latest


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def own_classes(request):
    """The sheet, with a form for one class more."""
    form = KeptCodesForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        answer = _one_more(request, form)
        if answer:
            return answer
    held, waiting = _held(request)
    chosen = set(request.GET.getlist("who")) or _likely(held)
    shown = [(one, person) for one, person in held if str(person.pk) in chosen]
    return render(
        request,
        "exercises/station/own_classes.html",
        {
            "form": form,
            "held": [(one, person, str(person.pk) in chosen) for one, person in held],
            "waiting": waiting,
            "sheet": own_classes_text(
                [
                    (settled_or_of(course_class=one, people=[person]), person)
                    for one, person in shown
                ]
            ),
        },
    )


def _one_more(request, form):
    """Let this phone speak for somebody in a class more; None where the form says what is wrong."""
    code = form.cleaned_data["code"]
    course_class = found_by(request, code, queries.class_by_code)
    if course_class is None:
        form.add_error("code", tell("No class has the code “{code}”.", code=code))
        return None
    try:
        joined = go_on(
            course_class=course_class,
            personal_code=form.cleaned_data["personal_code"],
            address=address_of(request),
            now=timezone.now(),
        )
    except NobodyFound as error:
        form.add_error("personal_code", told(error))
        return None
    return remember(request, course_class, joined, redirect("own_classes"))


def _held(request):
    """The classes of this phone whose sheets may be seen, each with each of its people, the
    earliest first; and those whose sheets may not be seen yet.
    """
    classes = CourseClass.objects.kept().filter(pk__in=classes_of_phone(request))
    latest = classes.select_related("course__site").order_by("-date", "-pk")[:MOST_CLASSES]
    held, waiting = [], []
    for course_class in reversed(latest):
        key, people = queries.current_key(course_class), people_here(request, course_class)
        if may_see_sheets(course_class, key.counted() if key else ()):
            held += [(course_class, person) for person in people]
        elif people:
            waiting.append(course_class)
    return held, waiting


def _likely(held):
    """The keys of whoever is called as the first person of the latest class is: on a phone that
    several share, the others are ticked by hand.
    """
    if not held:
        return set()
    first = next(person for one, person in held if one == held[-1][0])
    return {str(person.pk) for _, person in held if person.name_key == first.name_key}
