"""manage.py backup: one file with everything, while the server serves."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from exercises.keeping import routine
from exercises.keeping.trouble import BackupTrouble

from ._passphrase import add_passphrase, passphrase_of


class Command(BaseCommand):
    """Make a backup by hand."""

    help = "Back up the database, the secret key and the certificates, while the server serves."

    def add_arguments(self, parser):
        """Where to, and closed with what."""
        parser.add_argument(
            "--to", type=Path, default=None, help="a folder (NAVCLASS_BACKUPS without it)"
        )
        add_passphrase(parser)

    def handle(self, *args, to, **options):
        """Make it, thin the old ones, and say so."""
        try:
            made = routine.back_up(
                why="by-hand",
                now=timezone.now(),
                folder=to,
                passphrase=passphrase_of(options, twice=True),
            )
        except BackupTrouble as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"Backed up to {made.path}, {made.size} bytes.")
        for name in made.thinned:
            self.stdout.write(f"Thinned: {name}")
