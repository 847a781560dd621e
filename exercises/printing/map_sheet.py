"""The practice map: the site at an exact scale, with the lines that a baseplate compass is laid
along.

Points stand at their grid coordinates (or, with meridian lines, at bearing and distance from the
middle), so that a bearing measured on the sheet against its vertical lines is the bearing in that
north: to 0.1 degrees, and distances to 0.2 mm, which the tests measure on the PDF.
"""

import math
from dataclasses import dataclass, field

from ..domain.earth import geodesy
from ..drawing import labels
from . import paper
from .paper import Paper

SCALES = (500, 1000, 1500, 2000, 2500, 3000, 4000, 5000, 7500, 10_000)
ROUND_M = (10, 20, 50, 100, 200, 500, 1000)
MARGIN, HEAD, FOOT = 12.0, 16.0, 52.0
# at least; the plate's own lines are 5 to 10 mm apart, and an eye needs some of them under the
# plate
LINES_APART_MM = 15.0
CHECK_MM = 100.0
FIGURE_POINTS = 6.5
DRAWN_MM = 0.1  # how well a printer puts a line; common practice, no source


class TooLarge(ValueError):
    """A site that fits on the sheet at no scale of the list. The message says what to do."""


@dataclass(frozen=True)
class MapSheet:
    """What is printed on the map besides the ground, ready to print; `north` is "grid" or "true",
    the north of the vertical lines.
    """

    title: str
    north: str
    lines_are: str
    norths: str
    accuracy: str
    check: str
    scale: str
    foot: str
    declination_deg: float
    convergence_deg: float
    short_norths: dict


@dataclass(frozen=True)
class Frame:
    """How ground becomes paper: the scale's denominator, the sheet, and the ground's coordinates in
    metres at the map's upper left corner.
    """

    scale: int
    sheet: paper.Size
    left_m: float
    top_m: float

    def on_paper(self, east_m, north_m):
        """Millimetres from the sheet's upper left corner."""
        return MARGIN + (east_m - self.left_m) * 1000.0 / self.scale, HEAD + (
            self.top_m - north_m
        ) * 1000.0 / self.scale

    @property
    def width_mm(self):
        """Width of the map itself."""
        return self.sheet.width - 2 * MARGIN

    @property
    def height_mm(self):
        """Height of the map itself."""
        return self.sheet.height - HEAD - FOOT


def places(site, middle, north):
    """Where points are on flat ground, metres east and north by code: grid coordinates, or from the
    middle with the true meridian upwards.
    """
    if north == "true":
        return {
            code: geodesy.east_north_m(middle, point.position)
            for code, point in site.points.items()
        }
    return {
        code: geodesy.easting_northing(point.position, site.epsg(middle))
        for code, point in site.points.items()
    }


def frame(spots, sheet):
    """The largest scale of the list at which all points fit, upright or turned, as `Frame`. Raises
    TooLarge.
    """
    easts, norths = [east for east, _ in spots.values()], [north for _, north in spots.values()]
    middle = (max(easts) + min(easts)) / 2, (max(norths) + min(norths)) / 2
    for scale in SCALES:
        for page in (sheet, sheet.turned):
            wide, high = (
                (page.width - 2 * MARGIN) * scale / 1000.0,
                (page.height - HEAD - FOOT) * scale / 1000.0,
            )
            room = 14.0 * scale / 1000.0  # for labels at the edge
            if max(easts) - min(easts) + room <= wide and max(norths) - min(norths) + room <= high:
                return Frame(scale, page, middle[0] - wide / 2, middle[1] + high / 2)
    raise TooLarge


@dataclass(frozen=True)
class Ground:
    """What lies on a map: a domain site and the position of its middle, hazards as in the domain,
    the codes of points that the map must not show, and lettered spots by code as positions."""

    site: object
    middle: geodesy.Position
    hazards: list
    sought: frozenset = frozenset()
    lettered: dict = field(default_factory=dict)


def map_sheet(ground, words, sheet):
    """The practice map as a PDF: `words` is a function from a `Frame` to a `MapSheet`. Raises
    TooLarge.
    """
    pdf = Paper(sheet, words(None).title)
    draw_sheet(pdf, ground, words, sheet)
    return pdf.finished()


