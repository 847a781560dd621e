"""Bearing and distance over the WGS 84 ellipsoid, and the grid's north. The only importer of
pyproj.
"""

from __future__ import annotations

import functools
import math
import warnings
from dataclasses import dataclass

from pyproj import CRS, Geod, Proj, Transformer
from pyproj.exceptions import CRSError, ProjError

from ..words import say
from . import datums
from .angles import wrap
from .datums import Change
from .position import Position

EastNorth = tuple[float, float]  # metres from an origin, on a flat sheet
WGS84 = Geod(ellps="WGS84")
MILLIMETRE = 1e-3
METRES_PER_DEGREE = 111_320.0  # of latitude; good enough for how finely a number was written
# a map grid is true to a per cent where it may be used; UTM stays within 0.1 %
LARGEST_SCALE_ERROR = 0.01
# beyond a grid's area of use: neighbours use a zone a little past its edge, nobody further; and a
# metre, which near the pole is as much of longitude: figures are rounded
MARGIN_DEG = 3.0 + 1e-4


class SamePoint(ValueError):
    """Two points within a millimetre: there is no direction from one to the other."""


class UnsuitableGrid(ValueError):
    """An EPSG code that names no map grid, or one not meant for this place."""


class OutsideGrid(UnsuitableGrid):
    """Coordinates that lie outside the area in which their system is used."""


@dataclass(frozen=True)
class SightLine:
    """From a station to a target: degrees clockwise from true north at the station; metres."""

    bearing_deg: float
    distance_m: float


@functools.lru_cache(maxsize=65536)
def sight_line(station: Position, target: Position) -> SightLine:
    """Bearing and distance from a station to a target over the ellipsoid.

    `bearing_deg` is the geodesic azimuth at the station; the one at the target, looking back, is
    on the ellipsoid not exactly 180 degrees more. `distance_m` ignores height.

    Raises SamePoint when they lie within a millimetre: there is no direction to give.

    The computation is good to nanometres; the survey's uncertainty is what counts, see budget.py.
    Source: Karney (2013), J. Geodesy 87, 43-55, through pyproj's Geod.inv, which takes longitude
    first, answers between -180 and 180, and calls the direction between equal points 180. All three
    are put right here and nowhere else.

    >>> line = sight_line(Position(40.6, -73.8), Position(49.01666667, 2.55))
    >>> f"{line.bearing_deg:.5f} {line.distance_m:.0f}"
    '53.47022 5853226'
    """
    forward_deg, _, distance_m = WGS84.inv(
        station.longitude_deg, station.latitude_deg, target.longitude_deg, target.latitude_deg
    )
    if distance_m < MILLIMETRE:
        raise SamePoint(say("The two points lie within a millimetre of each other."))
    return SightLine(wrap(forward_deg), distance_m)


def apart_m(one: Position, other: Position) -> float:
    """Distance between two positions along the ellipsoid, metres; 0 where they are the same."""
    _, _, distance_m = WGS84.inv(
        one.longitude_deg, one.latitude_deg, other.longitude_deg, other.latitude_deg
    )
    return float(distance_m)


def east_north_m(origin: Position, position: Position) -> EastNorth:
    """Where a position lies from an origin on a flat sheet: metres to the east and to the north, at
    its bearing and distance.
    """
    azimuth_deg, _, distance_m = WGS84.inv(
        origin.longitude_deg, origin.latitude_deg, position.longitude_deg, position.latitude_deg
    )
    if distance_m < MILLIMETRE:
        return 0.0, 0.0
    azimuth = math.radians(azimuth_deg)
    return distance_m * math.sin(azimuth), distance_m * math.cos(azimuth)


def moved(origin: Position, east_m: float, north_m: float) -> Position:
    """The position some metres to the east and to the north of an origin."""
    distance_m = math.hypot(east_m, north_m)
    if not distance_m:
        return origin
    return destination(origin, math.degrees(math.atan2(east_m, north_m)), distance_m)


def destination(start: Position, bearing_deg: float, distance_m: float) -> Position:
    """The position reached from `start` along a true bearing after a distance in metres, at the
    same height.
    """
    longitude_deg, latitude_deg, _ = WGS84.fwd(
        start.longitude_deg, start.latitude_deg, bearing_deg, distance_m
    )
    return Position(latitude_deg, longitude_deg, start.elevation_m)


