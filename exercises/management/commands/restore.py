"""manage.py restore: a backup takes the place of what is there."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from exercises.keeping import routine
from exercises.keeping.trouble import BackupTrouble

from ._passphrase import add_passphrase, opening_passphrase


class Command(BaseCommand):
    """Put a backup back."""

    help = "Put a backup back. Stop the server first. What it replaces is kept beside it."

    def add_arguments(self, parser):
        """Which one, and over what."""
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--over-newer",
            action="store_true",
            help="replace a database that holds what the backup does not",
        )
        add_passphrase(parser)

    def handle(self, *args, file, over_newer, **options):
        """Verify it, put it back, and say what to do next."""
        try:
            restored = routine.put_back(
                file,
                passphrase=opening_passphrase(file, options),
                over_newer=over_newer,
                now=timezone.now(),
            )
        except BackupTrouble as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"Restored {file.name}, made {restored.manifest.made_at}.")
        for place in restored.kept:
            self.stdout.write(f"What was there before is kept: {place}")
        self.stdout.write(
            "Next: manage.py migrate (serve does it by itself). Everybody signs in again; phones "
            "of a class go on. Names deleted since this backup was made are back: "
            "manage.py purge_names lets those go whose day is over."
        )