def draw_sheet(pdf, ground, words, sheet):
    """The map on a page of its own. Raises TooLarge."""
    site, middle, hazards, north = ground.site, ground.middle, ground.hazards, words(None).north
    spots = {
        code: spot
        for code, spot in places(site, middle, north).items()
        if code not in ground.sought
    }
    lettered = {
        code: _flat(site, middle, position, north) for code, position in ground.lettered.items()
    }
    fitted = frame(spots | lettered, sheet)
    texts = words(fitted)
    pdf.begin(fitted.sheet)
    _north_lines(pdf, fitted)
    if texts.north == "grid":
        _figures(pdf, fitted)
    for hazard in hazards:
        _hazard(
            pdf,
            hazard,
            [
                fitted.on_paper(*_flat(site, middle, corner, texts.north))
                for corner in hazard.corners
            ],
            fitted,
        )
    at = {code: fitted.on_paper(*spot) for code, spot in spots.items()}
    for code, (x, y) in at.items():
        _point(pdf, site.points[code], x, y)
    crosses = {code: fitted.on_paper(*spot) for code, spot in lettered.items()}
    for x, y in crosses.values():
        _cross(pdf, x, y)
    for code, (x, y, anchor) in labels.place(
        at | crosses, lambda code: paper.width(code, 9.0, bold=True), 3.4, 2.6
    ).items():
        pdf.halo(code, x, y, 9.0, anchor)
    pdf.box(MARGIN, HEAD, fitted.width_mm, fitted.height_mm, line=0.35)
    _margin(pdf, texts, fitted)


def _flat(site, middle, position, north):
    return (
        geodesy.east_north_m(middle, position)
        if north == "true"
        else geodesy.easting_northing(position, site.epsg(middle))
    )


def lines_every_m(scale):
    """The round distance between the vertical lines, metres."""
    return next(
        (metres for metres in ROUND_M if metres * 1000.0 / scale >= LINES_APART_MM), ROUND_M[-1]
    )


def _north_lines(pdf, fitted):
    """Vertical lines at round coordinates, strong; horizontal ones are left out, so that nobody
    lays the housing along them.
    """
    step = lines_every_m(fitted.scale)
    east = math.ceil(fitted.left_m / step) * step
    while (x := fitted.on_paper(east, 0)[0]) < fitted.sheet.width - MARGIN:
        if x > MARGIN:
            pdf.line(x, HEAD, x, HEAD + fitted.height_mm, width=0.15, grey=0.45)
        east += step


def _figures(pdf, fitted):
    """The grid's figures along the edges, so that a grid reference can be read: eastings at the
    lines, northings at short strokes that no housing is laid along.
    """
    step = lines_every_m(fitted.scale)
    east = math.ceil(fitted.left_m / step) * step
    while (x := fitted.on_paper(east, 0)[0]) < fitted.sheet.width - MARGIN:
        if MARGIN + 4 < x < fitted.sheet.width - MARGIN - 4:
            pdf.halo(_figure(east), x, HEAD + fitted.height_mm - 1.2, FIGURE_POINTS, "middle")
        east += step
    north = math.floor(fitted.top_m / step) * step
    while (y := fitted.on_paper(0, north)[1]) < HEAD + fitted.height_mm:
        if HEAD + 4 < y < HEAD + fitted.height_mm - 6:
            for x, inwards in ((MARGIN, 3.0), (fitted.sheet.width - MARGIN, -3.0)):
                pdf.line(x, y, x + inwards, y, width=0.3)
            pdf.halo(_figure(north), MARGIN + 3.8, y + 0.9, FIGURE_POINTS, "start")
        north -= step


def _figure(metres):
    """The figures of a grid coordinate within its square of 100 km, in tens of metres: `2922`."""
    return f"{round(metres) % 100_000 // 10:04d}"


def _cross(pdf, x, y):
    """A lettered spot: an upright cross, which no point is drawn as."""
    for dx, dy in ((1.6, 0.0), (0.0, 1.6)):
        pdf.line(x - dx, y - dy, x + dx, y + dy, width=0.5)


