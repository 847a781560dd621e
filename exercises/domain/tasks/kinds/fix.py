"""Where do I stand? A resection: bearings to known points, drawn back from them."""

from __future__ import annotations

from ...earth.angles import back
from ..answer import Answer, Ends
from ..site import Site, Task
from .crossing import TARGETS, Crossing


class Resection(Crossing):
    """Where the person stands, from bearings to known points."""

    code = "fix"
    known_points_are = TARGETS
    exchanged = "other_target"

    def known(self, task: Task) -> tuple[str, ...]:
        """The codes of the known points."""
        return tuple(code for code in (task.target, *task.more) if code)

    def other_known(self, task: Task, site: Site) -> tuple[str, ...]:
        """The targets seen from the mark."""
        return site.choices_from(task.station)

    def sought(self, task: Task) -> str:
        """The code of the place sought."""
        return task.station

    def sought_at(self, answer: Answer) -> tuple[str, ...]:
        """The mark on which one stands."""
        return (answer.station,)

    def ends_of_line(self, task: Task, known: str) -> Ends:
        """From the place sought to the known point."""
        return task.station, known

    def turned_round(self, bearing_deg: float) -> float:
        """It is drawn back."""
        return back(bearing_deg)
