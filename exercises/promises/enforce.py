"""Put the triggers of all promises into a database, and lift them while its tables are altered.

SQLite alters a table by writing it anew: its triggers are lost then, and those of other tables that
ask it stand in the way. So they go before migrations of ours, and come back after them, whichever
those were; on a database that is not migrated as far as the program there are none.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.apps import AppConfig
from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader
from django.db.models.signals import post_migrate, pre_migrate

from .promise import APP
from .render import DROP, PREFIX, STANDING, triggers
from .table import PROMISES


def standing(connection: BaseDatabaseWrapper) -> dict[str, str]:
    """The triggers of ours that a database has: name to table."""
    with connection.cursor() as cursor:
        cursor.execute(STANDING[connection.vendor], [f"{PREFIX}%"])
        return dict(cursor.fetchall())


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """The names of triggers that a database ought to have and has not."""
    there = standing(connection)
    return [one.name for one in triggers(PROMISES, connection.vendor) if one.name not in there]


def put_in_force(connection: BaseDatabaseWrapper) -> None:
    """Let a database have exactly the triggers of the program."""
    there = standing(connection)
    wanted = {one.name: one for one in triggers(PROMISES, connection.vendor)}
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        _drop(cursor, connection.vendor, {n: there[n] for n in there.keys() - wanted.keys()})
        for name in sorted(wanted.keys() - there.keys()):
            for statement in wanted[name].statements:
                cursor.execute(statement)


def lift(connection: BaseDatabaseWrapper) -> None:
    """Take them all out of a database."""
    there = standing(connection)
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        _drop(cursor, connection.vendor, there)


def _drop(cursor: Any, vendor: str, there: dict[str, str]) -> None:
    for name, table in sorted(there.items()):
        for statement in DROP[vendor]:
            cursor.execute(statement.format(name=name, table=table))


@contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """A stretch without them, as for rows that are put back as they were, in any order."""
    lift(connection)
    yield
    put_in_force(connection)


def before_migrating(*, using: str, plan: list[Any], **kwargs: Any) -> None:
    """Lift them where tables of ours are to be altered."""
    if any(migration.app_label == APP for migration, _ in plan):
        lift(connections[using])


def after_migrating(*, using: str, **kwargs: Any) -> None:
    """Put them in force on a database that is as far as the program."""
    connection = connections[using]
    loader = MigrationLoader(connection)
    if all(leaf in loader.applied_migrations for leaf in loader.graph.leaf_nodes(APP)):
        put_in_force(connection)


def connect(config: AppConfig) -> None:
    """Let every `migrate` do so."""
    pre_migrate.connect(before_migrating, sender=config, dispatch_uid="promises_before")
    post_migrate.connect(after_migrating, sender=config, dispatch_uid="promises_after")
