"""A table for what is remembered for a moment, so that several processes remember the same."""

from django.core.management import call_command
from django.db import migrations

TABLE = "exercises_cache"


def create(apps, schema_editor):
    """Django's own table for that; one that is there stays."""
    call_command("createcachetable", TABLE, database=schema_editor.connection.alias, verbosity=0)


def drop(apps, schema_editor):
    """What is remembered for a moment is no loss."""
    schema_editor.execute(f"DROP TABLE {TABLE}")


class Migration(migrations.Migration):
    """Outside the models, for Django's cache has none."""

    dependencies = [("exercises", "0030_numbers_outside")]
    operations = [migrations.RunPython(create, drop)]
