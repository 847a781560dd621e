import pytest
from django.db import connection

from exercises.keeping import routine


@pytest.fixture
def data(settings, tmp_path):
    """A data folder of the test's own, with a secret key, and backups in it."""
    settings.DATA_DIR = tmp_path / "data"
    settings.DATA_DIR.mkdir()
    (settings.DATA_DIR / "secret_key").write_text("the key of this laptop")
    settings.BACKUPS, settings.BACKUP_PASSPHRASE_FILE, settings.BACKUP_WEEKS = None, "", 8
    return settings.DATA_DIR


@pytest.fixture
def elsewhere(transactional_db, tmp_path):
    """The settings of an empty database of the same kind as the one in use."""
    here = dict(routine.database())
    if connection.vendor == "sqlite":
        yield {**here, "NAME": str(tmp_path / "elsewhere" / "navclass.sqlite3")}
        return
    name = f"{here['NAME']}_elsewhere"
    with connection.cursor() as cursor:
        cursor.execute(f'DROP DATABASE IF EXISTS "{name}"')
        cursor.execute(f'CREATE DATABASE "{name}"')
    yield {**here, "NAME": name}
    with connection.cursor() as cursor:
        cursor.execute(f'DROP DATABASE "{name}"')
