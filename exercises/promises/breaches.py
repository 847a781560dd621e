"""Find the rows that break a promise, and say so in plain words; nothing is changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.core.management.base import CommandError
from django.db import DatabaseError, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import CheckConstraint, Model

from .promise import APP, Holds
from .table import PROMISES

MOST_SAID = 50  # of one promise: a thousand rows have one cause
ABOUT = "course_class_id", "course_id", "site_id", "name", "code", "number", "task", "version"
TO_DO = (
    "Copy the database first (SQLite: VACUUM INTO). Put each row right where it can be changed at "
    "the desk, else with manage.py shell, then run manage.py check_promises again."
)


class PromisesBroken(CommandError):
    """A database with rows in breach. The message lists them."""


@dataclass(frozen=True)
class Breach:
    """A row that breaks a promise: its table by its name among people, its key, what tells it from
    others, the promise, and what to do.
    """

    table: str
    row: int
    values: dict[str, Any]
    promise: str
    cure: str

    def __str__(self) -> str:
        values = ", ".join(f"{name} {value!r}" for name, value in self.values.items())
        return f"{self.table}, row {self.row} ({values}): {self.promise}. {self.cure}"


def breaches(connection: BaseDatabaseWrapper) -> Iterator[Breach]:
    """All of them, table by table. A promise about a column that the database does not have yet is
    left out: no row can break it.
    """
    for model in apps.get_app_config(APP).get_models():
        for constraint in model._meta.constraints:
            if isinstance(constraint, CheckConstraint):
                yield from _of_constraint(connection, model, constraint)
        for promise in PROMISES:
            if isinstance(promise, Holds) and promise.model == model._meta.model_name:
                yield from _of_promise(connection, model, promise)


def must_be_kept(connection: BaseDatabaseWrapper) -> None:
    """Raises PromisesBroken, which lists the rows in breach."""
    found = [str(breach) for breach in breaches(connection)]
    if found:
        raise PromisesBroken("\n".join([heading(len(found)), *found, TO_DO]))


def heading(number: int) -> str:
    """How many rows are in breach."""
    rows = "1 row breaks" if number == 1 else f"{number} rows break"
    return f"{rows} what the database is to hold:"


def _of_constraint(
    connection: BaseDatabaseWrapper, model: type[Model], constraint: CheckConstraint
) -> Iterator[Breach]:
    """Rows that a check constraint would refuse."""
    needed = constraint._get_check_sql(model, connection.schema_editor())  # of Django 5.2
    columns = [
        field.column for field in model._meta.local_concrete_fields if f'"{field.column}"' in needed
    ]
    cure = f"Needed: {needed}. Put {' and '.join(columns)} right."
    sql = f"NOT ({needed})"
    yield from _rows(connection, model, sql, columns, constraint.name, cure)


def _of_promise(
    connection: BaseDatabaseWrapper, model: type[Model], promise: Holds
) -> Iterator[Breach]:
    """Rows that a trigger would refuse."""
    table = model._meta.db_table
    sql = promise.broken(f'"{table}"', "", connection.vendor)
    yield from _rows(connection, model, sql, promise.columns, promise.name, promise.cure)


def _rows(
    connection: BaseDatabaseWrapper,
    model: type[Model],
    sql: str,
    columns: Iterable[str],
    name: str,
    cure: str,
) -> Iterator[Breach]:
    """Rows of a table of which a condition is true, as breaches of a promise."""
    key, table = model._meta.pk.column, model._meta.db_table
    own = [field.column for field in model._meta.local_concrete_fields]
    shown = list(dict.fromkeys([*(column for column in ABOUT if column in own), *columns]))
    # with their table: SQLite takes the bare name of a column that is not there for a text
    selected = ", ".join(f'"{table}"."{column}"' for column in [key, *shown])
    query = f'SELECT {selected} FROM "{table}" WHERE {sql} ORDER BY 1'
    try:
        with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
            cursor.execute(query)
            found = cursor.fetchmany(MOST_SAID)
    except DatabaseError as error:
        if "no such" in str(error) or "does not exist" in str(error):
            return
        raise
    promise = name.replace("_", " ")
    for row in found:
        values = dict(zip(shown, row[1:], strict=True))
        yield Breach(str(model._meta.verbose_name), row[0], values, promise, cure)
