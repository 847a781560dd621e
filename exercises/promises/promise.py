"""What a promise is that a trigger holds: over several tables, or over a row and how it was before.

The SQL of a promise is what SQLite and PostgreSQL have in common, with a few words in braces:
`{row}` is the row as it is to be, `{old}` as it was, `{differs}` the comparison that knows NULL.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.apps import apps

APP = "exercises"
SQLITE, POSTGRESQL = "sqlite", "postgresql"
ALWAYS = "always"  # of a column that may change
DIFFERS = {SQLITE: "IS NOT", POSTGRESQL: "IS DISTINCT FROM"}


def table_of(model: str) -> str:
    """The table of one of our models."""
    return str(apps.get_model(APP, model)._meta.db_table)


def columns_of(model: str) -> list[str]:
    """The columns of one of our models but its key, in order."""
    fields = apps.get_model(APP, model)._meta.local_concrete_fields
    return [one.column for one in fields if not one.primary_key]


def _sql(template: str, row: str, old: str, vendor: str) -> str:
    return template.format(row=row, old=old, differs=DIFFERS[vendor])


@dataclass(frozen=True)
class Promise:
    """What holds of a row of `model`; `is_broken` is the condition under which it does not. The
    promises of its kinds differ in when a row is looked at.
    """

    name: str  # reads as a sentence
    model: str
    is_broken: str | Mapping[str, str] = ""  # by vendor where the two differ
    cure: str = ""  # what to do with a row that breaks it
    events: tuple[str, ...] = ()

    def looked_at(self) -> tuple[str, ...]:
        """The events at which a trigger looks at it."""
        return self.events

    def broken(self, row: str, old: str, vendor: str) -> str:
        """The condition in the words of a vendor."""
        plain = self.is_broken if isinstance(self.is_broken, str) else self.is_broken[vendor]
        return _sql(plain, row, old, vendor)


@dataclass(frozen=True)
class Holds(Promise):
    """Of every row at any time: when it is written first, and whenever one of `columns` is."""

    columns: tuple[str, ...] = ()

    def looked_at(self) -> tuple[str, ...]:
        """Insertion, and changes of its columns."""
        return ("INSERT", f"UPDATE OF {', '.join(_quoted(self.columns))}")


@dataclass(frozen=True)
class Begins(Promise):
    """Of a row when it is written first: what it rests on may change later."""

    events: tuple[str, ...] = ("INSERT",)


@dataclass(frozen=True)
class Stays(Promise):
    """Of a row that is there: how it may change."""

    events: tuple[str, ...] = ("UPDATE",)


@dataclass(frozen=True)
class Remains(Promise):
    """Of a row that is there: when it may go."""

    events: tuple[str, ...] = ("DELETE",)


@dataclass(frozen=True)
class Unchanging(Promise):
    """Of a row that is there: nothing in it changes, but `may` names columns and the condition
    under which each may. With `only`, nothing but these columns is held.
    """

    may: Mapping[str, str] = field(default_factory=dict)
    only: tuple[str, ...] = ()
    events: tuple[str, ...] = ("UPDATE",)

    def broken(self, row: str, old: str, vendor: str) -> str:
        """Some column is to be what it was not."""
        return "\n    OR ".join(
            self._changed(column, row, old, vendor)
            for column in self.only or columns_of(self.model)
            if self.may.get(column) != ALWAYS
        )

    def _changed(self, column: str, row: str, old: str, vendor: str) -> str:
        quoted = _quoted([column])[0]
        changed = f"{row}.{quoted} {DIFFERS[vendor]} {old}.{quoted}"
        allowed = self.may.get(column)
        return f"({changed} AND NOT ({_sql(allowed, row, old, vendor)}))" if allowed else changed


def _quoted(columns: Sequence[str]) -> list[str]:
    """Columns as both vendors take them, words of SQL among them."""
    return [f'"{column}"' for column in columns]
