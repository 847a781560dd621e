"""Which module takes care of which database: each has MEMBER, `dump`, `inspect`, `current`,
`put_back` and `forget_replaced`.
"""

from __future__ import annotations

from types import ModuleType
from typing import Any

from . import postgresql, sqlite
from .trouble import BackupTrouble

ENGINES: dict[str, ModuleType] = {"sqlite": sqlite, "postgresql": postgresql}


def name_of(database: dict[str, Any]) -> str:
    """The engine of a database of the settings, as in ENGINES. Raises BackupTrouble."""
    name = database["ENGINE"].rpartition(".")[2].removesuffix("3")
    if name not in ENGINES:
        raise BackupTrouble(f"Backups of {name} are not made here. Use its own tools.")
    return name
