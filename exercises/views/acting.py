"""Who asks for a page of a class: an account with a role in it, or a phone that holds a helper's
secret.
"""

from datetime import timedelta
from functools import wraps

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.views import redirect_to_login
from django.http import Http404
from django.utils import timezone

from ..languages import tell
from ..models import CourseClass
from ..permissions import acting_in, as_acting
from ..usecases.give_roles import staff_by_secret
from .cookie_names import held, host_only


def _cookie(pk):
    return f"navclass_helps_{pk}"


def acting_here(request, pk):
    """Whoever asks, as they act in a class; None who has no role in it."""
    if acting := acting_in(request.user, pk):
        return acting
    token = held(request, _cookie(pk))
    course_class = (
        CourseClass.objects.kept().select_related("course__site").filter(pk=pk).first()
        if token
        else None
    )
    staff = course_class and staff_by_secret(
        course_class,
        token,
        longest=timedelta(days=settings.HELPER_DAYS),
        idle=timedelta(days=settings.HELPER_IDLE_DAYS),
        now=timezone.now(),
    )
    return staff and as_acting(staff, course_class)


def who_may(act):
    """Give a view `acting` instead of a class's primary key, where whoever asks may do something.
    Who has no role is told that nothing is there, and may sign in first where they have not.
    """

    def decorated(view):
        @wraps(view)
        def wrapped(request, pk, **more):
            acting = acting_here(request, pk)
            if acting and acting.may(act):
                return view(request, acting, **more)
            if acting is None and not request.user.is_authenticated:
                if _cookie(pk) in request.COOKIES:
                    messages.info(request, tell("This phone helps no longer. Ask for a new link."))
                return redirect_to_login(request.get_full_path(), settings.LOGIN_URL)
            raise Http404("There is nothing at this address for you.")

        return wrapped

    return decorated


def remember_helper(response, staff, secret):
    """Let this phone speak for a helper, in this class alone."""
    response.set_cookie(
        host_only(_cookie(staff.course_class_id)),
        f"{staff.pk}:{secret}",
        max_age=settings.HELPER_DAYS * 86_400,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )
    return response
