"""Pages that take long are reckoned in processes beside (`serving/reckoning.py`), where there are
any: a page that is not ready soon says so and comes by itself.
"""

import hashlib
import secrets

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render

from ..serving.reckoning import LONGEST_S, Full, Job, NotReckoned
from ..serving.turns import BESIDE

# The names of addresses behind which something is diagnosed, proposed, checked or printed.
PAGES = frozenset(
    (
        "class_opening",
        "counts_csv",
        "course",
        "debrief",
        "debrief_alone",
        "experience",
        "ground",
        "live",
        "nameless_csv",
        "over_time",
        "person_sheet",
        "person_sheets",
        "printed",
        "propose",
        "results_csv",
        "results_xlsx",
        "retest",
        "rotation",
        "season",
        "season_pdf",
    )
)
# Parts of a page that it fetches by itself: such a one cannot come later, so it is waited for.
PARTS = frozenset(("class_arrivals", "live_parts"))
# Buttons: what they change is changed once, so it is waited for as well.
BUTTONS = frozenset(("class_close", "proposal_take"))
HELPS = "navclass_helps_", "__Host-navclass_helps_"
WAITED_S, COMES_AGAIN_S = 3, 2  # a page that is ready soon is simply there
COOKIE = "navclass_reckoned"
LARGEST_FORM = 100_000  # bytes, which a queue that nobody has looked at yet can hold
FORM = "application/x-www-form-urlencoded"


class ReckonedBeside:
    """A middleware, the last of all: those before it have found out who asks, and whether a form
    may be believed.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        """Go on."""
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        """The answer from beside, or None where the page is reckoned here: it is quick, who asks
        will be sent away, there is no pool or no room in it for a button.
        """
        beside = request.environ.get(BESIDE)
        if beside is None or not _takes_long(request) or not _is_somebody(request):
            return None
        is_page = request.resolver_match.url_name in PAGES
        token = request.COOKIES.get(COOKIE, "") if is_page else ""
        token = token or secrets.token_urlsafe(16)
        try:
            answer = _asked(beside, request, token, WAITED_S if is_page else LONGEST_S)
        except Full:
            return None if request.method == "POST" else _later(request, token)
        except NotReckoned:
            return _wait_page(request, {"is_not_reckoned": True})
        return _as_response(request, answer) if answer else _later(request, token)


def _takes_long(request):
    name = request.resolver_match.url_name
    if request.method == "GET":
        return name in PAGES | PARTS
    return (
        request.method == "POST"
        and name in BUTTONS
        and request.content_type == FORM
        and len(request.body) <= LARGEST_FORM
    )


def _is_somebody(request):
    """Strangers are sent away at once, so that they fill no queue."""
    return request.user.is_authenticated or any(name.startswith(HELPS) for name in request.COOKIES)


def _asked(beside, request, token, patience_s):
    """The answer, None while it is reckoned. Its name is made of who asks too: a token that
    somebody else came by opens nothing.
    """
    who = request.COOKIES.get(settings.SESSION_COOKIE_NAME, "")
    named = "\0".join((token, who, request.get_full_path()))
    job = Job.of(
        hashlib.sha256(named.encode()).hexdigest(),
        request.environ,
        request.body if request.method == "POST" else b"",
    )
    with beside.waiting() as has_place:
        if not has_place:
            raise Full
        return beside.pool.ask(job, patience_s)


def _as_response(request, answer):
    """An answer as Django sends it; it has been through all that others go through."""
    response = HttpResponse(answer.body, status=answer.status)
    for name, text in answer.headers:
        if name.lower() == "set-cookie":
            response.cookies.load(text)
        else:
            response.headers[name] = text
    if COOKIE in request.COOKIES:
        response.delete_cookie(COOKIE, path=request.path)
    return response


def _later(request, token):
    """The page that says so and comes again; who asks by it is known by a cookie of this address
    alone.
    """
    response = _wait_page(request, {"is_reckoned": True})
    response.headers["Retry-After"] = response.headers["Refresh"] = str(COMES_AGAIN_S)
    response.set_cookie(
        COOKIE,
        token,
        max_age=60,
        path=request.path,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )
    return response


def _wait_page(request, told):
    response = render(request, "exercises/wait.html", told, status=503)
    response.headers["Cache-Control"] = "no-store"
    return response
