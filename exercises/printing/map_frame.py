"""How ground becomes paper: the scale, the sheet and what lies round the map on it.

Points stand at their grid coordinates (or, with meridian lines, at bearing and distance from the
middle), so that a bearing measured on the sheet against its vertical lines is the bearing in that
north: to 0.1 degrees, and distances to 0.2 mm, which the tests measure on the PDF.
"""

from dataclasses import dataclass

from ..domain.earth import geodesy
from . import paper

SCALES = (500, 1000, 1500, 2000, 2500, 3000, 4000, 5000, 7500, 10_000, 15_000)
ROUND_M = (10, 20, 50, 100, 200, 500, 1000)
MARGIN = 14.0  # at the sides; the figures of northings stand in it
# at least; the plate's own lines are 5 to 10 mm apart, and an eye needs some of them under the
# plate
LINES_APART_MM = 15.0
LABELS_MM = 14.0  # for labels of points at the edge
LEAST_HIGH_MM = 40.0  # of the map itself


class TooLarge(ValueError):
    """A site that fits on the sheet at no scale of the list. The message says what to do."""


@dataclass(frozen=True)
class Frame:
    """The scale's denominator, the sheet, the ground's coordinates in metres at the map's upper
    left corner, and what the head and the foot of the sheet take, in millimetres.
    """

    scale: int
    sheet: paper.Size
    left_m: float
    top_m: float
    head: float
    foot: float

    def on_paper(self, east_m, north_m):
        """Millimetres from the sheet's upper left corner."""
        return (
            MARGIN + (east_m - self.left_m) * 1000.0 / self.scale,
            self.head + (self.top_m - north_m) * 1000.0 / self.scale,
        )

    def on_ground(self, x, y):
        """Metres east and north of a place of the sheet."""
        return (
            self.left_m + (x - MARGIN) * self.scale / 1000.0,
            self.top_m - (y - self.head) * self.scale / 1000.0,
        )

    @property
    def box(self):
        """Left, top, right and bottom of the map itself."""
        return MARGIN, self.head, self.sheet.width - MARGIN, self.sheet.height - self.foot

    @property
    def corners(self):
        """Its corners on the sheet: upper left, upper right, lower left, lower right."""
        left, top, right, bottom = self.box
        return (left, top), (right, top), (left, bottom), (right, bottom)

    @property
    def lines_every_m(self):
        """The round distance between its lines, metres."""
        return lines_every_m(self.scale)


def lines_every_m(scale):
    """The round distance between the lines of a map of a scale, metres."""
    return next(
        (metres for metres in ROUND_M if metres * 1000.0 / scale >= LINES_APART_MM), ROUND_M[-1]
    )


def flat(ground, position, north):
    """Where a position lies on flat ground, metres east and north: grid coordinates, or from the
    middle with the true meridian upwards.
    """
    if north == "true":
        return geodesy.east_north_m(ground.middle, position)
    return geodesy.easting_northing(position, ground.site.epsg(ground.middle))


def position(ground, east_m, north_m, north):
    """The reverse: the position of a place on flat ground."""
    if north == "true":
        return geodesy.moved(ground.middle, east_m, north_m)
    return geodesy.from_epsg(east_m, north_m, ground.site.epsg(ground.middle))[0]


def fit(spots, sheet, round_map):
    """The largest scale of the list at which all spots fit, upright or turned, as `Frame`;
    `round_map` gives the head and the foot, millimetres, for a scale and a sheet. Raises TooLarge.
    """
    easts, norths = [east for east, _ in spots], [north for _, north in spots]
    middle = (max(easts) + min(easts)) / 2, (max(norths) + min(norths)) / 2
    for scale in SCALES:
        for page in (sheet, sheet.turned):
            head, foot = round_map(scale, page)
            wide, high = page.width - 2 * MARGIN, page.height - head - foot
            room = min(wide, high) - LABELS_MM >= 0 and high >= LEAST_HIGH_MM
            metres = scale / 1000.0
            if (
                room
                and max(easts) - min(easts) <= (wide - LABELS_MM) * metres
                and max(norths) - min(norths) <= (high - LABELS_MM) * metres
            ):
                left_m, top_m = middle[0] - wide / 2 * metres, middle[1] + high / 2 * metres
                return Frame(scale, page, left_m, top_m, head, foot)
    raise TooLarge
