"""The schema of `export.json` (JSON Schema, draft 2020-12), made of the models that go along.

What stands in exercises/exchange/whole/schema.json is this; a test tells when it no longer is.
"""

from __future__ import annotations

from typing import Any

from django.db import models as fields

from ...exchange.whole.archive import FORMAT, VERSION
from .kinds import KINDS, OF_MODEL, Kind

UID = {"type": "string", "format": "uuid"}
TYPES: tuple[tuple[type[Any], dict[str, Any]], ...] = (
    (fields.DateTimeField, {"type": "string", "format": "date-time"}),
    (fields.DateField, {"type": "string", "format": "date"}),
    (fields.UUIDField, UID),
    (fields.BooleanField, {"type": "boolean"}),
    (fields.FloatField, {"type": "number"}),
    (fields.IntegerField, {"type": "integer"}),
    (fields.CharField, {"type": "string"}),
    (fields.TextField, {"type": "string"}),
    (fields.JSONField, {}),
)


def schema() -> dict[str, Any]:
    """The whole of it."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"A whole site, or all that an instructor has, version {VERSION}",
        "type": "object",
        "required": ["format", "version", "made_at", "holds", "with_names", "rows"],
        "additionalProperties": False,
        "properties": {
            "format": {"const": FORMAT},
            "version": {"const": VERSION},
            "made_at": {"type": "string", "format": "date-time"},
            "holds": {"enum": ["instructor", "site"]},
            "with_names": {"type": "boolean"},
            "rows": {
                "type": "object",
                "additionalProperties": False,
                "properties": {kind.name: {"type": "array", "items": _row(kind)} for kind in KINDS},
            },
        },
    }


def _row(kind: Kind) -> dict[str, Any]:
    carried = {field.name: _field(field) for field in kind.carried()}
    return {
        "type": "object",
        "additionalProperties": False,
        "required": ["id"],
        "properties": {"id": UID, **carried},
    }


def _field(field: Any) -> dict[str, Any]:
    found: dict[str, Any]
    if field.is_relation:
        found = {**UID, "description": f"of {OF_MODEL[field.related_model].name}"}
    else:
        found = dict(next(told for kind, told in TYPES if isinstance(field, kind)))
    if field.choices:
        found["enum"] = [code for code, _ in field.flatchoices] + [""] * field.blank
        found["enum"] = list(dict.fromkeys(found["enum"]))
    if isinstance(field, fields.CharField | fields.TextField) and field.max_length:
        found["maxLength"] = field.max_length
    if field.null and "type" in found:
        found["type"] = [found["type"], "null"]
        found |= {"enum": [*found["enum"], None]} if "enum" in found else {}
    return found
