"""What lies in the data folder is for its owner's eyes: the database with everybody's names, the
key that signs sessions, the keys of certificates.

What this program makes there it makes so; what lies there from before is put right whenever the
database is migrated, as `serve` and `demo` do each time they start. Files that are not ours are
left as they are: somebody may have chosen a folder that holds more.
"""

import os
import sys
from pathlib import Path

from django.conf import settings
from django.db import connections
from django.db.models.signals import pre_migrate

FOLDER, FILE = 0o700, 0o600
BESIDE = "", "-wal", "-shm", "-journal"  # SQLite's own files beside a database


def ours(data, database):
    """What of ours is there in a data folder, and the files of a database, as (path, mode) pairs;
    `database` is None where it is no file.
    """
    found = [(data, FOLDER), (data / "secret_key", FILE), (data / "https", FOLDER)]
    found += [(path, FILE) for path in sorted((data / "https").glob("*.*"))]
    if database:
        found += [(Path(f"{database}{ending}"), FILE) for ending in BESIDE]
    return [(path, mode) for path, mode in found if path.exists()]


def tighten(data, database):
    """Let nobody but their owner read them; returns those that belong to somebody else, which stay
    as they are.
    """
    others = []
    for path, mode in ours(data, database):
        try:
            if path.stat().st_mode & 0o777 & ~mode:
                path.chmod(mode)
        except PermissionError:
            others.append(path)
    return others


def before_migrating(*, using, **kwargs):
    """Put the files of our settings right, and say of which it could not be done."""
    if os.name != "posix":  # elsewhere a file's mode says nothing of who may read it
        return
    connection = connections[using]
    is_file = connection.vendor == "sqlite" and not connection.is_in_memory_db()
    database = connection.settings_dict["NAME"] if is_file else None
    for path in tighten(settings.DATA_DIR, database):
        sys.stderr.write(
            f"{path} can be read by others and is not yours to change. Let its owner run: "
            f"chmod go= {path}\n"
        )


def connect(config):
    """Let every `migrate` do so."""
    pre_migrate.connect(before_migrating, sender=config, dispatch_uid="private_files")
