"""manage.py second_step_off: for who lost app, passkey and recovery codes."""

import logging

from django.core.management.base import BaseCommand, CommandError

from exercises.languages import told
from exercises.usecases import renew_password, second_step

log = logging.getLogger("navclass.doors")


class Command(BaseCommand):
    """Ask an account for no second step any more; its password holds."""

    help = "Let an account sign in with its password alone. Make sure first who asks for it."

    def add_arguments(self, parser):
        """Whose."""
        parser.add_argument("name", help="the name that they sign in with")

    def handle(self, *args, name, **options):
        """Take it off, and note it."""
        try:
            account = renew_password.account_named(name=name)
        except renew_password.NoAccount as error:
            raise CommandError(told(error)) from error
        number = second_step.take_off(account=account)
        log.warning("second step of account %s taken off by the operator: %s", name, number)
        self.stdout.write(f"{name} signs in with the password alone.")
