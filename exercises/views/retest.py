"""A retest of what was missed in a class that is over."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from ..domain.running.roles import Act
from ..forms.arrange import RetestForm
from ..languages import tell, told
from ..models import CourseClass
from ..permissions import acting_for
from ..presenting.retest import retest_text, told_retest
from ..usecases import retest as usecase
from ..usecases.debrief import debrief


@require_http_methods(["GET", "POST"])
@login_required
def retest(request, pk):
    """Say whose retest of which tasks it would be, then make a course and a class of them."""
    course_class = acting_for(request.user, pk, Act.RUN).course_class
    if course_class.state != CourseClass.State.CLOSED:
        return redirect("class", pk)
    whole = debrief(course_class=course_class, now=timezone.now())
    chosen = request.POST.get("person") or request.GET.get("person") or ""
    people = _people(whole, chosen)
    form = RetestForm(request.POST or None, initial=_first(course_class, chosen))
    if request.method == "POST" and form.is_valid():
        wanted = form.cleaned_data
        try:
            made = usecase.make_retest(
                whole=whole,
                people=people,
                name=wanted["name"],
                on=wanted["on"],
                is_elsewhere=wanted["elsewhere"],
                owner=request.user,
            )
        except usecase.NothingMissed as error:
            form.add_error(None, told(error))
        else:
            messages.success(request, told_retest(made))
            return redirect("class", made.course_class.pk)
    return render(
        request,
        "exercises/desk/retest.html",
        {"class": course_class, "form": form, **retest_text(whole, people)},
    )


def _people(whole, chosen):
    """Whose retest it is: one person's, or that of all who missed something. Raises Http404."""
    if not chosen:
        return usecase.who_missed(whole)
    if chosen not in whole.people:
        raise Http404("Nobody in the class has this number.")
    return [whole.people[chosen]]


def _first(course_class, chosen):
    """What the form says at first."""
    return {
        "name": tell("{name}, again", name=course_class.name)[:80],
        "person": chosen,
        "on": timezone.localdate(),
    }
