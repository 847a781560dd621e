"""manage.py verify: whether a backup is sound."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from exercises.keeping import routine
from exercises.keeping.trouble import BackupTrouble

from ._passphrase import add_passphrase, opening_passphrase


class Command(BaseCommand):
    """Open a backup and look at all of it."""

    help = "Check a backup: digests, the database's own check, rows, whether this version reads it."

    def add_arguments(self, parser):
        """Which one."""
        parser.add_argument("file", type=Path)
        add_passphrase(parser)

    def handle(self, *args, file, **options):
        """Check it, and say what it holds."""
        try:
            manifest = routine.verify(file, passphrase=opening_passphrase(file, options))
        except BackupTrouble as error:
            raise CommandError(str(error)) from error
        rows = manifest.rows
        self.stdout.write(
            f"{file.name} is sound: made {manifest.made_at}, {manifest.engine}, "
            f"{sum(rows.values())} rows in {len(rows)} tables, "
            f"{rows.get('exercises_reading', 0)} readings."
        )