def _hazard(pdf, hazard, corners, fitted):
    inside = [
        (
            min(max(x, MARGIN), fitted.sheet.width - MARGIN),
            min(max(y, HEAD), HEAD + fitted.height_mm),
        )
        for x, y in corners
    ]
    if len(inside) == 1:
        pdf.circle(*inside[0], 1.5, fill=0.6)
    else:
        pdf.polygon(
            inside,
            line=0.7,
            grey=0.35,
            fill=0.9 if hazard.is_area else None,
            closed=hazard.is_area,
            dash=(3, 1.2),
        )


def _point(pdf, point, x, y):
    if point.is_station:
        pdf.polygon(
            [
                (x + 2.2 * math.sin(turn), y - 2.2 * math.cos(turn))
                for turn in (0, 2 * math.pi / 3, 4 * math.pi / 3)
            ],
            line=0.4,
            fill=1.0,
        )
    else:
        pdf.circle(x, y, 1.7, line=0.4, fill=1.0)
    pdf.circle(x, y, 0.25, line=0, fill=0.0)


def _margin(pdf, texts, fitted):
    """Title, scale bar, norths, accuracy, the line to check the printer with."""
    pdf.text(texts.title, MARGIN, HEAD - 5, 13.0, bold=True)
    pdf.text(texts.scale, fitted.sheet.width - MARGIN, HEAD - 5, 11.0, bold=True, anchor="end")
    top, wide = HEAD + fitted.height_mm + 8, fitted.sheet.width - 2 * MARGIN
    _scale_bar(pdf, fitted, MARGIN, top)
    pdf.line(MARGIN, top + 10, MARGIN + CHECK_MM, top + 10, width=0.35)
    for x in (MARGIN, MARGIN + CHECK_MM):
        pdf.line(x, top + 8.5, x, top + 11.5, width=0.35)
    pdf.text(texts.check, MARGIN, top + 15, 7.5)
    y = top + 16.5
    for text in (texts.lines_are, texts.norths, texts.accuracy, texts.foot):
        y = pdf.paragraph(text, MARGIN, y, wide - 40, 7.5)
    _norths(pdf, texts, fitted.sheet.width - MARGIN - 18, top + 36)


def _scale_bar(pdf, fitted, x, y):
    metres = max(length for length in (5, *ROUND_M) if length * 1000.0 / fitted.scale <= 80)
    long = metres * 1000.0 / fitted.scale
    for part in range(4):
        pdf.box(x + part * long / 4, y, long / 4, 1.6, line=0.2, fill=0.0 if part % 2 == 0 else 1.0)
    for share in (0, 0.5, 1):
        pdf.text(
            f"{metres * share:g}" + (" m" if share == 1 else ""),
            x + share * long,
            y - 1.2,
            7.5,
            anchor="middle" if share < 1 else "start",
        )


def _norths(pdf, texts, x, y):
    """The declination diagram: the three norths at their true angles from one foot, turned so that
    the sheet's own north is upright.
    """
    turned_deg = texts.convergence_deg if texts.north == "grid" else 0.0
    named = sorted(
        (("true", 0.0), ("grid", texts.convergence_deg), ("magnetic", texts.declination_deg)),
        key=lambda pair: pair[1],
    )
    for place, (name, east_deg) in enumerate(named):
        long, angle = (
            {"true": 28.0, "grid": 20.0, "magnetic": 25.0}[name],
            math.radians(east_deg - turned_deg),
        )
        tip = x + long * math.sin(angle), y - long * math.cos(angle)
        pdf.line(x, y, *tip, width=0.4, dash=(1.5, 1.0) if name == "grid" else ())
        side = (-1, 0, 1)[place] if name != "grid" or place != 1 else -1
        pdf.text(
            texts.short_norths[name],
            tip[0] + 2 * side,
            tip[1] - (1.2 if side == 0 or name == "true" else -1),
            7.5,
            anchor={-1: "end", 0: "middle", 1: "start"}[side],
        )
