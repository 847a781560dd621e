"""What becomes of coordinates on other datums and in other units, over EPSG's list of systems."""

import warnings

import pytest
from pyproj import CRS, Transformer
from pyproj.database import query_crs_info
from pyproj.enums import PJType
from pyproj.exceptions import ProjError

from exercises.domain.earth import datums, geodesy
from exercises.domain.earth.coordinates import read_grid
from exercises.domain.earth.geodesy import Position, UnsuitableGrid

TAIPEI = Position(25.034, 121.564)
FOOT_M = 1200.0 / 3937.0  # the US survey foot: NIST SP 811 (2008), B.6
SAME_M = 0.001
# looked at besides every tenth: TWD67, Xian 1980, IG05 Intermediate, CGCS2000, NAD83(CSRS)v4
NAMED = (3821, 4610, 6983, 4490, 8246)


def systems(each=1):
    """The geographic systems of EPSG, one of `each` and NAMED, with the middle of its area: `(code,
    system, longitude, latitude)` in its own units.
    """
    found = []
    for info in query_crs_info(auth_name="EPSG", pj_types=[PJType.GEOGRAPHIC_2D_CRS]):
        if int(info.code) % each and int(info.code) not in NAMED:
            continue
        system = CRS.from_epsg(int(info.code))
        area, unit = system.area_of_use, system.axis_info[0].unit_conversion_factor
        width_deg = (area.east - area.west) % 360.0 or 360.0
        longitude_deg = (area.west + width_deg / 2.0 + 180.0) % 360.0 - 180.0
        latitude_deg = (area.south + area.north) / 2.0
        meridian_deg = system.prime_meridian.longitude if system.prime_meridian else 0.0
        per_degree = 0.0174532925199433 / unit
        found.append(
            (
                int(info.code),
                system,
                (longitude_deg - meridian_deg) * per_degree,
                latitude_deg * per_degree,
            )
        )
    return found


