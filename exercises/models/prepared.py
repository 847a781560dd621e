"""Questions whose SQL is made once in a process, and rows that are made ready before the database
is asked. To make SQL takes ten times as long as to ask it, which is much for what every reading
asks; and whoever writes holds up the readings of others, on SQLite, until it has written.
"""

from functools import lru_cache

from django.db import DEFAULT_DB_ALIAS, connections, router

SIZES = 8  # of lists of numbers, of which the SQL is kept
TEXT = "\N{REPLACEMENT CHARACTER}"


class Prepared:
    """A question that `make(text, numbers)` puts as a queryset of values. It is called with marks
    in place of what is asked each time; whatever else stands in the queryset stays as it is then.
    """

    def __init__(self, make):
        self._make = make
        self._made = lru_cache(maxsize=SIZES)(self._make_sql)

    def ask(self, text, numbers):
        """The rows for a text and some numbers, as tuples."""
        sql, params, converters = self._made(len(numbers))
        given = {TEXT: text, **dict(zip(_marks(len(numbers)), numbers, strict=True))}
        connection = connections[DEFAULT_DB_ALIAS]
        with connection.cursor() as cursor:
            cursor.execute(sql, [given.get(param, param) for param in params])
            rows = cursor.fetchall()
        return [_converted(row, converters, connection) for row in rows]

    def _make_sql(self, number):
        """The SQL for so many numbers, its parameters with the marks among them, and by column what
        makes Python's values of the database's.
        """
        made = self._make(TEXT, _marks(number)).query.get_compiler(DEFAULT_DB_ALIAS)
        sql, params = made.as_sql()
        return sql, params, made.get_converters([column for column, *_ in made.select])


def _marks(number):
    """Numbers that no row has, one for each that is asked for."""
    return range(-number, 0)


def _converted(row, converters, connection):
    values = list(row)
    for at, (steps, column) in converters.items():
        for step in steps:
            values[at] = step(values[at], column, connection)
    return tuple(values)


def given_fields(model, but=()):
    """The fields of a row that is to be written, its number and some others left out."""
    return [
        field
        for field in model._meta.concrete_fields
        if not field.primary_key and field.name not in but
    ]


def write(model, sql, row, fields, *more):
    """Write a row by a statement that takes its fields and `more`, in this order; the row that it
    returns, if any.
    """
    connection = connections[router.db_for_write(model)]
    values = [field.get_db_prep_save(getattr(row, field.attname), connection) for field in fields]
    with connection.cursor() as cursor:
        cursor.execute(sql, [*values, *more])
        return cursor.fetchone() if cursor.description else None


def known_of(model, columns):
    """A row of which only some columns are known, by name; others are fetched when they are asked
    for.
    """
    names = [field.attname for field in model._meta.concrete_fields if field.attname in columns]
    return model.from_db(DEFAULT_DB_ALIAS, names, [columns[name] for name in names])
