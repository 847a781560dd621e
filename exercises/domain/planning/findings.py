"""What a check finds, as codes and numbers. `presenting/findings.py` says them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ..tasks.bands import Band

WIDEN, RETARGET, DROP, REORDER = "widen", "retarget", "drop", "reorder"


@dataclass(frozen=True)
class Change:
    """A change of a course that cures a finding: `verb` is one of those above; the rest is what it
    needs.
    """

    verb: str
    task: str = ""
    band: Band | None = None
    target: str = ""
    order: tuple[str, ...] = ()


@dataclass(frozen=True)
class Finding:
    """Something found: a stable code, the numbers and codes behind it by name, and the changes that
    cure it. `task` is empty for a course, `point` for a task.
    """

    code: str
    task: str = ""
    values: Mapping[str, Any] = field(default_factory=dict)
    changes: tuple[Change, ...] = ()
    point: str = ""
