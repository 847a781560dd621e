"""The second step at sign-in: set up and taken away on the account's pages, taken after the
password.
"""

import segno
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import get_user_model, login
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from ..forms.account import DeleteForm
from ..forms.second_step import AppForm, StepForm
from ..languages import phone_catalogue, tell, told
from ..usecases import passkeys, second_step, sign_in
from .account import says_the_password
from .passkey_questions import USE, ask, here_or_none
from .signing_in import PENDING, known, trying_as

SECRET = "second_step_secret"  # in the session, of an app that is being set up
PENDING_S = 600  # within which the second step follows the password


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@login_required
@never_cache
def app_new(request):
    """Show a picture for an app to read; keep it once its code was typed."""
    secret = request.session.setdefault(SECRET, second_step.new_secret())
    form = AppForm(request.user, request.POST or None)
    if says_the_password(request, form):
        try:
            codes = second_step.add_app(
                account=request.user,
                secret=secret,
                name=form.cleaned_data["name"],
                code=form.cleaned_data["code"],
                now=timezone.now(),
            )
        except second_step.WrongCode as error:
            form.add_error("code", told(error))
        else:
            del request.session[SECRET]
            messages.success(request, tell("From now on sign-in asks for a code of this app."))
            return show_codes(request, codes) if codes else redirect("account")
    address = second_step.address_of_secret(account=request.user, secret=secret)
    return render(
        request,
        "exercises/account/app.html",
        {"form": form, "secret": _in_fours(secret), "qr": _picture(address)},
    )


def _in_fours(text):
    """A text in groups of four, which are easier to copy."""
    return " ".join(text[at : at + 4] for at in range(0, len(text), 4))


def _picture(address):
    return mark_safe(
        segno.make_qr(address).svg_inline(
            svgclass="qr", lineclass="qr-dark", omitsize=True, border=4
        )
    )


def show_codes(request, codes):
    """The page that shows recovery codes, the only time."""
    response = render(
        request,
        "exercises/account/recovery_codes.html",
        {"codes": [_in_fours(code) for code in codes], "name": request.user.get_username()},
    )
    response.is_done = True
    return response


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@login_required
@never_cache
def app_remove(request, key):
    """Let an app's codes be asked for no more."""
    app = get_object_or_404(request.user.authenticator_apps, pk=key)
    form = DeleteForm(request.user, request.POST or None)
    if says_the_password(request, form):
        second_step.remove_app(account=request.user, key=key)
        messages.success(request, tell("Its codes are not asked for any more."))
        return redirect("account")
    return render(
        request, "exercises/account/second_step.html", {"form": form, "removes": app.name}
    )


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@login_required
@never_cache
def recovery_codes(request):
    """Ten new recovery codes in place of those from before."""
    if not second_step.is_asked(request.user):
        return redirect("account")
    form = DeleteForm(request.user, request.POST or None)
    if says_the_password(request, form):
        return show_codes(request, second_step.new_recovery_codes(account=request.user))
    return render(request, "exercises/account/second_step.html", {"form": form})


def undone(name):
    """To another page, with nothing done."""
    response = redirect(name)
    response.is_done = False
    return response


def pending(request):
    """Who gave their password just now, and where they were going; None for nobody."""
    key, since, there = request.session.get(PENDING, (None, 0, ""))
    if timezone.now().timestamp() - since > PENDING_S:
        return None
    account = get_user_model().objects.filter(pk=key, is_active=True).first()
    return account and (account, there)


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@never_cache
def take(request):
    """The second step of who gave their password: a code."""
    waiting = pending(request)
    if not waiting:
        return undone("sign_in")
    account, there = waiting
    form = StepForm(request.POST or None, **_kinds(request, account))
    if request.method == "POST" and form.is_valid():
        trying = trying_as(request, account.get_username())
        try:
            second_step.take_step(
                account=account,
                code=form.cleaned_data["code"],
                trying=trying,
                now=timezone.now(),
            )
        except second_step.WrongCode as error:
            form.add_error("code", told(error))
        else:
            return let_in(request, account, there, trying)
    return step_page(request, account, form)


def _kinds(request, account):
    """What a form for a code should know of an account."""
    here, _why = here_or_none(request)
    return {
        "has_app": account.authenticator_apps.exists(),
        "has_passkey": here is not None and passkeys.are_here(account, here),
    }


def step_page(request, account, form=None, trouble=""):
    """The page of the second step: a passkey where there is one of this name, and a code."""
    here, _why = here_or_none(request)
    kinds = _kinds(request, account)
    names = passkeys.names_of_server(account)
    options = None
    if kinds["has_passkey"]:
        options = passkeys.to_use(account=account, question=ask(request, USE), here=here)
    return render(
        request,
        "exercises/desk/sign_in_second.html",
        {
            "form": form or StepForm(**kinds),
            "trouble": trouble,
            "options": options,
            "elsewhere": [] if options else names,
            "catalogue": phone_catalogue(),
        },
    )


def let_in(request, account, there, trying):
    """The second step held: in, and this browser is known from now on."""
    del request.session[PENDING]
    request.session.pop(USE, None)
    sign_in.came_in(trying=trying)
    login(request, account, settings.AUTHENTICATION_BACKENDS[0])
    return known(redirect(there or resolve_url(settings.LOGIN_REDIRECT_URL)), request, account)
