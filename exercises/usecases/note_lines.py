"""Note which targets are seen from a station: lines are added and taken away by name, so that the
same request twice is as once, and what somebody else noted meanwhile stays.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from django.db import transaction

from ..models import Point, Task, Visible
from ..queries import tasks_along


class LinesInUse(ValueError):
    """Tasks ask for lines that would be taken away: `tasks` by the code of the target. Nothing was
    stored.
    """

    def __init__(self, tasks: dict[str, list[Task]]) -> None:
        super().__init__(", ".join(tasks))
        self.tasks = tasks


@dataclass(frozen=True)
class Changed:
    """The codes of the targets to which lines were added and taken away, sorted."""

    added: tuple[str, ...]
    taken: tuple[str, ...]


@transaction.atomic
def change_lines(
    *, station: Point, added: Collection[str], taken: Collection[str], is_sure: bool = False
) -> Changed:
    """Add lines from a station to targets, by their codes, and take others away; returns what
    changed. Codes of no target of the site are passed over.

    Raises LinesInUse where a task of some course asks for a line that would go, unless `is_sure`.
    The task stays, and the check of its course says that its target is not noted as seen.
    """
    station = Point.objects.select_for_update().get(pk=station.pk)
    noted = set(station.sees.values_list("target__code", flat=True))
    leaving = noted & set(taken) - set(added)
    if not is_sure:
        _check_unused(station, leaving)
    targets = Point.objects.filter(site=station.site_id, is_target=True).exclude(pk=station.pk)
    # compared here: what was typed may hold what a database does not take
    coming = {target.code: target for target in targets if target.code in set(added) - noted}
    Visible.objects.bulk_create(
        [Visible(station=station, target=target) for target in coming.values()]
    )
    station.sees.filter(target__code__in=leaving).delete()
    return Changed(tuple(sorted(coming)), tuple(sorted(leaving)))


def _check_unused(station: Point, leaving: Collection[str]) -> None:
    """Raises LinesInUse where tasks ask for lines from a station to the targets of some codes."""
    asked = tasks_along(station.site)
    in_use = {
        code: asked[station.code, code] for code in sorted(leaving) if (station.code, code) in asked
    }
    if in_use:
        raise LinesInUse(in_use)
