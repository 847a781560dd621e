"""The signs of points on every map: the plan, the map of a site, the practice map, the printed one.

A sign must not be read as something else. On maps of the outdoor sport triangles and circles are
its start and its controls, crosses things of its own (ISOM 2017, from memory); so a station is a
square with a dot, as for marks in survey plans (common practice, no source), a target a star of
four points, as for lights in charts, a lettered spot a lozenge. Turned with the sheet, none becomes
another.
"""

from dataclasses import dataclass

from . import svg

Corners = tuple[tuple[float, float], ...]
SQUARE: Corners = tuple((turn, 1.0) for turn in (45, 135, 225, 315))
STAR: Corners = tuple((turn, 0.42 if turn % 90 else 1.25) for turn in range(0, 360, 45))
LOZENGE: Corners = ((0, 1.15), (90, 0.5), (180, 1.15), (270, 0.5))


@dataclass(frozen=True)
class Sign:
    """Outlines about the exact spot, by what they stand for: (bearing from the top of the sheet,
    radius) of their corners, in parts of the sign's size; and the radius of the dot that marks the
    spot itself.
    """

    outlines: dict[str, Corners]
    dot: float = 0.2

    def drawn(self, x, y, size):
        """(what it stands for, its corners on a sheet, y downwards) of each outline, from below to
        the top, of a sign of a size about a place, all in one unit.
        """
        for code, corners in self.outlines.items():
            at_corners = (svg.polar(bearing_deg, radius * size) for bearing_deg, radius in corners)
            yield code, [(x + dx, y + dy) for dx, dy in at_corners]


def _smaller(corners, times):
    return tuple((bearing_deg, times * radius) for bearing_deg, radius in corners)


SIGNS = {
    "station": Sign({"station": SQUARE}),
    "target": Sign({"target": STAR}, dot=0.16),
    "both": Sign({"target": STAR, "station": _smaller(SQUARE, 0.8)}, dot=0.16),
    "spot": Sign({"spot": LOZENGE}, dot=0.16),
}


# Round a station of which no line is noted, clear of a target's tips.
FRAME = Sign({"no-line": _smaller(SQUARE, 1.9)})
FRAMED = "_unlined"  # ends the code of a sign with that frame


def sign_of(point):
    """The code of a point's sign, by what it serves as."""
    if point.is_station:
        return "both" if point.is_target else "station"
    return "target"


def sign(code, x, y, size):
    """A sign as SVG: its outlines, and the dot on the exact spot; with a frame about it where its
    code ends in FRAMED.
    """
    plain = SIGNS[code.removesuffix(FRAMED)]
    drawn = [*(FRAME.drawn(x, y, size) if code.endswith(FRAMED) else ()), *plain.drawn(x, y, size)]
    outlines = [svg.polygon(corners, klass=part) for part, corners in drawn]
    dot = svg.element("circle", cx=float(x), cy=float(y), r=plain.dot * size, klass="sign-dot")
    return svg.element("g", *outlines, dot)


def signs(codes=tuple(SIGNS)):
    """Signs by themselves, as small drawings for legends and for maps that a script draws."""
    return {
        code: svg.element(
            "svg",
            sign(code, 0, 0, 9),
            xmlns="http://www.w3.org/2000/svg",
            viewBox="-13 -13 26 26",
            klass="sign",
            aria_hidden="true",
        )
        for code in codes
    }


def desk_signs():
    """The same for the desk, where a station without a line has a frame."""
    return signs((*SIGNS, f"station{FRAMED}", f"both{FRAMED}"))


def desk_sign_of(point, site):
    """The code of a point's sign at the desk."""
    is_unlined = point.is_station and not site.visible.get(point.code)
    return sign_of(point) + (FRAMED if is_unlined else "")
