"""How ground is put on a sheet to scale, north up."""

from dataclasses import dataclass

from ..domain.earth import geodesy

LEAST_M = 20.0  # that a sheet shows from side to side


def on_plan(middle, position):
    """Metres to the right and downwards of the middle: each point lies at its bearing and distance
    from there, over the ellipsoid.
    """
    east_m, north_m = geodesy.east_north_m(middle, position)
    return east_m, -north_m


@dataclass(frozen=True)
class Fit:
    """How places, metres to the right and downwards, are put on a sheet of a width with a margin:
    as wide as it is, what is taller than wide in its middle.
    """

    scale: float
    left: float
    top: float
    margin: float
    height: float

    @classmethod
    def of(cls, xs, ys, width, margin, below=0.0):
        """The fit of an extent, with some room below it."""
        wide, tall = max(xs) - min(xs), max(ys) - min(ys)
        metres = max(wide, tall, LEAST_M)
        scale = (width - 2 * margin) / metres
        height = 2 * margin + tall * scale + below
        return cls(scale, min(xs) - (metres - wide) / 2, min(ys), margin, height)

    def on_sheet(self, place):
        """Where a place lies on the sheet."""
        x, y = place
        return self.margin + (x - self.left) * self.scale, self.margin + (y - self.top) * self.scale
