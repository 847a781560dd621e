"""manage.py password_link: a link with which an instructor chooses a new password."""

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse

from exercises.languages import told
from exercises.serving import server
from exercises.usecases import renew_password


class Command(BaseCommand):
    """Print a link. No password goes over the command line, where others can read it."""

    help = "Print a link, good once and for a day, with which somebody chooses a new password."

    def add_arguments(self, parser):
        """Whose, and where the server is reached."""
        parser.add_argument("name", help="the name that they sign in with")
        parser.add_argument("--new", action="store_true", help="make the account first")
        parser.add_argument(
            "--address",
            default=server.public_address(settings.HOTSPOT, settings.ALLOWED_HOSTS),
            help="how the server is reached (%(default)s without it)",
        )

    def handle(self, *args, name, new, address, **options):
        """Print it."""
        account_of = renew_password.new_account if new else renew_password.account_named
        try:
            account = account_of(name=name)
        except renew_password.NoAccount as error:
            raise CommandError(told(error)) from error
        path = reverse("password_new", args=renew_password.link_parts(account=account))
        self.stdout.write(f"{address.rstrip('/')}{path}\n")
        self.stderr.write(f"For {name} alone: give it to nobody else. It works once, within a day.")
