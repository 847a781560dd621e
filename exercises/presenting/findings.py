"""What a check found, and why a line was proposed, in words: what is so, and what cures it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..domain.planning.findings import (
    DROP,
    NARROW,
    REORDER,
    RETARGET,
    WIDEN,
    Change,
    Finding,
    Severity,
)
from ..domain.words import Words, say
from ..languages import told
from .finding_words import CURES, WHAT


@dataclass(frozen=True)
class SaidChange:
    """A change with the words of its button."""

    change: Change
    words: str


@dataclass(frozen=True)
class SaidFinding:
    """A finding in the reader's language."""

    code: str
    task: str
    point: str
    what: str
    cure: str
    changes: tuple[SaidChange, ...]
    is_danger: bool = False


def said(findings: Iterable[Finding]) -> list[SaidFinding]:
    """Findings in the reader's language, in their order."""
    return [
        SaidFinding(
            finding.code,
            finding.task,
            finding.point,
            told(what_is(finding)),
            told(cure_of(finding)),
            tuple(SaidChange(change, told(change_words(change))) for change in finding.changes),
            finding.severity == Severity.DANGER,
        )
        for finding in findings
    ]


def sentences(findings: Iterable[Finding]) -> list[str]:
    """What is so, sentence by sentence: why a line was picked, say, or what speaks against it."""
    return [told(what_is(finding)) for finding in findings]


def what_is(finding: Finding) -> Words:
    """What is so, with its numbers."""
    return WHAT[finding.code](finding.task, finding.values)


def cure_of(finding: Finding) -> Words:
    """What cures it."""
    return CURES[finding.code](finding.task, finding.values)


def change_words(change: Change) -> Words:
    """What a button says that makes a change."""
    return CHANGES[change.verb](change)


CHANGES = {
    WIDEN: lambda change: say(
        "Widen to {full:g}°, {part:g}°",
        full=change.band.full_credit_deg,
        part=change.band.part_credit_deg,
    ),
    NARROW: lambda change: say(
        "Narrow to {full:g}°, {part:g}°",
        full=change.band.full_credit_deg,
        part=change.band.part_credit_deg,
    ),
    RETARGET: lambda change: say("Ask for {target} instead", target=change.target),
    DROP: lambda change: say("Drop the task"),
    REORDER: lambda change: say("Put the tasks in that order"),
}
