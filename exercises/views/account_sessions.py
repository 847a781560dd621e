"""Sessions note when they are used, and end when they are old."""

from datetime import timedelta

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.signals import user_logged_in
from django.dispatch import receiver
from django.utils import timezone

from ..languages import tell
from ..usecases import hold_sessions


def _agent(request):
    return request.META.get("HTTP_USER_AGENT", "")


@receiver(user_logged_in, dispatch_uid="a session begins")
def session_begins(sender, request, user, **more):
    """Whichever way somebody signs in. Who was signed in already gets a new key too, which Django
    would leave as it is: whoever else held the old one holds nothing.
    """
    if request.session.session_key == request.COOKIES.get(settings.SESSION_COOKIE_NAME):
        request.session.cycle_key()
    hold_sessions.begin(session=request.session, agent=_agent(request), now=timezone.now())


def sessions_have_limits(get_response):
    """A middleware. Phones of participants have no session, and cost no query here."""

    def middleware(request):
        if settings.SESSION_COOKIE_NAME in request.COOKIES and request.user.is_authenticated:
            _keep_or_end(request, timezone.now())
        return get_response(request)

    return middleware


def _keep_or_end(request, now):
    limits = {
        "longest": timedelta(days=settings.SESSION_DAYS),
        "idle": timedelta(days=settings.SESSION_IDLE_DAYS),
    }
    if hold_sessions.is_over(session=request.session, now=now, **limits):
        logout(request)
        messages.info(request, tell("You were signed in for long. Sign in again to go on."))
    else:
        hold_sessions.note_use(session=request.session, agent=_agent(request), now=now)
