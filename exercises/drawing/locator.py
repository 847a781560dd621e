"""A small map of where a place lies: land and sea, the largest towns, a cross; north up."""

import math

from . import clipping, labels, svg

WIDTH, HEIGHT = 360.0, 240.0
SPAN_DEG = 4.0  # of latitude: some 450 km, so that a coast or a town is in sight nearly everywhere
LETTER, LINE, GAP = 7.4, 15.0, 7.0
CROSS = 9.0
KM_PER_DEGREE = 111.2


class Window:
    """The stretch of the Earth that a locator shows: degrees become its coordinates, longitudes in
    true proportion at the middle.
    """

    def __init__(self, latitude_deg, longitude_deg):
        self.middle = latitude_deg, longitude_deg
        self.per_lat = HEIGHT / SPAN_DEG
        self.per_lon = self.per_lat * max(0.1, math.cos(math.radians(latitude_deg)))

    def box(self):
        """Its south, west, north and east, degrees."""
        latitude, longitude = self.middle
        up, aside = HEIGHT / 2 / self.per_lat, WIDTH / 2 / self.per_lon
        return latitude - up, longitude - aside, latitude + up, longitude + aside

    def at(self, longitude, latitude):
        """Where a place stands: x to the right, y down; the longitude as it is, unwrapped."""
        x = WIDTH / 2 + (longitude - self.middle[1]) * self.per_lon
        return x, HEIGHT / 2 - (latitude - self.middle[0]) * self.per_lat

    def beside(self, longitude):
        """A longitude within half a turn of the middle."""
        return self.middle[1] + (longitude - self.middle[1] + 180.0) % 360.0 - 180.0


def locator(window, land, towns, label):
    """The drawing of a `Window`, with `land` as (corners, box, is land) outlines in degrees and
    `towns` that have a name, a latitude and a longitude. `label` says in words what it shows.
    """
    parts = [
        svg.element("rect", width=WIDTH, height=HEIGHT, klass="locator-sea"),
        *_land(window, land),
        *_towns(window, towns),
        *_cross(),
        *_scale(window),
    ]
    return svg.drawing(label, (0, 0, WIDTH, HEIGHT), *parts, klass="locator")


def _land(window, land):
    """The land in the window, also where the antimeridian runs through it."""
    south, west, north, east = window.box()
    for corners, (left, low, right, high), is_land in land:
        if high < south or low > north:
            continue
        for turn in (-360.0, 0.0, 360.0):
            if right + turn < west or left + turn > east:
                continue
            placed = [window.at(longitude + turn, latitude) for longitude, latitude in corners]
            if seen := clipping.area(placed, (0.0, 0.0, WIDTH, HEIGHT)):
                yield svg.polygon(seen, klass="locator-land" if is_land else "locator-sea")


def _towns(window, towns):
    """Dots with names, none on another."""
    spots = {
        town.name: window.at(window.beside(town.longitude_deg), town.latitude_deg) for town in towns
    }
    middle = (WIDTH / 2, HEIGHT / 2)
    placed = labels.place(
        spots,
        lambda name: LETTER * len(name),
        LINE,
        GAP,
        obstacles=[middle],
        within=(0.0, 0.0, WIDTH, HEIGHT),
    )
    for name, (x, y) in spots.items():
        spot = placed[name]
        yield svg.element("circle", cx=x, cy=y, r=2.5, klass="locator-town")
        yield svg.text(name, spot.x, spot.y, text_anchor=spot.anchor, klass="locator-name")


def _cross():
    x, y = WIDTH / 2, HEIGHT / 2
    yield svg.line(x - CROSS, y, x + CROSS, y, klass="locator-place")
    yield svg.line(x, y - CROSS, x, y + CROSS, klass="locator-place")
    yield svg.element("circle", cx=x, cy=y, r=CROSS / 2, klass="locator-place")


def _scale(window):
    """A bar of 100 kilometres."""
    length, x, y = 100.0 / KM_PER_DEGREE * window.per_lat, 10.0, HEIGHT - 10.0
    yield svg.line(x, y, x + length, y, klass="locator-scale")
    yield svg.text("100 km", x, y - 4.0, klass="locator-name")
