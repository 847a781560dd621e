"""The smallest changes that cure what a check found, where one can be made."""

from __future__ import annotations

import datetime
import functools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from ..earth import geodesy
from ..tasks.answer import Answer
from ..tasks.bands import Band
from ..tasks.kinds import kind_of
from ..tasks.kinds.base import Sighted
from ..tasks.site import Task
from .answer_checks import WIDEST_DEG, fair_band_deg
from .findings import DROP, NARROW, REORDER, RETARGET, WIDEN, Change, Finding, Severity
from .ground_checks import on_its_ground
from .measures import twins
from .surroundings import Surroundings
from .twice import given_away
from .walking import Walk

MOST_TARGETS = 20
Troubles = tuple[float, float, float]  # how many dangers, faults and notes
BETTER_TARGET = (
    "sector_narrow",
    "target_too_near",
    "target_within_band",
    "neighbour_earns_part",
    "target_not_seen",
    "sight_blocked",
    "mirror_hides",
    "reversal_looks_alike",
    "leads_into_danger",
    "copied_answer_passes",
    "given_away",
)
DROPPED = (
    *BETTER_TARGET,
    "tolerance_tighter",
    "poor_cut",
    "spot_too_near",
    "nothing_measured",
    "sought_on_map",
)
REORDERED = ("long_walk", "passed_twice", "walk_crosses")


def cured(
    findings: Sequence[Finding],
    tasks: Sequence[Task],
    answers: Sequence[Answer],
    walk: Walk,
    ground: Surroundings,
    on: datetime.date,
) -> list[Finding]:
    """Findings with the changes that cure them."""
    better = functools.cache(lambda task: better_target(task, answers, ground, on))
    task_of = {task.label: task for task in tasks}
    answer_of = {answer.task: answer for answer in answers}

    def changes(finding: Finding) -> tuple[Change, ...]:
        if finding.code in REORDERED:
            return tuple(_reordered(finding, tasks, walk))
        if finding.task not in task_of:
            return ()
        return tuple(_changes(finding, task_of[finding.task], answer_of[finding.task], better))

    return [replace(finding, changes=changes(finding)) for finding in findings]


def _reordered(finding: Finding, tasks: Sequence[Task], walk: Walk) -> Iterator[Change]:
    """The tasks in the order of the best walk, which crosses a danger only if it crosses fewer."""
    if finding.code == "walk_crosses" and walk.best_crossings >= walk.crossings:
        return
    ordered = sorted(tasks, key=lambda task: walk.best.index(task.station))
    yield Change(REORDER, order=tuple(task.label for task in ordered))


def _changes(
    finding: Finding, task: Task, answer: Answer, better: Callable[[Task], str | None]
) -> Iterator[Change]:
    """The changes that cure a finding on a task, the smallest first."""
    if finding.code == "tolerance_tighter" and (band := _fair_band(task, answer)):
        yield Change(WIDEN, task.label, band=band)
    if band := _narrower(task, finding):
        yield Change(NARROW, task.label, band=band)
    if finding.code in BETTER_TARGET and (target := better(task)):
        yield Change(RETARGET, task.label, target=target)
    if finding.code in DROPPED:
        yield Change(DROP, task.label)


def _narrower(task: Task, finding: Finding) -> Band | None:
    """The band that a finding asks for, if it does: full credit alone or part credit alone."""
    full_deg = finding.values.get("narrow_full_deg") or task.band.full_credit_deg
    part_deg = finding.values.get("narrow_part_deg") or task.band.part_credit_deg
    narrow = Band(full_deg, max(full_deg, part_deg))
    return narrow if narrow != task.band else None


def _fair_band(task: Task, answer: Answer) -> Band | None:
    """The narrowest fair band, partial credit stretched alike; None where none makes sense."""
    full_deg = fair_band_deg(answer)
    if full_deg > WIDEST_DEG:
        return None
    stretched = task.band.part_credit_deg * full_deg / task.band.full_credit_deg
    return Band(full_deg, max(full_deg, round(2 * stretched) / 2))


def better_target(
    task: Task,
    answers: Sequence[Answer],
    ground: Surroundings,
    on: datetime.date,
) -> str | None:
    """The code of the target seen from a task's station that costs the least, by the severities of
    its findings, if it costs less than the present one; else None. None leads into a danger.

    `answers` are those of the whole course. At most MOST_TARGETS are tried, the farthest first:
    they are the fairest.
    """
    others = [answer for answer in answers if answer.task != task.label]
    site = ground.site
    taken = {(answer.station, answer.target) for answer in others} | {(task.station, task.target)}
    here = site.point(task.station).position
    codes = sorted(
        (
            code
            for code in site.choices_from(task.station)
            if code != task.station and (task.station, code) not in taken
        ),
        key=lambda code: (-geodesy.apart_m(here, site.point(code).position), code),
    )

    def troubles(target: str) -> Troubles:
        asked = replace(task, target=target, given_deg=None)
        return _troubles(asked, others, ground, on)

    best = min(((troubles(code), code) for code in codes[:MOST_TARGETS]), default=None)
    if best is None or best[0][0] > 0:
        return None
    return best[1] if best[0] < _troubles(task, others, ground, on) else None


def _troubles(
    task: Task, others: Sequence[Answer], ground: Surroundings, on: datetime.date
) -> Troubles:
    """How many dangers, faults and notes concern a task beside the other answers of its course;
    without end where it has no answer.
    """
    sighted = Sighted((other.station, other.target) for other in others if other.target)
    try:
        answer = kind_of(task.kind).answer(task, ground.site, on, sighted)
    except ValueError:
        return (math.inf, math.inf, math.inf)
    found = [finding.severity for finding in on_its_ground(answer, ground)]
    alike = sum(1 for other in others for _ in twins([other, answer], ground.site))
    return (
        found.count(Severity.DANGER),
        found.count(Severity.FAULT) + alike + len(list(given_away([*others, answer]))),
        found.count(Severity.NOTE),
    )
