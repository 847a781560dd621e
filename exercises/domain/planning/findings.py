"""What a check finds, as codes and numbers. `presenting/findings.py` says them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any

from ..tasks.bands import Band

WIDEN, NARROW, RETARGET, DROP, REORDER = "widen", "narrow", "retarget", "drop", "reorder"


class Severity(IntEnum):
    """What a finding costs: a reason costs nothing, a note some of what a course teaches, a fault
    somebody's credit, and by a danger people get hurt.
    """

    REASON, NOTE, FAULT, DANGER = range(4)


SEVERITIES = {
    "leads_into_danger": Severity.DANGER,
    "walk_crosses": Severity.DANGER,
    **dict.fromkeys(
        (
            "no_tasks",
            "tolerance_tighter",
            "sector_narrow",
            "target_too_near",
            "target_within_band",
            "target_not_seen",
            "sight_blocked",
            "hazard_near",
            "station_bent",
            "copied_answer_passes",
            "copied_here",
            "given_away",
            "nothing_measured",
            "sought_on_map",
            "poor_cut",
            "wide_place",
            "danger_circle",
            "few_spots",
            "spot_too_near",
        ),
        Severity.FAULT,
    ),
    **dict.fromkeys(
        (
            "neighbour_earns_part",
            "declination_hides",
            "mirror_hides",
            "reversal_looks_alike",
            "closes_falsely",
            "middle_spoilt",
            "weak_field",
            "offset_hides",
            "bunched",
            "habits_hide",
            "one_station",
            "passed_twice",
            "long_walk",
        ),
        Severity.NOTE,
    ),
}
# what is so with every line of a site asked in one north, whichever is picked
OF_THE_PLACE = ("declination_hides", "weak_field")


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

    @property
    def severity(self) -> Severity:
        """What it costs; nothing where it is a reason for a pick."""
        return SEVERITIES.get(self.code, Severity.REASON)
