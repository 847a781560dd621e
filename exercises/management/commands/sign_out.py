"""manage.py sign_out: for an account that somebody else may have got hold of."""

from django.core.management.base import BaseCommand, CommandError

from exercises.languages import told
from exercises.usecases import hold_sessions
from exercises.usecases.renew_password import NoAccount, account_named


class Command(BaseCommand):
    """Sign an account out wherever it is signed in, or all of them."""

    help = "Sign an account out everywhere, or everybody."

    def add_arguments(self, parser):
        """Whose sessions."""
        whose = parser.add_mutually_exclusive_group(required=True)
        whose.add_argument("name", nargs="?", help="the name that they sign in with")
        whose.add_argument("--everybody", action="store_true", help="every account")

    def handle(self, *args, name, everybody, **options):
        """Do it."""
        if everybody:
            hold_sessions.end_everybodys()
            self.stdout.write("Everybody is signed out. Phones of classes go on.")
            return
        try:
            hold_sessions.end_all(user=account_named(name=name))
        except NoAccount as error:
            raise CommandError(told(error)) from error
        self.stdout.write(
            f"{name} is signed out everywhere. The password holds: password_link changes it."
        )
