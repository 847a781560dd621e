"""Two marks and the same bearing from each: parallel lines to scale, north up, with what lies at
their ends and what lies between.
"""

import math
from dataclasses import dataclass

from ..domain.earth import geodesy
from ..domain.earth.angles import difference
from . import labels, svg

WIDTH, HEIGHT, MARGIN = 420.0, 300.0, 46.0


def pair(marks, positions, label):
    """The drawing of a `domain.pairs.Pair`. `positions` by code; `label` says in words what it
    shows.
    """
    start = positions[marks.stations[0]]
    places = {
        code: geodesy.east_north_m(start, positions[code])
        for code in (*marks.stations, *marks.targets)
    }
    line = geodesy.sight_line(start, positions[marks.targets[0]])
    ends = [
        _end(places[station], places[target], line.bearing_deg)
        for station, target in zip(marks.stations, marks.targets, strict=True)
    ]
    fit = _Fit.of([*places.values(), *ends])
    spots = {code: fit.on_sheet(place) for code, place in places.items()}
    parts = [svg.line(*spots[marks.stations[0]], *spots[marks.stations[1]], klass="sight-line")]
    parts += [
        svg.line(*spots[station], *fit.on_sheet(end), klass="pair-line")
        for station, end in zip(marks.stations, ends, strict=True)
    ]
    parts += [svg.triangle(*spots[code], 11, klass="station") for code in marks.stations]
    for code in marks.targets:
        x, y = spots[code]
        parts += [
            svg.element("circle", cx=x, cy=y, r=7, klass="target"),
            svg.element("circle", cx=x, cy=y, r=2, klass="target-dot"),
        ]
    for code, at in labels.place(spots, lambda code: 11.0 * len(code), 18, 12).items():
        parts.append(svg.text(code, at.x, at.y, klass="pair-label", text_anchor=at.anchor))
    return svg.drawing(label, (0, 0, WIDTH, HEIGHT), *parts, klass="pair")


@dataclass(frozen=True)
class _Fit:
    """How places, metres to the east and north, are put on the sheet: as large as they fit, in its
    middle.
    """

    scale: float
    left: float
    top: float

    @classmethod
    def of(cls, places):
        """The fit of some places."""
        xs, ys = zip(*places, strict=True)
        scale = min(
            (WIDTH - 2 * MARGIN) / max(max(xs) - min(xs), 1.0),
            (HEIGHT - 2 * MARGIN) / max(max(ys) - min(ys), 1.0),
        )
        return cls(
            scale,
            WIDTH / 2 - scale * (max(xs) + min(xs)) / 2,
            HEIGHT / 2 + scale * (max(ys) + min(ys)) / 2,
        )

    def on_sheet(self, place):
        """Where a place lies on the sheet."""
        return self.left + self.scale * place[0], self.top - self.scale * place[1]


def _end(station, target, bearing_deg):
    """Where the line from a mark along the bearing passes its target."""
    east, north = target[0] - station[0], target[1] - station[1]
    along = math.hypot(east, north) * math.cos(
        math.radians(difference(math.degrees(math.atan2(east, north)) % 360.0, bearing_deg))
    )
    dx, dy = svg.polar(bearing_deg, along)
    return station[0] + dx, station[1] - dy
