"""manage.py migrate: Django's own, with a backup before it changes anything."""

from django.core.management.base import CommandError
from django.core.management.commands.migrate import Command as Migrate
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from exercises.keeping import routine
from exercises.keeping.trouble import BackupTrouble


class Command(Migrate):
    """A migration is taken back by restoring the backup that was made before it."""

    def add_arguments(self, parser):
        """As Django's, and a way round the backup."""
        super().add_arguments(parser)
        parser.add_argument(
            "--no-backup", action="store_true", help="migrate without a backup before it"
        )

    def handle(self, *args, **options):
        """Back up where there is something to lose, then migrate."""
        only_asks = options["plan"] or options["check_unapplied"] or options["fake"]
        if not (only_asks or options["no_backup"]) and self._changes_something(options):
            self._back_up()
        return super().handle(*args, **options)

    def _changes_something(self, options):
        """Whether a database that is in use will be another one after it."""
        if options["database"] != DEFAULT_DB_ALIAS:
            return False
        executor = MigrationExecutor(connections[DEFAULT_DB_ALIAS])
        if not executor.loader.applied_migrations:
            return False
        if options["app_label"]:
            return True  # some way forward or back: which, Django works out
        return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))

    def _back_up(self):
        try:
            made, trouble = routine.before_migration(now=timezone.now())
        except BackupTrouble as error:
            raise CommandError(
                f"Nothing was migrated, for there is no backup: {error} "
                f"Migrate without one: manage.py migrate --no-backup"
            ) from error
        if trouble:
            self.stderr.write(f"{trouble} The backup lies in the data folder instead.")
        self.stdout.write(f"Backed up to {made.path} before the migration.")
