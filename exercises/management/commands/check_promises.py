"""manage.py check_promises: whether the database holds what it promises."""

from django.core.management.base import BaseCommand
from django.db import connection

from exercises.promises import breaches, enforce


class Command(BaseCommand):
    """List the rows in breach, and what is not in force; change nothing."""

    help = "List rows that break what the database is to hold. Run it before an upgrade."

    def handle(self, *args, **options):
        """Exit code 1 where there is something to mend."""
        breaches.must_be_kept(connection)
        if names := enforce.missing(connection):
            number = len(names)
            self.stdout.write(
                f"Triggers that are not in force: {number}. manage.py migrate puts them in force."
            )
        self.stdout.write("No row breaks a promise.")
