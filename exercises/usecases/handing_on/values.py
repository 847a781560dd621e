"""One value of a file as a field takes it: of the field's type, within its limits."""

from __future__ import annotations

import math
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models as fields

from ...domain.words import say
from ...exchange.whole.archive import NotExport


def _text(value: Any) -> str:
    if not isinstance(value, str) or "\0" in value:
        raise ValueError("text")
    return value


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError("number")
    return float(value)


def _whole(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) >= 2**63:
        raise ValueError("whole number")
    return value


def _yes_no(value: Any) -> bool:
    if not isinstance(value, bool):
        raise ValueError("true or false")
    return value


def _moment(value: Any) -> datetime:
    moment = datetime.fromisoformat(_text(value))
    if moment.tzinfo is None:
        raise ValueError("a moment with its zone")
    return moment.astimezone(UTC)


# in this order: a field is of the first that fits
READ: tuple[tuple[type[Any], Callable[[Any], Any]], ...] = (
    (fields.DateTimeField, _moment),
    (fields.DateField, lambda value: date.fromisoformat(_text(value))),
    (fields.UUIDField, lambda value: uuid.UUID(_text(value))),
    (fields.BooleanField, _yes_no),
    (fields.FloatField, _number),
    (fields.IntegerField, _whole),
    (fields.CharField, _text),
    (fields.TextField, _text),
)


def read(field: Any, value: Any, where: str) -> Any:
    """A value for a field. Raises NotExport, which names the place (`where`) and what was found."""
    try:
        if value is None:
            if not field.null:
                raise ValueError("null")
            return None
        if isinstance(field, fields.JSONField):
            return _json(field, value)
        plain = next(reads for kind, reads in READ if isinstance(field, kind))(value)
        field.run_validators(plain)
        if field.choices and plain and plain not in dict(field.flatchoices):
            raise ValueError("choice")
        return plain
    except (ValueError, OverflowError, ValidationError) as error:
        raise NotExport(
            say(
                "The export does not fit together, so nothing was taken in: {what}",
                what=f"{where} = {str(value)[:40]}",
            )
        ) from error


def _json(field: Any, value: Any) -> Any:
    """A value that is kept as JSON: of the type that the field begins with."""
    if field.default in (dict, list) and not isinstance(value, field.default):
        raise ValueError("type")
    return value
