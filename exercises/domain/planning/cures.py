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
from ..tasks.site import Site, Task
from .answer_checks import fair_band_deg, on_its_ground
from .findings import DROP, REORDER, RETARGET, WIDEN, Change, Finding
from .hazards import Hazard
from .measures import twins, walk
from .twice import given_away

MOST_TARGETS = 20
WIDEST_FULL_DEG = 90.0  # a band that takes more than half of the circle asks nothing
BETTER_TARGET = (
    "target_too_near",
    "target_within_band",
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


def cured(
    findings: Sequence[Finding],
    tasks: Sequence[Task],
    answers: Sequence[Answer],
    site: Site,
    on: datetime.date,
    hazards: Sequence[Hazard],
) -> list[Finding]:
    """Findings with the changes that cure them."""
    better = functools.cache(lambda task: better_target(task, answers, site, on, hazards))
    task_of = {task.label: task for task in tasks}
    answer_of = {answer.task: answer for answer in answers}

    def changes(finding: Finding) -> tuple[Change, ...]:
        if finding.code == "long_walk":
            return (_reordered(tasks, site),)
        if finding.task not in task_of:
            return ()
        return tuple(_changes(finding.code, task_of[finding.task], answer_of[finding.task], better))

    return [replace(finding, changes=changes(finding)) for finding in findings]


def _reordered(tasks: Sequence[Task], site: Site) -> Change:
    """The tasks in the order of the shortest walk."""
    order = walk([task.station for task in tasks], site).best
    ordered = sorted(tasks, key=lambda task: order.index(task.station))
    return Change(REORDER, order=tuple(task.label for task in ordered))


def _changes(
    code: str, task: Task, answer: Answer, better: Callable[[Task], str | None]
) -> Iterator[Change]:
    """The changes that cure a finding on a task, the smallest first."""
    if code == "tolerance_tighter" and (band := _fair_band(task, answer)):
        yield Change(WIDEN, task.label, band=band)
    if code in BETTER_TARGET and (target := better(task)):
        yield Change(RETARGET, task.label, target=target)
    if code in DROPPED:
        yield Change(DROP, task.label)


def _fair_band(task: Task, answer: Answer) -> Band | None:
    """The narrowest fair band, partial credit stretched alike; None where none makes sense."""
    full_deg = fair_band_deg(answer)
    if full_deg > WIDEST_FULL_DEG:
        return None
    stretched = task.band.part_credit_deg * full_deg / task.band.full_credit_deg
    return Band(full_deg, max(full_deg, round(2 * stretched) / 2))


def better_target(
    task: Task,
    answers: Sequence[Answer],
    site: Site,
    on: datetime.date,
    hazards: Sequence[Hazard],
) -> str | None:
    """The code of the target seen from a task's station with the fewest findings, if it has fewer
    than the present one; else None.

    `answers` are those of the whole course. At most MOST_TARGETS are tried, the farthest first:
    they are the fairest.
    """
    others = [answer for answer in answers if answer.task != task.label]
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

    def troubles(target: str) -> float:
        asked = replace(task, target=target, given_deg=None)
        return _troubles(asked, others, site, on, hazards)

    best = min(((troubles(code), code) for code in codes[:MOST_TARGETS]), default=None)
    return best[1] if best and best[0] < _troubles(task, others, site, on, hazards) else None


def _troubles(
    task: Task,
    others: Sequence[Answer],
    site: Site,
    on: datetime.date,
    hazards: Sequence[Hazard],
) -> float:
    """How many findings concern a task beside the other answers of its course; without end where it
    has no answer.
    """
    sighted = [(other.station, other.target) for other in others if other.target]
    try:
        answer = kind_of(task.kind).answer(task, site, on, sighted)
    except ValueError:
        return math.inf
    alike = sum(1 for other in others for _ in twins([other, answer], site))
    return (
        len(on_its_ground(answer, site, hazards)) + alike + len(list(given_away([*others, answer])))
    )
