"""Where is it? An intersection: bearings to a thing from known stations."""

from .crossing import STATIONS, Crossing


class Intersection(Crossing):
    """Where a thing is, from bearings to it taken at known stations."""

    code = "intersect"
    known_points_are = STATIONS
    exchanged = "other_station"

    def known(self, task):
        """The codes of the known points."""
        return (task.station, *(code for code in task.more if code))

    def sought(self, task):
        """The code of the place sought."""
        return task.target

    def marks(self, answer):
        """The known points: one stands on each."""
        return self.on_map(answer)

    def sought_at(self, answer):
        """The thing."""
        return (answer.target,)

    def ends(self, station, target, more):
        """The stations, and the thing seen from them."""
        return [station, *more], [target]

    def ends_of_line(self, task, known):
        """From the known point to the place sought."""
        return known, task.target

    def turned_round(self, bearing_deg):
        """It is drawn as it is observed."""
        return bearing_deg
