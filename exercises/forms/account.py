"""Forms of an account: its password, and where a link for a new one is sent."""

from django import forms
from django.contrib.auth import get_user_model
from django.contrib.auth.forms import PasswordChangeForm, PasswordResetForm, SetPasswordForm
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.utils.translation import gettext_lazy as _

NEW_PASSWORD, AGAIN = _("New password"), _("New password, once more")
HOW_TO_CHOOSE = _(
    "Ten characters or more. Three or four words that have nothing to do with each other are easy "
    "to keep in mind."
)


def ask_for_new(fields):
    """Let the two fields of a new password speak as ours do."""
    fields["new_password1"].label, fields["new_password1"].help_text = NEW_PASSWORD, HOW_TO_CHOOSE
    fields["new_password2"].label, fields["new_password2"].help_text = AGAIN, ""


class PasswordForm(PasswordChangeForm):
    """The password that holds now, and a new one."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["old_password"].label = _("Password now")
        ask_for_new(self.fields)


class NewPasswordForm(SetPasswordForm):
    """A new password, for who has a link."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        ask_for_new(self.fields)


class ForgottenForm(PasswordResetForm):
    """Where to send a link: to each account that has this address, which Django looks up with care
    for letters that look alike.
    """

    email = forms.EmailField(
        label=_("E-mail address"),
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )

    def letters(self, address):
        """The letters to send, with links to this server's public address."""
        scheme, _slashes, host = address.partition("://")
        self._letters = []
        self.save(
            domain_override=host,
            use_https=scheme == "https",
            subject_template_name="exercises/account/mail_subject.txt",
            email_template_name="exercises/account/mail.txt",
        )
        return self._letters

    def send_mail(self, subject, body, context, from_email, to_email, html_email_template_name):
        """Django's hook for one letter: it is written here, and sent by who asked for it."""
        title = " ".join(render_to_string(subject, context).split())
        self._letters.append(EmailMessage(title, render_to_string(body, context), to=[to_email]))


def password_field():
    """The password that holds now."""
    return forms.CharField(
        label=_("Password now"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class DeleteForm(forms.Form):
    """Who deletes an account says its password."""

    password = password_field()

    def __init__(self, account, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.account = account

    def clean_password(self):
        """Refuse a wrong one."""
        if not self.account.check_password(self.cleaned_data["password"]):
            raise forms.ValidationError(_("That is not the password."))
        return ""


class EmailForm(forms.ModelForm):
    """Where a link for a new password goes; who changes it says the password."""

    password = password_field()

    class Meta:
        model = get_user_model()
        fields = ["email"]
        labels = {"email": _("E-mail address")}
        help_texts = {"email": _("For a link to a new password, and nothing else.")}

    def clean_password(self):
        """Refuse a wrong one."""
        if not self.instance.check_password(self.cleaned_data["password"]):
            raise forms.ValidationError(_("That is not the password."))
        return ""