def utm_epsg(position: Position) -> int:
    """EPSG code of the UTM zone (WGS 84) of a position, with the exceptions for Norway and
    Svalbard.

    Raises UnsuitableGrid beyond 84 degrees north or 80 south, where UTM ends.
    Source: DMA TM 8358.2 (1989), The Universal Grids, 2-2; NGA.SIG.0012 (2014), 7.3.
    """
    latitude, longitude = position.latitude_deg, position.longitude_deg
    if not -80.0 <= latitude <= 84.0:
        raise UnsuitableGrid(
            say("UTM covers latitudes from 80 south to 84 north. Set another grid for this site.")
        )
    zone = int((longitude + 180.0) // 6.0) % 60 + 1
    if 56.0 <= latitude < 64.0 and 3.0 <= longitude < 12.0:
        zone = 32
    if latitude >= 72.0 and 0.0 <= longitude < 42.0:
        zone = 31 + 2 * int((longitude + 3.0) // 12.0)
    return (32600 if latitude >= 0 else 32700) + zone


@functools.lru_cache(maxsize=64)
def _grid(epsg: int) -> tuple[CRS, Proj]:
    """A projected map grid in metres, and its projection. Raises UnsuitableGrid for any other."""
    try:
        crs = CRS.from_epsg(epsg)
    except CRSError as error:
        raise UnsuitableGrid(
            say(
                "EPSG {epsg} is not known. Give the code of a projected map grid, or leave it "
                "empty for UTM.",
                epsg=epsg,
            )
        ) from error
    if not crs.is_projected:
        raise UnsuitableGrid(
            say(
                "EPSG {epsg} ({name}) is not a projected map grid, so it has no grid north.",
                epsg=epsg,
                name=crs.name,
            )
        )
    if any(abs(axis.unit_conversion_factor - 1.0) > 1e-9 for axis in crs.axis_info):
        raise UnsuitableGrid(
            say(
                "EPSG {epsg} ({name}) is not in metres. Give the code of a map grid in metres, "
                "or leave it empty for UTM.",
                epsg=epsg,
                name=crs.name,
            )
        )
    return crs, _projection(crs, epsg)


def grid_names(epsg: int) -> tuple[str, str]:
    """What a map grid and its datum are called in the EPSG registry, in English: `(grid, datum)`.
    Raises UnsuitableGrid.

    >>> grid_names(32759)
    ('UTM zone 59S', 'WGS 84')
    """
    crs, _ = _grid(epsg)
    datum = crs.geodetic_crs.name if crs.geodetic_crs else ""
    return crs.name.removeprefix(f"{datum} / "), datum


def _projection(crs: CRS, epsg: int) -> Proj:
    """The projection of a grid. Raises UnsuitableGrid where PROJ has none."""
    with warnings.catch_warnings():
        # PROJ warns that a PROJ string loses details; only its north is used
        warnings.simplefilter("ignore", UserWarning)
        try:
            return Proj(crs)
        except CRSError as error:
            raise UnsuitableGrid(
                say(
                    "EPSG {epsg} ({name}) cannot be computed here. Choose another grid, or leave "
                    "it empty for UTM.",
                    epsg=epsg,
                    name=crs.name,
                )
            ) from error


def convergence(position: Position, epsg: int) -> float:
    """Grid convergence in degrees, positive where grid north lies east of true north: grid = true -
    convergence.

    Raises UnsuitableGrid for an unknown code, one that is no map grid, and a position beyond the
    grid's area, where PROJ would answer with a meaningless number and no error. Source: pyproj's
    Proj.get_factors; checked against Karney's TMcoords in tests/domain/test_geodesy.py.
    """
    crs, projection = _grid(epsg)
    factors = (
        projection.get_factors(position.longitude_deg, position.latitude_deg)
        if _is_in_area(crs, position.latitude_deg, position.longitude_deg)
        else None
    )
    if factors is None or not abs(factors.meridional_scale - 1.0) <= LARGEST_SCALE_ERROR:
        raise UnsuitableGrid(
            say(
                "EPSG {epsg} ({name}) is not meant for {latitude:.4f}, {longitude:.4f}. Choose "
                "the grid of that place, or leave it empty for UTM.",
                epsg=epsg,
                name=crs.name,
                latitude=position.latitude_deg,
                longitude=position.longitude_deg,
            )
        )
    return float(factors.meridian_convergence)


def _is_in_area(crs: CRS, latitude_deg: float, longitude_deg: float) -> bool:
    """Whether a place lies in the area of use of a system, or a little past its edge."""
    area = crs.area_of_use
    return area is None or (
        area.south - MARGIN_DEG <= latitude_deg <= area.north + MARGIN_DEG
        and _between(longitude_deg, area.west - MARGIN_DEG, area.east + MARGIN_DEG)
    )


def _between(longitude_deg: float, west_deg: float, east_deg: float) -> bool:
    """Whether a longitude lies from west to east, also where the area crosses the antimeridian."""
    width_deg = wrap(east_deg - west_deg) or 360.0
    return wrap(longitude_deg - west_deg) <= width_deg or east_deg - west_deg >= 360.0


@functools.lru_cache(maxsize=64)
def _to_grid(epsg: int) -> Transformer:
    """From WGS 84 to a projected grid, east first. Raises UnsuitableGrid for an unknown shift."""
    crs, _ = _grid(epsg)
    is_satellite_frame = _datum(crs).startswith(datums.SATELLITE_FRAMES)
    try:
        return Transformer.from_crs(4326, crs, always_xy=True, allow_ballpark=is_satellite_frame)
    except ProjError as error:
        raise _unshifted(epsg, crs) from error


def easting_northing(position: Position, epsg: int) -> tuple[float, float]:
    """Easting and northing in metres on a projected grid. Raises UnsuitableGrid as `convergence`
    does, and where the shift of the grid's datum is not known for the place.
    """
    convergence(position, epsg)
    try:
        return _to_grid(epsg).transform(
            position.longitude_deg, position.latitude_deg, errcheck=True
        )
    except ProjError as error:
        raise _unshifted(epsg, _grid(epsg)[0]) from error


@functools.lru_cache(maxsize=64)
def _from_system(epsg: int) -> tuple[CRS, Transformer]:
    """Any EPSG system, and the way from it to WGS 84, east first. Raises UnsuitableGrid."""
    try:
        crs = CRS.from_epsg(epsg)
        transformer = Transformer.from_crs(crs, 4326, always_xy=True)
    except (CRSError, ProjError, OverflowError) as error:
        raise UnsuitableGrid(
            say(
                "EPSG {epsg} is not known, or cannot be computed here. Give the code of a map "
                "grid or of a latitude and longitude system.",
                epsg=epsg,
            )
        ) from error
    if not (crs.is_projected or crs.is_geographic):
        raise UnsuitableGrid(
            say(
                "EPSG {epsg} ({name}) gives no place on a map. Give the code of a map grid or of "
                "a latitude and longitude system.",
                epsg=epsg,
                name=crs.name,
            )
        )
    return crs, transformer


def unit_m(epsg: int) -> float:
    """What one unit of a system's coordinates is on the ground, metres: feet and degrees too.
    Raises UnsuitableGrid for an unknown system.
    """
    crs, _ = _from_system(epsg)
    unit = crs.axis_info[0].unit_conversion_factor
    return math.degrees(unit) * METRES_PER_DEGREE if crs.is_geographic else unit


def from_epsg(first: float, second: float, epsg: int) -> tuple[Position, Change]:
    """A position from coordinates in any EPSG system, in the system's own unit, and how it came to
    WGS 84.

    `first` is easting or longitude, `second` northing or latitude, whatever order the authority
    has. The operation is the best that PROJ has for the place; national shift grids are not
    installed, so an old datum comes with metres. A system on the WGS 84 datum needs none.

    Raises UnsuitableGrid for an unknown system and for an old datum whose shift is not known there,
    OutsideGrid for a place outside the system's area of use.
    """
    crs, transformer = _from_system(epsg)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        try:
            longitude_deg, latitude_deg = transformer.transform(first, second, errcheck=True)
        except ProjError as error:
            raise _outside(first, second, epsg, crs) from error
    is_on_earth = (
        math.isfinite(latitude_deg) and math.isfinite(longitude_deg) and -90 <= latitude_deg <= 90
    )
    if not is_on_earth or not _is_in_area(crs, latitude_deg, longitude_deg):
        raise _outside(first, second, epsg, crs)
    return Position(latitude_deg, longitude_deg), _change(epsg, crs, transformer)


def _outside(first: float, second: float, epsg: int, crs: CRS) -> OutsideGrid:
    """The refusal of coordinates that lie outside their system."""
    return OutsideGrid(
        say(
            "{first:g}, {second:g} lies outside EPSG {epsg} ({name}). Check the code and the "
            "order: east first, then north.",
            first=first,
            second=second,
            epsg=epsg,
            name=crs.name,
        )
    )


def _datum(crs: CRS) -> str:
    """The name of a system's datum."""
    return crs.datum.name if crs.datum else ""


def _unshifted(epsg: int, crs: CRS) -> UnsuitableGrid:
    """The refusal of an old datum that nobody here can turn into WGS 84."""
    return UnsuitableGrid(
        say(
            "EPSG {epsg} ({name}) is on the datum {datum}. How far it lies from WGS 84 is not "
            "known here: points could be hundreds of metres off. Turn the coordinates into WGS 84 "
            "with the mapping agency's own tool first.",
            epsg=epsg,
            name=crs.name,
            datum=_datum(crs),
        )
    )


def _change(epsg: int, crs: CRS, transformer: Transformer) -> Change:
    """How the last coordinates came to WGS 84. Raises UnsuitableGrid for an old datum that was left
    unshifted.
    """
    if crs.datum == CRS.from_epsg(4326).datum:
        return Change(crs.name)
    try:
        used = transformer.get_last_used_operation()
    except ProjError:
        used = transformer  # PROJ keeps no last one where there is but one
    if not datums.is_trusted(_datum(crs), used.description, used.accuracy):
        raise _unshifted(epsg, crs)
    conversion = crs.coordinate_operation.name if crs.coordinate_operation else ""
    return datums.change(crs.name, conversion, used.description, used.accuracy)
