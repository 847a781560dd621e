"""Backups as the settings want them: by hand, each day, before a migration."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import psycopg
from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.migrations.loader import MigrationLoader

from ..serving import shell
from . import engines, making, restoring, shelf
from .manifest import Manifest
from .opening import opened
from .trouble import BackupTrouble

DUE_AFTER = timedelta(hours=20)  # a laptop that is started each morning makes one each morning


@dataclass(frozen=True)
class Made:
    """A backup that was made, and the names of old ones that went."""

    path: Path
    size: int
    thinned: tuple[str, ...]


def database() -> dict:
    """The settings of the database in use: of a test's own while it runs."""
    return connections[DEFAULT_DB_ALIAS].settings_dict


def own_folder() -> Path:
    """Where backups go that have no other place: in the data folder, made at first use."""
    folder = settings.DATA_DIR / "backups"
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder


def usual_folder() -> Path:
    """Where backups go. A folder of the settings is not made: it may be on a stick that is out."""
    return settings.BACKUPS or own_folder()


def usual_passphrase() -> str:
    """The passphrase that the settings name, or none."""
    return read_passphrase(settings.BACKUP_PASSPHRASE_FILE)


def read_passphrase(path: str) -> str:
    """The first line of a file; none without a path. Raises BackupTrouble."""
    if not path:
        return ""
    try:
        lines = Path(path).read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise BackupTrouble(f"The passphrase cannot be read from {path}: {error}.") from error
    if not lines or not lines[0].strip():
        raise BackupTrouble(f"The first line of {path} is empty: write the passphrase there.")
    return lines[0].strip()


def back_up(*, why: str, now: datetime, passphrase: str, folder: Path | None = None) -> Made:
    """Make a backup and let old ones go where backups usually are. Raises BackupTrouble."""
    path = making.make(
        database=database(),
        data=settings.DATA_DIR,
        folder=folder or usual_folder(),
        passphrase=passphrase,
        why=why,
        program=shell.version(),
        now=now,
    )
    try:
        return Made(path, path.stat().st_size, tuple(thin(now=now)))
    except (OSError, sqlite3.Error, psycopg.Error) as error:
        raise BackupTrouble(
            f"{path} was made, but old backups could not be let go: {error}"
        ) from error


def thin(*, now: datetime) -> list[str]:
    """Let old backups go, and what restores replaced."""
    gone: list[str] = []
    for folder in {usual_folder(), own_folder()}:
        if folder.is_dir():
            gone += making.thin(folder, now=now, weeks=settings.BACKUP_WEEKS)
    before = now - timedelta(days=hold_days())
    engines.ENGINES[engines.name_of(database())].forget_replaced(database(), before)
    for place in (settings.DATA_DIR, settings.DATA_DIR / "https"):
        shelf.forget_replaced(place, before)
    return sorted(gone)


def hold_days() -> int:
    """For how many days a backup may hold what was deleted."""
    return shelf.hold_days(settings.BACKUP_WEEKS)


def each_day(*, now: datetime) -> Made | None:
    """The day's backup, if it was not made yet. Raises BackupTrouble."""
    try:
        last = shelf.newest(usual_folder())
    except OSError:  # as of a stick that was pulled: what is wrong with it is said by what follows
        last = None
    if last and timedelta(0) <= now - last < DUE_AFTER:
        return None
    return back_up(why="daily", now=now, passphrase=usual_passphrase())


def before_migration(*, now: datetime) -> tuple[Made, str]:
    """A backup of the database as it still is, and what was in the way of its usual place; there it
    goes into the data folder. Raises BackupTrouble.
    """
    trouble = ""
    if not usual_folder().is_dir():
        trouble = f"The folder {usual_folder()} is not there: is the stick in?"
    folder = own_folder() if trouble else usual_folder()
    return back_up(why="migration", now=now, passphrase=usual_passphrase(), folder=folder), trouble


def known_migrations() -> set[str]:
    """The migrations of this version."""
    loader = MigrationLoader(None)
    replaced = {key for one in loader.replacements.values() for key in one.replaces}
    return {f"{app}.{name}" for app, name in {*loader.disk_migrations, *replaced}}


def verify(path: Path, *, passphrase: str) -> Manifest:
    """What a sound backup says of itself. Raises BackupTrouble."""
    settings.DATA_DIR.mkdir(parents=True, exist_ok=True)
    with opened(
        path,
        passphrase=passphrase,
        room=settings.DATA_DIR,
        known_migrations=known_migrations(),
    ) as (_, manifest):
        return manifest


def put_back(path: Path, *, passphrase: str, over_newer: bool, now: datetime) -> restoring.Restored:
    """A backup takes the place of the database in use. Raises BackupTrouble."""
    connections.close_all()
    return restoring.restore(
        path,
        database=database(),
        data=settings.DATA_DIR,
        passphrase=passphrase,
        known_migrations=known_migrations(),
        over_newer=over_newer,
        now=now,
    )
