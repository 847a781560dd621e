"""Forms of an account: its password."""

from django.contrib.auth.forms import PasswordChangeForm
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
