"""A backup takes the place of what is there, which is kept beside it."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from . import engines, shelf
from .manifest import Contents, Manifest
from .opening import opened
from .trouble import BackupTrouble

FAILURES = "exercises_failures"  # guesses at doors, which are nobody's loss


@dataclass(frozen=True)
class Restored:
    """What was put back, and where what it replaced is kept, as words; empty where there was
    nothing.
    """

    manifest: Manifest
    kept: tuple[str, ...]


def restore(
    path: Path,
    *,
    database: dict[str, Any],
    data: Path,
    passphrase: str,
    known_migrations: set[str],
    over_newer: bool,
    now: datetime,
) -> Restored:
    """Verify a backup and put it back. Raises BackupTrouble, before anything is changed: for a
    backup that is not sound, and unless `over_newer`, where the database in use holds what the
    backup does not.
    """
    data.mkdir(parents=True, exist_ok=True)
    stamp = shelf.stamp_of(now)
    with opened(path, passphrase=passphrase, room=data, known_migrations=known_migrations) as found:
        folder, manifest = found
        engine = engines.ENGINES[manifest.engine]
        if engines.name_of(database) != manifest.engine:
            raise BackupTrouble(
                f"This backup is of a database in {manifest.engine}, and the settings name one in "
                f"{engines.name_of(database)}. Set DATABASE_URL to the kind it came from."
            )
        in_use = engine.current(database)
        if in_use and not over_newer and (newer := _newer(in_use, manifest)):
            raise BackupTrouble(
                f"The database in use holds what this backup does not: {newer} "
                f"Restore it all the same with --over-newer; it is kept beside."
            )
        kept = [engine.put_back(database, folder / engine.MEMBER, stamp)]
        for name in sorted(set(manifest.digests) - {engine.MEMBER}):
            kept.append(_put_file(folder / name, data / name, stamp))
        return Restored(manifest, tuple(filter(None, kept)))


def _newer(in_use: Contents, manifest: Manifest) -> str:
    """What the database in use has beyond a backup, as a sentence; empty where there is nothing."""
    if in_use.newest > manifest.newest:
        return (
            f"its last entry is of {in_use.newest}, the backup's of {manifest.newest or 'never'}."
        )
    more = [
        table
        for table, number in sorted(in_use.rows.items())
        if table.startswith("exercises_")
        and table != FAILURES
        and number > manifest.rows.get(table, 0)
    ]
    return f"more rows in {', '.join(more)}." if more else ""


def _put_file(source: Path, target: Path, stamp: str) -> str:
    """A key or certificate in its place, for its owner alone; what differs is kept beside."""
    kept = ""
    if target.exists() and target.read_bytes() != source.read_bytes():
        beside = target.with_name(f"{target.name}.replaced-{stamp}")
        os.replace(target, beside)
        kept = str(beside)
    target.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(source, target)
    target.chmod(0o600)
    return kept
