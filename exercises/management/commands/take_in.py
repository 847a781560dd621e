"""manage.py take_in: take in what hand_on or the desk wrote."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from exercises.exchange.whole import archive
from exercises.languages import told
from exercises.usecases.handing_on import take
from exercises.usecases.renew_password import NoAccount, account_named


class Command(BaseCommand):
    """Take an export in, whole or not at all."""

    help = "Take a file of hand_on in for an instructor. Taken in twice, nothing is doubled."

    def add_arguments(self, parser):
        """For whom, and what."""
        parser.add_argument("name", help="the name that the instructor signs in with")
        parser.add_argument("file", type=Path)

    def handle(self, *args, name, file, **options):
        """Take it in, and say how much came."""
        try:
            owner = account_named(name=name)
            if file.stat().st_size > archive.LARGEST_FILE:
                raise CommandError(f"{file} is too large to be an export.")
            with file.open("rb") as stream:
                taken = take.take(document=archive.read(stream), owner=owner)
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error}") from error
        except (NoAccount, archive.NotExport) as error:
            raise CommandError(told(error)) from error
        self.stdout.write(
            f"Took in {sum(taken.new.values())} rows; {taken.here} were here already."
        )
