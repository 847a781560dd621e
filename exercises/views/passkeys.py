"""Passkeys: made and taken away on the account's pages, used after the password at sign-in."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from ..forms.account import DeleteForm
from ..forms.second_step import AnswerForm, PasskeyForm
from ..languages import phone_catalogue, tell, told
from ..usecases import passkeys
from .account import says_the_password
from .passkey_questions import MAKE, USE, ask, asked, here_or_none
from .second_step import let_in, pending, show_codes, step_page, undone
from .signing_in import trying_as

NAMED = "passkey_named"  # in the session: what a new passkey is called, its handle, since when
NAMED_S = 600  # within which it follows the password


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@login_required
@never_cache
def passkey_new(request):
    """Ask what a passkey is to be called, and the password."""
    here, why_not = here_or_none(request)
    form = PasskeyForm(request.user, request.POST or None)
    if here and says_the_password(request, form):
        handle = passkeys.handle_of(request.user)
        now = timezone.now().timestamp()
        request.session[NAMED] = [form.cleaned_data["name"], handle, now]
        return redirect("passkey_make")
    return render(request, "exercises/account/passkey.html", {"form": form, "why_not": why_not})


def _named(request):
    """The name and handle of a passkey for which the password was said; None for none."""
    name, handle, since = request.session.get(NAMED, ("", "", 0))
    is_old = timezone.now().timestamp() - since > NAMED_S
    return None if is_old else (name, handle)


@require_http_methods(["GET", "POST"])
@login_required
@never_cache
def passkey_make(request):
    """Let the browser make it; keep its public half."""
    named, (here, _why_not) = _named(request), here_or_none(request)
    if not named or not here:
        if request.method == "POST":
            messages.error(request, tell("That took too long. Type the password once more."))
        return undone("passkey_new")
    name, handle = named
    trouble = ""
    if request.method == "POST":
        try:
            codes = passkeys.add(
                account=request.user,
                name=name,
                handle=handle,
                answer=_answer(request),
                question=asked(request, MAKE),
                here=here,
                now=timezone.now(),
            )
        except passkeys.NotAccepted as error:
            trouble = told(error)
        else:
            del request.session[NAMED]
            messages.success(request, tell("From now on sign-in asks for this passkey."))
            return show_codes(request, codes) if codes else redirect("account")
    options = passkeys.to_create(
        account=request.user, handle=handle, question=ask(request, MAKE), here=here
    )
    return render(
        request,
        "exercises/account/passkey_make.html",
        {"name": name, "trouble": trouble, "options": options, "catalogue": phone_catalogue()},
    )


def _answer(request):
    """What the browser said. Raises NotAccepted for nothing, and for too much."""
    form = AnswerForm(request.POST)
    if not form.is_valid():
        raise passkeys.NotAccepted(" ".join(form.errors.get("answer", ())))
    return form.cleaned_data["answer"]


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@login_required
@never_cache
def passkey_remove(request, key):
    """Take a passkey no more."""
    passkey = get_object_or_404(request.user.passkeys, pk=key)
    form = DeleteForm(request.user, request.POST or None)
    if says_the_password(request, form):
        passkeys.remove(account=request.user, key=key)
        messages.success(request, tell("It is not asked for any more."))
        return redirect("account")
    return render(
        request,
        "exercises/account/second_step.html",
        {"form": form, "removes": passkey.name, "is_passkey": True},
    )


@require_POST
@never_cache
def take(request):
    """The second step of who gave their password: a passkey."""
    waiting, (here, _why_not) = pending(request), here_or_none(request)
    if not waiting or not here:
        return undone("second_step" if waiting else "sign_in")
    account, there = waiting
    trying = trying_as(request, account.get_username())
    try:
        passkeys.take(
            account=account,
            answer=_answer(request),
            question=asked(request, USE),
            here=here,
            trying=trying,
            now=timezone.now(),
        )
    except passkeys.NotAccepted as error:
        return step_page(request, account, trouble=told(error))
    return let_in(request, account, there, trying)
