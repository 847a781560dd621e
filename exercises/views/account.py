"""An instructor's own account: its password, and where it is signed in."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout, update_session_auth_hash
from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ..forms.account import DeleteForm, EmailForm, PasswordForm
from ..languages import tell, told
from ..presenting.devices import device_text
from ..presenting.leaving import going_texts, passed_texts
from ..usecases import hold_sessions, leave, second_step, sign_in
from .passkey_questions import here_or_none


@require_safe
@login_required
@never_cache
def account(request):
    """Where the account is signed in, and what can be changed."""
    now = timezone.now()
    sessions = [
        (row, device_text(row.agent), row.session_key == request.session.session_key)
        for row in hold_sessions.of_account(user=request.user, now=now)
    ]
    here, why_no_passkeys = here_or_none(request)
    return render(
        request,
        "exercises/account/account.html",
        {
            "sessions": sessions,
            "now": now,
            "has_mail": settings.MAIL_IS_SET_UP,
            "apps": request.user.authenticator_apps.all(),
            "passkeys": request.user.passkeys.all(),
            "here": here,
            "why_no_passkeys": why_no_passkeys,
            "codes_left": second_step.codes_left(request.user),
        },
    )


def says_the_password(request, form):
    """Whether a form was sent that asks for the password, and all of it is right."""
    if request.method != "POST":
        return False
    sign_in.say_again(account=request.user, now=timezone.now())
    is_right = form.is_valid()
    if is_right:
        sign_in.said_again(account=request.user)
    return is_right


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@login_required
@never_cache
def account_password(request):
    """Change the password; whoever is signed in elsewhere is signed out."""
    form = PasswordForm(request.user, request.POST or None)
    if says_the_password(request, form):
        form.save()
        update_session_auth_hash(request, form.user)
        hold_sessions.end_all(user=request.user, but=request.session.session_key)
        messages.success(
            request, tell("The new password holds. You are signed out everywhere else.")
        )
        return redirect("account")
    return render(request, "exercises/account/password.html", {"form": form})


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@login_required
@never_cache
def account_email(request):
    """Where a link for a new password goes, on a server that sends mail."""
    if not settings.MAIL_IS_SET_UP:
        raise Http404("This server sends no mail.")
    form = EmailForm(request.POST or None, instance=request.user)
    if says_the_password(request, form):
        form.instance.save(update_fields=["email"])
        messages.success(request, tell("The address is kept."))
        return redirect("account")
    return render(request, "exercises/account/email.html", {"form": form})


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@login_required
def account_delete(request):
    """Say what goes and what passes on, then let the account go."""
    form, trouble = DeleteForm(request.user, request.POST or None), ""
    if says_the_password(request, form):
        try:
            leave.delete_account(account=request.user, now=timezone.now())
        except leave.CannotLeave as error:
            trouble = told(error)
        else:
            logout(request)
            messages.success(request, tell("The account is deleted."))
            return redirect("sign_in")
    leaving = leave.what_becomes(request.user)
    return render(
        request,
        "exercises/account/delete.html",
        {
            "form": form,
            "trouble": trouble,
            "going": going_texts(leaving),
            "passed": passed_texts(leaving),
            "open_classes": leaving.open_classes,
        },
    )


@require_POST
@login_required
def session_end(request, name):
    """Sign out in one place."""
    hold_sessions.end_session(user=request.user, name=name)
    return redirect("account")


@require_POST
@login_required
def sign_out_everywhere(request):
    """Sign out in every place, here too."""
    hold_sessions.end_all(user=request.user)
    request.session.flush()
    messages.success(request, tell("You are signed out everywhere."))
    return redirect("sign_in")
