"""The signs of points on every map: the plan, the map of a site, the practice map, the printed one.

A sign must not be read as something else. On maps of the outdoor sport triangles and circles are
its start and its controls, a saltire and an upright cross things of its own (ISOM 2017, from
memory); so a station is a square with a dot, as for marks in survey plans (common practice, no
source), and a target a star of four points, as for lights in charts. Turned with the sheet, neither
becomes the other.
"""

from dataclasses import dataclass

from . import svg


@dataclass(frozen=True)
class Sign:
    """An outline about the exact spot, as (bearing from the top of the sheet, radius) of its
    corners, in parts of the sign's size; and the radius of the dot that marks the spot itself.
    """

    corners: tuple[tuple[float, float], ...]
    dot: float

    def outline(self, x, y, size):
        """The corners on a sheet, y downwards, of a sign of a size about a place, all in one
        unit.
        """
        at_corners = (svg.polar(bearing_deg, radius * size) for bearing_deg, radius in self.corners)
        return [(x + dx, y + dy) for dx, dy in at_corners]


SIGNS = {
    "station": Sign(tuple((turn, 1.0) for turn in (45, 135, 225, 315)), dot=0.2),
    "target": Sign(
        tuple((turn, 0.42 if turn % 90 else 1.25) for turn in range(0, 360, 45)), dot=0.16
    ),
}


def sign_of(point):
    """The code of a point's sign: what can be stood on is a station, though it be sighted too."""
    return "station" if point.is_station else "target"


def sign(code, x, y, size):
    """A sign as SVG: its outline, and the dot on the exact spot."""
    shape = SIGNS[code]
    return svg.element(
        "g",
        svg.polygon(shape.outline(x, y, size), klass=code),
        svg.element("circle", cx=float(x), cy=float(y), r=shape.dot * size, klass=f"{code}-dot"),
    )


def signs():
    """Each sign by itself, as a small drawing for legends and for maps that a script draws."""
    return {
        code: svg.element(
            "svg",
            sign(code, 0, 0, 9),
            xmlns="http://www.w3.org/2000/svg",
            viewBox="-13 -13 26 26",
            klass="sign",
            aria_hidden="true",
        )
        for code in SIGNS
    }
