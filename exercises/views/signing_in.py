"""The instructors' door: signing in, and a link for a new password."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.views import LoginView, PasswordResetConfirmView
from django.shortcuts import redirect, render
from django.urls import reverse, reverse_lazy
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from ..forms.account import ForgottenForm, NewPasswordForm
from ..languages import tell, told
from ..serving import mail, server
from ..serving.hashing import TRY_AGAIN_S, Busy
from ..usecases import guard_door, hold_sessions, second_step, sign_in
from ..usecases.guard_door import Shut
from .address import address_of

PENDING = "second_step_pending"  # in the session: who gave their password, when, going where
# A cookie that tells a browser in which an account has signed in before. It goes to the sign-in
# alone, which the name `__Host-` would forbid.
KNOWN = f"{'' if settings.HOTSPOT else '__Secure-'}navclass_known"


class SignIn(LoginView):
    """Name and password, which are looked at when their doors allow it."""

    template_name = "exercises/desk/sign_in.html"

    def post(self, request, *args, **kwargs):
        """Knock first: a try is counted before its password is hashed."""
        try:
            sign_in.knock(
                trying=self._trying(),
                password=request.POST.get("password", ""),
                now=timezone.now(),
            )
            return super().post(request, *args, **kwargs)
        except sign_in.DemonstrationsPassword as error:
            return self._not_now(told(error), 403)
        except Shut as error:
            return self._not_now(told(error), 429, error.seconds)
        except Busy:
            for door, _patience in self._trying().doors():
                guard_door.take_back(door=door)
            return self._not_now(
                tell("Another password is being looked at. Try again in a few seconds."),
                503,
                TRY_AGAIN_S,
            )

    def form_valid(self, form):
        """In, or on to the second step; in, this browser is known from now on."""
        if second_step.is_asked(form.get_user()):
            return _ask_second_step(self.request, form.get_user(), self.get_redirect_url())
        sign_in.came_in(trying=self._trying())
        return known(super().form_valid(form), self.request, form.get_user())

    def _trying(self):
        """Who tries."""
        return trying_as(self.request, self.request.POST.get("username", ""))

    def _not_now(self, sentence, status, seconds=None):
        """The page again, with the name as it was typed."""
        form = self.form_class(initial={"username": self.request.POST.get("username", "")})
        return self.render_to_response(
            self.get_context_data(form=form, trouble=sentence),
            status=status,
            headers={"Retry-After": str(seconds)} if seconds else {},
        )

    def get_context_data(self, **more):
        """Whether a link for a new password can be sent."""
        return {**super().get_context_data(**more), "has_mail": settings.MAIL_IS_SET_UP}


def _ask_second_step(request, account, there):
    """After the password: ask for the second step, in a session of its own, and go on `there`."""
    request.session.cycle_key()
    request.session[PENDING] = [account.pk, timezone.now().timestamp(), there]
    return redirect("second_step")


@require_http_methods(["GET", "POST"])
@never_cache
def forgotten(request):
    """Send a link for a new password. Whether an account has the address is told to nobody."""
    if not settings.MAIL_IS_SET_UP:
        return render(request, "exercises/account/forgotten.html")
    form = ForgottenForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        sign_in.ask_for_letter(
            email=form.cleaned_data["email"], address=address_of(request), now=timezone.now()
        )
        address = server.public_address(settings.HOTSPOT, settings.ALLOWED_HOSTS)
        mail.send_beside(form.letters(address))
        messages.success(
            request,
            tell(
                "If an account has this address, a link is on its way. It may take some minutes; "
                "look among unwanted mail too."
            ),
        )
        return redirect("sign_in")
    return render(request, "exercises/account/forgotten.html", {"form": form})


class NewPassword(PasswordResetConfirmView):
    """Choose a new password by a link. Django takes the secret out of the address at once."""

    form_class = NewPasswordForm
    template_name = "exercises/account/new_password.html"
    success_url = reverse_lazy("sign_in")

    def form_valid(self, form):
        """Nobody stays signed in who knew the old one."""
        answer = super().form_valid(form)
        hold_sessions.end_all(user=self.user)
        sign_in.let_in_by_link(name=self.user.get_username())
        messages.success(self.request, tell("The new password holds. Sign in with it."))
        return known(answer, self.request, self.user)


def trying_as(request, name):
    """Who tries to sign in as somebody."""
    return sign_in.Trying(name, address_of(request), request.COOKIES.get(KNOWN, ""))


def known(response, request, account):
    """Let this browser be known as one in which an account has signed in."""
    token = sign_in.token_for(name=account.get_username(), token=request.COOKIES.get(KNOWN, ""))
    response.set_cookie(
        KNOWN,
        token,
        max_age=sign_in.KNOWN_DAYS * 86_400,
        path=reverse("sign_in"),
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )
    return response
