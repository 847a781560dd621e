"""Copies of an SQLite database that is in use.

`VACUUM INTO` writes one consistent state, from whatever process, while others write; a copy of the
file would miss what still stands in the write-ahead log. Unlike SQLite's online backup it leaves
out free pages, in which deleted names may still stand.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from . import shelf
from .manifest import Contents
from .moments import MOMENTS, SESSIONS, as_moment
from .trouble import BackupTrouble

MEMBER = "navclass.sqlite3"
PATIENCE_S = 20  # as the server's own
BESIDE = ("-wal", "-shm")


def _path(database: dict[str, Any]) -> Path:
    return Path(database["NAME"])


@contextmanager
def _opened(path: Path) -> Iterator[sqlite3.Connection]:
    with closing(sqlite3.connect(path, timeout=PATIENCE_S, isolation_level=None)) as connection:
        yield connection


def _tables(connection: sqlite3.Connection) -> list[str]:
    rows = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
    )
    return sorted(name for (name,) in rows)


def dump(database: dict[str, Any], path: Path) -> Contents:
    """Write the database to a new file, without sessions: who puts a backup back signs in again,
    and who finds one is signed in nowhere.
    """
    with _opened(_path(database)) as connection:
        connection.execute("VACUUM INTO ?", (str(path),))
    with _opened(path) as copy:
        copy.execute("PRAGMA secure_delete = ON")
        for table in set(SESSIONS) & set(_tables(copy)):
            copy.execute(f'DELETE FROM "{table}"')
        return _contents(copy)


def _contents(connection: sqlite3.Connection) -> Contents:
    tables = _tables(connection)
    rows = {
        table: connection.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0]
        for table in tables
        if table not in SESSIONS
    }
    applied = (
        [
            f"{app}.{name}"
            for app, name in connection.execute("SELECT app, name FROM django_migrations")
        ]
        if "django_migrations" in tables
        else []
    )
    latest = [
        as_moment(connection.execute(f'SELECT max("{column}") FROM "{table}"').fetchone()[0])
        for table, column in MOMENTS
        if table in tables and column in _columns(connection, table)
    ]
    return Contents(rows, tuple(sorted(applied)), max(filter(None, latest), default=""))


def _columns(connection: sqlite3.Connection, table: str) -> set[str]:
    return {row[1] for row in connection.execute(f'PRAGMA table_info("{table}")')}


def inspect(path: Path) -> Contents:
    """What a dump holds. Raises BackupTrouble where its pages or its references are not sound."""
    try:
        with _opened(path) as copy:
            said = [row[0] for row in copy.execute("PRAGMA integrity_check(5)")]
            if said != ["ok"]:
                raise BackupTrouble(f"The database in this backup is damaged: {said[0]}.")
            if dangling := copy.execute("PRAGMA foreign_key_check").fetchone():
                raise BackupTrouble(
                    f"The database in this backup is damaged: a row of {dangling[0]} refers to "
                    f"one of {dangling[2]} that is missing."
                )
            return _contents(copy)
    except sqlite3.DatabaseError as error:
        raise BackupTrouble(f"The database in this backup cannot be read: {error}.") from error


def current(database: dict[str, Any]) -> Contents | None:
    """What the database in use holds; None where there is none yet."""
    path = _path(database)
    if not path.exists() or not path.stat().st_size:
        return None
    try:
        with _opened(path) as connection:
            found = _contents(connection)
    except sqlite3.OperationalError:
        raise
    except sqlite3.DatabaseError:  # damaged: what it holds can no longer be told
        return Contents({}, (), "")
    return found if found.rows else None


def put_back(database: dict[str, Any], path: Path, stamp: str) -> str:
    """Let a dump take the place of the database in use, and say where that one is kept. Raises
    BackupTrouble while a server is at work on it.
    """
    here = _path(database)
    here.parent.mkdir(parents=True, exist_ok=True)
    kept = ""
    if here.exists():
        _let_go(here)
        replaced = here.with_name(f"{here.name}.replaced-{stamp}")
        for ending in ("", *BESIDE):
            if (part := here.with_name(here.name + ending)).exists():
                os.replace(part, replaced.with_name(replaced.name + ending))
        replaced.chmod(0o600)
        kept = str(replaced)
    os.replace(path, here)
    return kept


def _let_go(here: Path) -> None:
    """Bring what stands in the write-ahead log into the file; only who is alone with it can."""
    try:
        with closing(sqlite3.connect(here, timeout=1, isolation_level=None)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError as error:
        raise BackupTrouble(
            f"The database is in use ({error}). Stop the server, then restore."
        ) from error
    except sqlite3.DatabaseError:  # damaged: it is moved aside as it is, with its log
        return


def forget_replaced(database: dict[str, Any], before: datetime) -> None:
    """Delete what restores put aside before a moment."""
    shelf.forget_replaced(_path(database).parent, before)
