"""How somebody who does a task comes by the angle between two norths that it needs: it is told with
the task, it stands on the map, or nothing is said of it, because finding it is what is practised.

Which of them teaches most is the instructor's choice. Common practice, no source.
"""

from __future__ import annotations

TOLD, ON_MAP, UNSAID = "told", "on_map", "unsaid"
WAYS = (TOLD, ON_MAP, UNSAID)


def east_of(one: str, other: str) -> tuple[str, str]:
    """Two norths as the angle between them is said: the one that lies east or west, and the one
    that it is told from. Magnetic north is told from true or grid, grid north from true.

    >>> east_of("magnetic", "true"), east_of("grid", "magnetic")
    (('magnetic', 'true'), ('magnetic', 'grid'))
    """
    turned, base = sorted((one, other), key=("magnetic", "grid", "true").index)
    return turned, base
