"""Every form of the desk acts once, however often it arrives: a finger that trembles, a page that
is sent again. Its page gives it a token (`templatetags/once.py`, in `{% csrf_token %}`).

What is remembered is the token with all that was sent: the same form twice is answered as the first
time, and one that was mended after the browser's “Back” is another.
"""

import hashlib
import time

from django.http import HttpResponseRedirect
from django.shortcuts import render
from django.utils import timezone

from ..serving.reckoning import RECKONED_BESIDE
from ..usecases import act_once

FIELD = "form_token"  # as `templatetags/once.py` calls it, which views cannot import
WAITING_S, LOOKING_AGAIN_S = 5.0, 0.1  # for the first arrival to be answered
NOT_COUNTED = ("csrfmiddlewaretoken",)


def forms_act_once(get_response):
    """A middleware. Scripts and phones send no token: what they send is told apart by its ids."""

    def answered(request):
        if request.method != "POST" or not request.user.is_authenticated:
            return get_response(request)
        if request.content_type == "application/json" or not request.POST.get(FIELD):
            return get_response(request)
        if RECKONED_BESIDE in request.environ:  # it was claimed where it came in
            return get_response(request)
        sent, is_first = act_once.claim(
            user=request.user, digest=_digest(request), now=timezone.now()
        )
        if not is_first:
            return _as_before(request, sent) or get_response(request)
        response = get_response(request)
        is_done = response.status_code in (302, 303)
        act_once.note(sent=sent, led_to=response.headers.get("Location", "") if is_done else "")
        return response

    return answered


def _digest(request):
    """What was sent, and where to, in 64 characters; the order of fields counts."""
    digest = hashlib.sha256(repr(request.get_full_path()).encode())
    for name, values in request.POST.lists():
        if name not in NOT_COUNTED:
            digest.update(repr((name, values)).encode())
    for name, files in request.FILES.lists():
        for file in files:
            digest.update(repr((name, file.name)).encode())
            for chunk in file.chunks():
                digest.update(chunk)
            file.seek(0)
    return digest.hexdigest()


def _as_before(request, sent):
    """The answer of the first arrival, waited for where it is under way; None where that did
    nothing.
    """
    end = time.monotonic() + WAITING_S
    while (led_to := act_once.led_to(sent=sent)) == "" and time.monotonic() < end:
        time.sleep(LOOKING_AGAIN_S)
    if led_to is None:
        return None
    if led_to:
        return HttpResponseRedirect(led_to)
    return render(request, "exercises/meanwhile.html", status=409)
