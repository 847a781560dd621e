"""Which of many positions lie near one, without measuring to each of them."""

import itertools
import math

from ..domain.earth import geodesy


class Neighbours:
    """Positions that can be asked which of them lie within a radius of another.

    They are put into boxes as wide as twice the radius, by where they stand in space: a straight
    line is never longer than the way over the ground, so what is near lies in the same box or one
    that touches it, also across the antimeridian and round a pole. Only there is it measured.
    """

    def __init__(self, positions, radius_m):
        self.positions, self.radius_m = list(positions), radius_m
        self.indices = {}
        for index, position in enumerate(self.positions):
            self.indices.setdefault(self._box(position), []).append(index)

    def near(self, position):
        """The indices of those nearer than the radius, in order, one by one."""
        x, y, z = self._box(position)
        touching = itertools.product((x - 1, x, x + 1), (y - 1, y, y + 1), (z - 1, z, z + 1))
        candidates = itertools.chain.from_iterable(self.indices.get(box, ()) for box in touching)
        for index in sorted(candidates):
            if geodesy.apart_m(self.positions[index], position) < self.radius_m:
                yield index

    def _box(self, position):
        return tuple(math.floor(metres / (2.0 * self.radius_m)) for metres in in_space_m(position))


def in_space_m(position):
    """Where a position stands on the ellipsoid, height ignored: metres from the Earth's middle
    towards 0 and 90 degrees east on the equator, and towards the north pole.
    """
    latitude, longitude = math.radians(position.latitude_deg), math.radians(position.longitude_deg)
    squared_eccentricity = geodesy.WGS84.es
    across_m = geodesy.WGS84.a / math.sqrt(1.0 - squared_eccentricity * math.sin(latitude) ** 2)
    return (
        across_m * math.cos(latitude) * math.cos(longitude),
        across_m * math.cos(latitude) * math.sin(longitude),
        across_m * (1.0 - squared_eccentricity) * math.sin(latitude),
    )
