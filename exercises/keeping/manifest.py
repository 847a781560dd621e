"""What a backup says of itself: `manifest.json`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from .trouble import BackupTrouble

FORMAT = 1
LARGEST = 1_000_000  # bytes; ours are some three thousand


@dataclass(frozen=True)
class Contents:
    """What a database holds: rows by table but for sessions, the migrations that made it
    ("app.name", in order of names), and the last moment at which anything of a class was written,
    in ISO 8601 with UTC, empty where there is none.
    """

    rows: Mapping[str, int]
    migrations: tuple[str, ...]
    newest: str


@dataclass(frozen=True)
class Manifest:
    """The manifest. `digests` are SHA-256 in hexadecimal by the name of a member, `sizes` bytes;
    `program` is the digest of the program that made it.
    """

    format: int
    engine: str
    made_at: str
    program: str
    digests: Mapping[str, str]
    sizes: Mapping[str, int]
    rows: Mapping[str, int]
    migrations: tuple[str, ...]
    newest: str

    def as_json(self) -> bytes:
        """As it is written."""
        return json.dumps(asdict(self), indent=1, sort_keys=True).encode()

    @property
    def made(self) -> datetime:
        """When it was made."""
        return datetime.fromisoformat(self.made_at)


def _is(kind: type, found: Any) -> bool:
    return isinstance(found, kind) and not isinstance(found, bool)


def _is_table(found: Any, kind: type) -> bool:
    return isinstance(found, dict) and all(_is(kind, value) for value in found.values())


def from_json(text: bytes) -> Manifest:
    """Read a manifest. Raises BackupTrouble for anything that is none of this format."""
    try:
        found = json.loads(text)
        if found["format"] != FORMAT:
            raise BackupTrouble(
                f"This backup has format {found['format']!r}, and this version of navclass reads "
                f"{FORMAT}. Use the version that made it."
            )
        sound = (
            all(_is(str, found[name]) for name in ("engine", "made_at", "program", "newest"))
            and _is_table(found["digests"], str)
            and _is_table(found["sizes"], int)
            and _is_table(found["rows"], int)
            and isinstance(found["migrations"], list)
            and all(_is(str, name) for name in found["migrations"])
        )
        if not sound or set(found["digests"]) != set(found["sizes"]):
            raise ValueError("types")
        datetime.fromisoformat(found["made_at"])
        return Manifest(**{**found, "migrations": tuple(found["migrations"])})
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise BackupTrouble(
            "The manifest of this backup cannot be read: the file is damaged or none of ours."
        ) from error
