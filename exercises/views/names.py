"""Names that go: those of a class by hand, and somebody's own by their wish on their phone."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from ..domain.running.roles import Act
from ..languages import tell, told
from ..models import Person
from ..permissions import acting_for
from ..usecases import own_wish, purge_names
from .phone_cookie import phone_here


@require_http_methods(["GET", "POST"])
@login_required
def class_names(request, pk):
    """Delete the names of a class: what goes and what stays is said first."""
    acting = acting_for(request.user, pk, Act.PURGE)
    course_class, trouble = acting.course_class, ""
    if request.method == "POST":
        try:
            purge_names.purge_by_hand(course_class=course_class, by=acting, now=timezone.now())
        except purge_names.CannotPurge as error:
            trouble = told(error)
        else:
            messages.success(request, tell("The names of this class are deleted."))
            return redirect("class", pk)
    return render(
        request,
        "exercises/running/names.html",
        {
            "class": course_class,
            "acting": acting,
            "trouble": trouble,
            "people": course_class.people.filter(taken_out_at=None).count(),
            "helpers": course_class.staff.filter(user=None).count(),
            "readings": course_class.readings.count(),
        },
    )


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def forget_me(request, code):
    """What the people of this phone wish to have deleted of themselves."""
    course_class, people = phone_here(request, code)
    page = {"class": course_class, "people": people}
    if request.method == "POST":
        person = next((one for one in people if str(one.pk) == request.POST.get("person")), None)
        what = request.POST.get("what", "keep")
        if person and what in ("keep", *Person.Wish.values):
            wanted = "" if what == "keep" else what
            if own_wish.wish(person=person, what=wanted, now=timezone.now()):
                page["gone"] = person.pk
                page["name"] = person.name
                page["people"] = [one for one in people if one != person]
                return render(request, "exercises/station/forgotten.html", page)
        return redirect("forget_me", course_class.code)
    if not people:
        return redirect("join", course_class.code)
    return render(request, "exercises/station/forget.html", page)
