"""Triggers in the SQL of SQLite and of PostgreSQL, made from promises.

A trigger's name ends with a digest of what it says: whether the ones in a database are those of the
program is seen from their names alone.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from .promise import POSTGRESQL, SQLITE, Promise, table_of

PREFIX = "promise_"


@dataclass(frozen=True)
class Trigger:
    """One trigger: its name, its table, and the statements that make it."""

    name: str
    table: str
    statements: tuple[str, ...]


def triggers(promises: Iterable[Promise], vendor: str) -> list[Trigger]:
    """The triggers of promises, each for one event of one of them."""
    return [
        _trigger(promise, event, vendor) for promise in promises for event in promise.looked_at()
    ]


def _trigger(promise: Promise, event: str, vendor: str) -> Trigger:
    """A trigger that refuses what breaks a promise, as a constraint would."""
    table, verb = table_of(promise.model), event.split(maxsplit=1)[0].lower()
    row = "OLD" if verb == "delete" else "NEW"
    condition = promise.broken(row, "OLD", vendor)
    digest = hashlib.sha256(f"{vendor}{event}{condition}".encode()).hexdigest()[:6]
    name = f"{PREFIX}{promise.name}_{verb[0]}_{digest}"
    return Trigger(name, table, RENDER[vendor](name, table, event, row, condition, promise.name))


def _sqlite(
    name: str, table: str, event: str, row: str, condition: str, says: str
) -> tuple[str, ...]:
    return (
        f'CREATE TRIGGER "{name}" BEFORE {event} ON "{table}" FOR EACH ROW\n'
        f"WHEN {condition}\n"
        f"BEGIN SELECT RAISE(ABORT, 'promise broken: {says}'); END",
    )


def _postgresql(
    name: str, table: str, event: str, row: str, condition: str, says: str
) -> tuple[str, ...]:
    return (
        f'CREATE FUNCTION "{name}"() RETURNS trigger LANGUAGE plpgsql AS $promise$\n'
        f"BEGIN\n"
        f"  IF ({condition}) THEN\n"
        f"    RAISE EXCEPTION 'promise broken: {says}' USING ERRCODE = 'check_violation';\n"
        f"  END IF;\n"
        f"  RETURN {row};\n"
        f"END $promise$",
        f'CREATE TRIGGER "{name}" BEFORE {event} ON "{table}" FOR EACH ROW '
        f'EXECUTE FUNCTION "{name}"()',
    )


RENDER: dict[str, Callable[..., tuple[str, ...]]] = {SQLITE: _sqlite, POSTGRESQL: _postgresql}
# the names of the triggers that a database has, and how one goes
STANDING = {
    SQLITE: "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE %s",
    POSTGRESQL: "SELECT t.tgname, c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
    "WHERE pg_table_is_visible(c.oid) AND t.tgname LIKE %s",
}
DROP = {
    SQLITE: ('DROP TRIGGER "{name}"',),
    POSTGRESQL: ('DROP TRIGGER "{name}" ON "{table}"', 'DROP FUNCTION "{name}"()'),
}
