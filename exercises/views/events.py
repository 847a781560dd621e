"""What is noted in the server's log (`serving/event_log.py`) of a request: the one place that emits
it. An address that signs in, deletes, changes roles or gives data away stands in a table here; a
refusal is noted wherever it happens.
"""

from django.contrib.auth import get_user_model

from ..models import CourseClass
from ..serving.event_log import note_event
from ..serving.reckoning import RECKONED_BESIDE
from .signing_in import PENDING

REFUSED = {403: "forbidden", 429: "must_wait"}
# What an account is told of what is not theirs, or is no longer there.
NOT_THEIRS = 404
# What a form behind an address does; noted when it was sent.
ACTS = {
    "sign_in": "sign_in",
    "second_step": "second_step",
    "passkey_take": "second_step",
    "app_new": "second_step_set_up",
    "recovery_codes": "second_step_set_up",
    "passkey_make": "second_step_set_up",
    "sign_out": "sign_out",
    "password_new": "password",
    "account_password": "password",
    "account_email": "email",
    "forgotten": "password_link",
    "session_end": "sessions_ended",
    "sign_out_everywhere": "sessions_ended",
    **dict.fromkeys(
        (
            *("point_delete", "observed_delete", "hazard_delete", "survey_aside", "task_remove"),
            *("site_remove", "course_remove", "class_remove", "waste_bin"),
            *("class_names", "forget_me", "person_out", "person_same", "kit_compass_remove"),
            *("experience_forget", "account_delete", "app_remove"),
            "passkey_remove",
        ),
        "deletion",
    ),
    **dict.fromkeys(("account_export", "site_export"), "export"),
    **dict.fromkeys(
        (
            *("helpers", "invitation", "invitation_withdraw", "role_end"),
            *("organisations", "organisation_join", "site_share", "rotation_helpers"),
            *(f"organisation_{verb}" for verb in ("leave", "code", "lead", "part")),
        ),
        "role",
    ),
}
# What is given away as a file; noted when it was asked for.
EXPORTS = frozenset(
    (
        *("results_csv", "results_xlsx", "attendance_csv", "attendance_xlsx"),
        *("nameless_csv", "counts_csv", "printed", "season_pdf", "emergency_pdf"),
        *(f"points_{form}" for form in ("csv", "xlsx", "gpx", "geojson", "kml")),
    )
)


class NotesEvents:
    """A middleware, outside all that may refuse."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        """Note what came of a request. What is reckoned beside is noted by who asked for it."""
        response = self.get_response(request)
        if RECKONED_BESIDE not in request.environ:
            event = _event(request)
            if event or response.status_code in REFUSED or _is_not_theirs(request, response):
                note_event(
                    event or "refusal",
                    _outcome(request, response),
                    account=_account(request) or _tried(request),
                    course_class=_course_class(request),
                )
        return response

    def process_view(self, request, view, args, kwargs):
        """Who acts, before they may sign out."""
        if _event(request):
            request.acted_as = request.user.pk


def _name(request):
    """The name of the address; empty where there is none."""
    return request.resolver_match.url_name if request.resolver_match else ""


def _event(request):
    """The code of what a request does, None where that is not noted."""
    if request.method == "POST":
        return ACTS.get(_name(request))
    return "export" if request.method == "GET" and _name(request) in EXPORTS else None


def _is_not_theirs(request, response):
    """Whether an account asked for what is none of its own, at an address that there is."""
    return response.status_code == NOT_THEIRS and bool(_name(request) and _account(request))


def _outcome(request, response):
    """What came of it: a form that comes back was not good, unless the answer says by
    `is_done` what it did.
    """
    status = response.status_code
    if _is_not_theirs(request, response):
        return "not_theirs"
    if status in REFUSED:
        return REFUSED[status]
    if status == 503:
        return "later"
    if status >= 400:
        return "failed"
    if request.method == "POST" and not getattr(response, "is_done", status != 200):
        return "not_done"
    if request.method == "GET" and status != 200:
        return "not_done"
    return "done"


def _account(request):
    """The key of who is signed in after the answer, or was before it; None of a stranger."""
    user = getattr(request, "user", None)
    return (user.pk if user is not None else None) or getattr(request, "acted_as", None)


def _tried(request):
    """The key of the account at whose door somebody tried; None where there is no such."""
    if _name(request) in ("second_step", "passkey_take"):
        return request.session.get(PENDING, (None,))[0]
    if _name(request) != "sign_in":
        return None
    typed = request.POST.get("username", "")
    return (
        get_user_model().objects.filter(username=typed).values_list("pk", flat=True).first()
        if typed and "\0" not in typed
        else None
    )


def _course_class(request):
    """The key of the class that an address is about, None where it is about none."""
    match = request.resolver_match
    if match is None:
        return None
    if match.route.startswith("classes/<"):
        return match.kwargs["pk"]
    if match.route.startswith("c/<"):
        codes = CourseClass.objects.filter(code=match.kwargs["code"].upper())
        return codes.values_list("pk", flat=True).first()
    return None
