"""manage.py hand_on: all that an instructor has, or one site, as one file."""

import os
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from exercises.exchange.whole import archive
from exercises.languages import told
from exercises.usecases.handing_on import give
from exercises.usecases.renew_password import NoAccount, account_named


class Command(BaseCommand):
    """Write an export."""

    help = "Write all that an instructor has, or one site, into a file that take_in reads."

    def add_arguments(self, parser):
        """Whose, what, and where to."""
        parser.add_argument("name", help="the name that the instructor signs in with")
        parser.add_argument("file", type=Path)
        parser.add_argument("--site", help="the name of one of their sites")
        parser.add_argument("--without-names", action="store_true")

    def handle(self, *args, name, file, site, without_names, **options):
        """Write it, for its owner alone; a file that is there is not overwritten."""
        try:
            owner = account_named(name=name)
        except NoAccount as error:
            raise CommandError(told(error)) from error
        chosen = owner.sites.kept().filter(name=site).first() if site else None
        if site and chosen is None:
            raise CommandError(f"{name} has no site “{site}”.")
        document = give.document(
            owner=owner, site=chosen, with_names=not without_names, now=timezone.now()
        )
        try:
            descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(descriptor, "wb") as target:
                target.write(archive.written(document))
        except OSError as error:
            raise CommandError(f"{file} cannot be written: {error}") from error
        number = sum(map(len, document["rows"].values()))
        self.stdout.write(f"Wrote {number} rows to {file}.")
