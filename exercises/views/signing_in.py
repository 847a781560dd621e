"""The instructors' door: signing in, and a link for a new password."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.views import LoginView, PasswordResetConfirmView
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from ..forms.account import ForgottenForm, NewPasswordForm
from ..languages import tell
from ..serving import mail, server
from ..usecases import hold_sessions


class SignIn(LoginView):
    """Name and password."""

    template_name = "exercises/desk/sign_in.html"

    def get_context_data(self, **more):
        """Whether a link for a new password can be sent."""
        return {**super().get_context_data(**more), "has_mail": settings.MAIL_IS_SET_UP}


@require_http_methods(["GET", "POST"])
@never_cache
def forgotten(request):
    """Send a link for a new password. Whether an account has the address is told to nobody."""
    if not settings.MAIL_IS_SET_UP:
        return render(request, "exercises/account/forgotten.html")
    form = ForgottenForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
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
        messages.success(self.request, tell("The new password holds. Sign in with it."))
        return answer
