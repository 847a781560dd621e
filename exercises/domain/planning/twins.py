"""Tasks like others, elsewhere: the same kind, north and limits on lines that nobody has read yet,
for somebody who does them again.

The lines are those of a proposal (`proposal.propose`), which leads nobody into a danger.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence

from ..tasks.bands import Band
from ..tasks.kinds import kind_of
from ..tasks.site import Task
from .proposal import NothingToPick, propose
from .surroundings import Surroundings
from .weighing import Line

Alike = tuple[str, str, Band]  # kind, asked north, limits


def twins(
    ground: Surroundings, on: datetime.date, tasks: Sequence[Task], asked: Sequence[Task]
) -> dict[str, Line]:
    """Lines for tasks elsewhere, by the tasks' labels; of a kind that is not proposed, and where
    the ground has no further line, there is none.

    `asked` are the tasks of the course that was held: none of their lines comes back. Another
    station is looked for first, then another target from the same.
    """
    used = [Line(task.station, task.target, task.north) for task in asked if task.target]
    found: dict[str, Line] = {}
    for (kind, north, band), group in _alike(tasks).items():
        lines = _lines(ground, on, (kind, north, band), group, [*used, *found.values()])
        found |= dict(zip((task.label for task in group), lines, strict=False))
    return found


def _alike(tasks: Iterable[Task]) -> Mapping[Alike, list[Task]]:
    """The tasks of kinds that are proposed, those that are alike together."""
    groups: dict[Alike, list[Task]] = {}
    for task in tasks:
        if task.target and kind_of(task.kind).is_proposed:
            groups.setdefault((task.kind, task.north, task.band), []).append(task)
    return groups


def _lines(
    ground: Surroundings,
    on: datetime.date,
    alike: Alike,
    group: Sequence[Task],
    used: Sequence[Line],
) -> Iterator[Line]:
    """Lines for tasks that are alike, from other stations first."""
    stood = {task.station for task in group}
    from_there = [
        Line(station, target, group[0].north)
        for station in stood
        for target in ground.site.choices_from(station)
    ]
    first = _proposed(ground, on, alike, len(group), [*used, *from_there])
    yield from first
    if len(first) < len(group):
        yield from _proposed(ground, on, alike, len(group) - len(first), [*used, *first])


def _proposed(
    ground: Surroundings, on: datetime.date, alike: Alike, number: int, refused: Sequence[Line]
) -> list[Line]:
    """So many lines of a proposal, or fewer."""
    kind, north, band = alike
    try:
        picks = propose(
            ground.site,
            on,
            tasks=number,
            north=north,
            kind=kind,
            band=band,
            refuse=refused,
            hazards=ground.hazards,
            bent=ground.bent,
        ).picks
    except NothingToPick:
        return []
    return [pick.line for pick in picks][:number]
