"""What is kept of whom: a page for participants, parents and whoever answers for data."""

from django.conf import settings
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ..usecases.arrange import BIN_DAYS
from ..usecases.guard_door import LONGEST_KEPT
from ..usecases.open_class import KEPT
from .phone_cookie import PHONE_KEEPS_DAYS


@require_safe
def retention(request):
    """The page, for everybody, with the days that hold on this server."""
    return render(
        request,
        "exercises/station/retention.html",
        {
            "contact": settings.CONTACT,
            "names_days": KEPT.days,
            "phone_days": PHONE_KEEPS_DAYS,
            "bin_days": BIN_DAYS,
            "door_days": max(1, LONGEST_KEPT.days),
            "session_days": settings.SESSION_DAYS,
            "has_tiles": bool(settings.TILES_URL),
            "has_mail": settings.MAIL_IS_SET_UP,
        },
    )
