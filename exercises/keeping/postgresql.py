"""Dumps of a PostgreSQL database that is in use, by PostgreSQL's own pg_dump and pg_restore.

One snapshot serves the count of rows and the dump (`pg_export_snapshot`). Rejected: a dump of our
own, which would have to learn sequences, constraints and types anew with each release.
"""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

import psycopg
from psycopg import sql

from . import shelf
from .manifest import Contents
from .moments import MOMENTS, SESSIONS, as_moment
from .trouble import BackupTrouble

MEMBER = "navclass.dump"
REPLACED = "replaced_"
COPY = re.compile(r'COPY public\."?(\w+)"? \((.*)\) FROM stdin;')


def _parameters(database: dict[str, Any]) -> dict[str, str]:
    named = {"dbname": "NAME", "host": "HOST", "port": "PORT", "user": "USER"}
    given = {name: str(database.get(key) or "") for name, key in named.items()}
    return {name: value for name, value in given.items() if value}


def _connect(database: dict[str, Any], **more: Any) -> psycopg.Connection:
    return psycopg.connect(
        **_parameters(database), password=database.get("PASSWORD") or None, **more
    )


def _run(program: str, *arguments: str, database: dict[str, Any]) -> None:
    """One of PostgreSQL's programs; the password is not on its command line. Raises
    BackupTrouble.
    """
    places = {"host": "PGHOST", "port": "PGPORT", "user": "PGUSER", "dbname": "PGDATABASE"}
    told = {places[name]: value for name, value in _parameters(database).items()}
    if database.get("PASSWORD"):
        told["PGPASSWORD"] = database["PASSWORD"]
    try:
        subprocess.run(
            [program, *arguments],
            env=os.environ | told,
            check=True,
            capture_output=True,
            text=True,
        )
    except FileNotFoundError as error:
        raise BackupTrouble(
            f"{program} is not installed here. Install PostgreSQL's client programs, of the "
            f"server's version or a later one."
        ) from error
    except subprocess.CalledProcessError as error:
        raise BackupTrouble(f"{program} failed: {error.stderr.strip()}") from error


def dump(database: dict[str, Any], path: Path) -> Contents:
    """Write the database to a new file, without sessions."""
    with _connect(database) as connection:
        connection.isolation_level = psycopg.IsolationLevel.REPEATABLE_READ
        connection.read_only = True
        (snapshot,) = connection.execute("SELECT pg_export_snapshot()").fetchone() or ("",)
        found = _contents(connection)
        _run(
            "pg_dump",
            "--format=custom",
            "--no-owner",
            "--no-privileges",
            "--schema=public",
            f"--snapshot={snapshot}",
            *(f"--exclude-table-data=public.{table}" for table in SESSIONS),
            f"--file={path}",
            database=database,
        )
    return found


def _tables(connection: psycopg.Connection) -> list[str]:
    rows = connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")
    return sorted(name for (name,) in rows)


def _contents(connection: psycopg.Connection) -> Contents:
    tables = _tables(connection)
    rows = {
        table: _one(connection, sql.SQL("SELECT count(*) FROM {}").format(sql.Identifier(table)))
        for table in tables
        if table not in SESSIONS
    }
    applied = (
        connection.execute("SELECT app, name FROM django_migrations").fetchall()
        if "django_migrations" in tables
        else []
    )
    columns = set(
        connection.execute(
            "SELECT table_name::text, column_name::text FROM information_schema.columns "
            "WHERE table_schema = 'public'"
        )
    )
    latest = [
        as_moment(
            _one(
                connection,
                sql.SQL("SELECT max({}) FROM {}").format(
                    sql.Identifier(column), sql.Identifier(table)
                ),
            )
        )
        for table, column in MOMENTS
        if (table, column) in columns
    ]
    migrations = tuple(sorted(f"{app}.{name}" for app, name in applied))
    return Contents(rows, migrations, max(filter(None, latest), default=""))


def _one(connection: psycopg.Connection, query: sql.Composed) -> Any:
    row = connection.execute(query).fetchone()
    return row[0] if row else None


def inspect(path: Path) -> Contents:
    """What a dump holds, read as the text that would put it back: each block is decompressed and
    each row counted. `newest` is not told. Raises BackupTrouble.
    """
    text = path.with_suffix(".sql")
    try:
        _run("pg_restore", f"--file={text}", str(path), database={})
        with text.open(encoding="utf-8", newline="\n") as lines:
            return _counted(lines)
    finally:
        text.unlink(missing_ok=True)


def _counted(lines: Iterable[str]) -> Contents:
    rows: dict[str, int] = {}
    migrations, table, columns = [], "", []
    for line in lines:
        if not table:
            if match := COPY.match(line):
                table, columns = match[1], match[2].split(", ")
                rows[table] = 0
        elif line == "\\.\n":
            table = ""
        else:
            rows[table] += 1
            if table == "django_migrations":
                cells = dict(zip(columns, line.split("\t"), strict=True))
                migrations.append(f"{cells['app']}.{cells['name']}")
    return Contents(rows, tuple(sorted(migrations)), "")


def current(database: dict[str, Any]) -> Contents | None:
    """What the database in use holds; None where there is nothing yet."""
    with _connect(database) as connection:
        found = _contents(connection)
    return found if found.rows else None


def put_back(database: dict[str, Any], path: Path, stamp: str) -> str:
    """Let a dump take the place of the tables in use, and say where these are kept: in a schema of
    their own. Where it fails nothing has changed.
    """
    kept = f"{REPLACED}{stamp.lower()}"
    is_empty = current(database) is None
    with _connect(database, autocommit=True) as connection:
        _rename(connection, "public", kept, has_new_public=True)
        try:
            _run(
                "pg_restore",
                "--no-owner",
                "--no-privileges",
                "--schema=public",
                "--single-transaction",
                "--exit-on-error",
                f"--dbname={database['NAME']}",
                str(path),
                database=database,
            )
        except BackupTrouble:
            with connection.transaction():
                connection.execute("DROP SCHEMA public CASCADE")
                _rename(connection, kept, "public", has_new_public=False)
            raise
        if is_empty:
            connection.execute(sql.SQL("DROP SCHEMA {} CASCADE").format(sql.Identifier(kept)))
    return "" if is_empty else f"the schema {kept} of the database"


def _rename(connection: psycopg.Connection, old: str, new: str, *, has_new_public: bool) -> None:
    with connection.transaction():
        connection.execute(
            sql.SQL("ALTER SCHEMA {} RENAME TO {}").format(sql.Identifier(old), sql.Identifier(new))
        )
        if has_new_public:
            connection.execute("CREATE SCHEMA public")


def forget_replaced(database: dict[str, Any], before: datetime) -> None:
    """Drop the schemas that restores put aside before a moment."""
    with _connect(database) as connection:
        rows = connection.execute(
            "SELECT nspname::text FROM pg_namespace WHERE starts_with(nspname, %s)", (REPLACED,)
        ).fetchall()
        for (name,) in rows:
            moment = shelf.stamped(name.removeprefix(REPLACED))
            if moment and moment < before:
                connection.execute(sql.SQL("DROP SCHEMA {} CASCADE").format(sql.Identifier(name)))
