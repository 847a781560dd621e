"""manage.py check_nameless: whether a file keeps to the open format of nameless readings."""

import sys
from pathlib import Path

from django.core.management.base import BaseCommand

from exercises.exchange import tables
from exercises.exchange.nameless import table


class Command(BaseCommand):
    """A file in, what is wrong with it out. Exit status 2 when anything is."""

    help = "Check a table of nameless readings against exercises/exchange/nameless/README.md."
    requires_system_checks = []

    def add_arguments(self, parser):
        """The file."""
        parser.add_argument("file", type=Path)

    def handle(self, *args, file, **options):
        """Check, and say what is wrong, line by line."""
        try:
            with open(file, encoding="utf-8-sig", newline="") as stream:
                found = table.troubles(file.name, stream)
        except (tables.BadTable, OSError) as error:
            found = [str(error)]
        for trouble in found:
            self.stderr.write(trouble)
        if found:
            sys.exit(2)
        self.stdout.write(f"{file}: a sound table of nameless readings.")
