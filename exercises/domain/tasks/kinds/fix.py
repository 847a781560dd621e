"""Where do I stand? A resection: bearings to known points, drawn back from them."""

from ...earth.angles import back
from .crossing import TARGETS, Crossing


class Resection(Crossing):
    """Where the person stands, from bearings to known points."""

    code = "fix"
    known_points_are = TARGETS
    exchanged = "other_target"

    def known(self, task):
        """The codes of the known points."""
        return tuple(code for code in (task.target, *task.more) if code)

    def sought(self, task):
        """The code of the place sought."""
        return task.station

    def sought_at(self, answer):
        """The mark on which one stands."""
        return (answer.station,)

    def ends_of_line(self, task, known):
        """From the place sought to the known point."""
        return task.station, known

    def turned_round(self, bearing_deg):
        """It is drawn back."""
        return back(bearing_deg)