def what_proj_says(system, longitude, latitude):
    """The operation that PROJ uses to WGS 84, or None."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        transformer = Transformer.from_crs(system, 4326, always_xy=True)
        try:
            transformer.transform(longitude, latitude, errcheck=True)
        except ProjError:
            return None
        try:
            return transformer.get_last_used_operation().description
        except ProjError:
            return transformer.description


def outcome(code, longitude, latitude):
    """The change of datum of coordinates, or what was said against them."""
    try:
        return geodesy.from_epsg(longitude, latitude, code)[1]
    except UnsuitableGrid as error:
        return str(error)


def test_no_system_of_epsg_is_left_unshifted_without_a_word():
    refused, assumed = [], []
    for code, system, longitude, latitude in systems(each=10):
        description = what_proj_says(system, longitude, latitude)
        if description is None or "Ballpark" not in description:
            continue
        change = outcome(code, longitude, latitude)
        if isinstance(change, str):
            assert "How far it lies from WGS 84 is not known" in change
            refused.append(system.datum.name)
        else:
            assert (change.is_stated, change.uncertainty_m) == (False, datums.UNSTATED_M)
            assumed.append(system.datum.name)

    # All of EPSG 12.033 in PROJ 9.5.1, grids too, looked at in the middle of their areas (2026-11):
    # 652 of 6271 refused, on 206 datums; 313 taken as they stand, with what is assumed.
    assert {"Taiwan Datum 1967", "Xian 1980", "IG05 Intermediate Datum"} <= set(refused)
    assert {"China 2000", "North American Datum of 1983 (CSRS) version 4"} <= set(assumed)


def test_frames_that_are_taken_as_they_stand_lie_within_what_is_assumed():
    # Another route than the one to WGS 84: to ITRF2014 (EPSG 9000), by operations that EPSG states
    # for many of these frames. WGS 84 (G1762) and later agree with it to centimetres.
    off_m = {}
    for code, system, longitude, latitude in systems():
        if not system.datum.name.startswith(datums.SATELLITE_FRAMES) or code == 9000:
            continue
        try:
            way = Transformer.from_crs(system, 9000, always_xy=True, allow_ballpark=False)
            east, north = way.transform(longitude, latitude, errcheck=True)
        except ProjError:
            continue
        off_m[system.name] = geodesy.apart_m(Position(latitude, longitude), Position(north, east))

    assert len(off_m) > 30
    assert max(off_m.values()) < datums.UNSTATED_M


def test_the_ellipsoid_does_not_tell_an_old_datum_from_a_frame_of_satellites():
    # EPSG's own parameters: GGRS87, on the ellipsoid of GRS 1980, lies 326 m off (operation 1272).
    _, change = geodesy.from_epsg(24.0, 38.0, 4121)

    assert change.name.endswith("GGRS87 to WGS 84 (1)")
    assert not CRS.from_epsg(4121).datum.name.startswith(datums.SATELLITE_FRAMES)


@pytest.mark.parametrize("epsg", [3821, 3827, 3828])
def test_taiwan_1967_is_refused_in_words(epsg):
    # Unshifted it lies some 850 m off: X97 = X67 + 807.8, Y97 = Y67 - 248.6 and small terms, the
    # surveyors' formula there (from memory).
    first, second = (121.0, 23.9) if epsg == 3821 else (250_000, 2_650_000)

    with pytest.raises(UnsuitableGrid, match="on the datum Taiwan Datum 1967"):
        geodesy.from_epsg(first, second, epsg)


def test_a_grid_on_an_old_datum_is_no_grid_for_sheets():
    with pytest.raises(UnsuitableGrid, match="datum Taiwan Datum 1967"):
        geodesy.easting_northing(TAIPEI, 3828)
    assert geodesy.easting_northing(TAIPEI, 3826)[0] > 0


def test_the_stated_accuracy_of_a_single_operation_is_not_lost():
    # JGD2011 to WGS 84 (1), EPSG: 1 m. PROJ keeps no last operation where there is but one.
    _, change = geodesy.from_epsg(139.7, 35.6, 6668)

    assert (change.uncertainty_m, change.is_stated) == (1.0, True)
    assert "JGD2011 to WGS 84 (1)" in change.name


def test_a_system_without_a_stated_accuracy_says_so():
    _, change = geodesy.from_epsg(116.4, 39.9, 4490)

    assert change == datums.Change("China Geodetic Coordinate System 2000", 4.0, False)


def test_an_operation_whose_accuracy_nobody_knows_is_refused():
    # EPSG gives 999 m where it does not know.
    with pytest.raises(UnsuitableGrid, match="How far it lies from WGS 84 is not known"):
        geodesy.from_epsg(166.6, -77.8, 4715)  # Camp Area Astro, McMurdo Sound


@pytest.mark.parametrize(
    ("in_feet", "in_metres", "foot_m", "east_m", "north_m"),
    [
        pytest.param(2263, 32118, FOOT_M, 300_000.0, 61_000.0, id="New York Long Island, ftUS"),
        pytest.param(2272, 32129, FOOT_M, 820_000.0, 72_000.0, id="Pennsylvania South, ftUS"),
        pytest.param(2222, 26948, 0.3048, 213_360.0, 300_000.0, id="Arizona East, ft"),
    ],
)
def test_a_grid_in_feet_is_the_grid_in_metres_with_other_numbers(
    in_feet, in_metres, foot_m, east_m, north_m
):
    # The same zone of the State Plane system in metres, turned by our own figure of the foot.
    metres = read_grid(f"{east_m:.3f}", f"{north_m:.3f}", in_metres)
    feet = read_grid(f"{east_m / foot_m:.3f}", f"{north_m / foot_m:.3f}", in_feet)

    assert geodesy.apart_m(feet.position, metres.position) < SAME_M
    assert feet.resolution_m == pytest.approx(0.0005 * foot_m)
    assert read_grid("984250", "200131", 2263).resolution_m == pytest.approx(0.5 * FOOT_M)


def test_how_finely_degrees_and_gons_are_written_is_told_in_metres():
    assert read_grid("170.1", "-45.1", 4326).resolution_m == pytest.approx(0.05 * 111_320)
    assert read_grid("0.1", "54.1", 4807).resolution_m == pytest.approx(0.05 * 0.9 * 111_320)
