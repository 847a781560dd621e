"""The unit in which an instructor is told lengths at the desk: chosen with a button at the foot of
each page, kept in a cookie as the language is.
"""

from django.contrib.auth.decorators import login_required
from django.http import HttpResponseRedirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from ..presenting.lengths import DESK_LENGTHS, reading_lengths

COOKIE, KEEPS_S = "desk_lengths", 365 * 24 * 3600


def lengths_of_reader(get_response):
    """Middleware: each request is answered in the unit of its reader."""

    def answered(request):
        with reading_lengths(request.COOKIES.get(COOKIE, "")):
            return get_response(request)

    return answered


@require_POST
@login_required
def choose_desk_lengths(request):
    """Note the unit, and go back to the page."""
    back, chosen = request.POST.get("next", ""), request.POST.get("lengths", "")
    is_here = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    # an address, for anything else would be looked up as the name of one
    answer = HttpResponseRedirect(back if is_here else reverse("sites"))
    if chosen in DESK_LENGTHS:
        answer.set_cookie(
            COOKIE, chosen, max_age=KEEPS_S, samesite="Lax", secure=request.is_secure()
        )
    return answer
