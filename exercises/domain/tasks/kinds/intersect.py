"""Where is it? An intersection: bearings to a thing from known stations."""

from __future__ import annotations

from collections.abc import Iterable

from ..answer import Answer, Ends
from ..site import Site, Task
from .crossing import STATIONS, Crossing


class Intersection(Crossing):
    """Where a thing is, from bearings to it taken at known stations."""

    code = "intersect"
    known_points_are = STATIONS
    exchanged = "other_station"

    def known(self, task: Task) -> tuple[str, ...]:
        """The codes of the known points."""
        return (task.station, *(code for code in task.more if code))

    def other_known(self, task: Task, site: Site) -> tuple[str, ...]:
        """The marks that see the thing."""
        return tuple(
            code
            for code, point in site.points.items()
            if point.is_station and task.target in site.targets_from(code)
        )

    def sought(self, task: Task) -> str:
        """The code of the place sought."""
        return task.target

    def marks(self, answer: Answer) -> tuple[str, ...]:
        """The known points: one stands on each."""
        return self.on_map(answer)

    def sought_at(self, answer: Answer) -> tuple[str, ...]:
        """The thing."""
        return (answer.target,)

    def ends(self, station: str, target: str, more: Iterable[str]) -> tuple[list[str], list[str]]:
        """The stations, and the thing seen from them."""
        return [station, *more], [target]

    def ends_of_line(self, task: Task, known: str) -> Ends:
        """From the known point to the place sought."""
        return known, task.target

    def turned_round(self, bearing_deg: float) -> float:
        """It is drawn as it is observed."""
        return bearing_deg
