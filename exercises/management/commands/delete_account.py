"""manage.py delete_account: for an instructor who has left or asks for it."""

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from exercises.keeping import routine
from exercises.languages import told
from exercises.usecases import leave
from exercises.usecases.renew_password import NoAccount, account_named


class Command(BaseCommand):
    """Say what goes and what passes on, ask, and do it."""

    help = "Delete an instructor's account. What goes and what passes on is said first."

    def add_arguments(self, parser):
        """Whose."""
        parser.add_argument("name", help="the name that they sign in with")
        parser.add_argument("--yes", action="store_true", help="do not ask")

    def handle(self, *args, name, yes, **options):
        """Do it."""
        try:
            account = account_named(name=name)
            self._say(leave.what_becomes(account))
            if not yes and input(f"Type {name} to delete the account for good: ") != name:
                raise CommandError("Nothing was deleted.")
            leave.delete_account(account=account, now=timezone.now())
        except (NoAccount, leave.CannotLeave) as error:
            raise CommandError(told(error)) from error
        self.stdout.write(
            f"The account is deleted. Backups hold it for up to {routine.hold_days()} days more."
        )

    def _say(self, leaving):
        self.stdout.write(
            f"Goes for good: {len(leaving.sites)} sites, {len(leaving.classes)} classes, "
            f"{leaving.people} people, {leaving.readings} readings, {len(leaving.kits)} kits, "
            f"{len(leaving.ending)} organisations."
        )
        for passed in leaving.passed:
            self.stdout.write(
                f"Passes on: {passed.kind} “{passed.row.name}” to {passed.to.username}."
            )
