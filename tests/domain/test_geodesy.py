import math

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth import geodesy
from exercises.domain.earth.angles import back, difference
from exercises.domain.earth.geodesy import Position
from exercises.domain.earth.position import PositionOutOfRange
from tests import optional, published

COMPUTED = 1e-9  # degrees and metres: what two implementations of one algorithm may differ by
WGS84_ROWS = published.rows("geodesic_inverse", ellipsoid="WGS84")


@pytest.mark.parametrize("row", WGS84_ROWS, ids=lambda row: f"{row['set']} {row['id']}")
def test_sight_lines_agree_with_published_geodesics(row):
    # Karney, Test set for geodesics (2010), and others named in the row; tolerances are those of
    # the printed digits.
    line = geodesy.sight_line(
        Position(float(row["lat1_deg"]), float(row["lon1_deg"])),
        Position(float(row["lat2_deg"]), float(row["lon2_deg"])),
    )

    assert difference(line.bearing_deg, float(row["azi1_deg"])) == pytest.approx(
        0, abs=float(row["tol_azimuth_deg"]) + 1e-8
    )
    assert line.distance_m == pytest.approx(float(row["s12_m"]), abs=float(row["tol_s12_m"]) + 1e-7)


@pytest.fixture(scope="module")
def karney():
    return optional.package("geographiclib.geodesic").Geodesic.WGS84


@given(
    latitude=st.floats(-70, 70),
    longitude=st.floats(-179, 179),
    bearing=st.floats(0, 360, exclude_max=True),
    distance=st.floats(10, 5000),
)
def test_short_lines_agree_with_geographiclib(karney, latitude, longitude, bearing, distance):
    # geographiclib 2.1, Karney's own Python code, independent of PROJ's.
    far = karney.Direct(latitude, longitude, bearing, distance)
    line = geodesy.sight_line(
        Position(latitude, longitude), Position(far["lat2"], math.remainder(far["lon2"], 360))
    )

    assert difference(line.bearing_deg, bearing) == pytest.approx(0, abs=1e-6)
    assert line.distance_m == pytest.approx(distance, abs=1e-6)


@given(
    st.floats(-80, 80),
    st.floats(-179, 179),
    st.floats(0, 360, exclude_max=True),
    st.floats(1, 5000),
)
def test_a_destination_lies_at_its_bearing_and_distance(latitude, longitude, bearing, distance):
    start = Position(latitude, longitude)

    line = geodesy.sight_line(start, geodesy.destination(start, bearing, distance))

    assert difference(line.bearing_deg, bearing) == pytest.approx(0, abs=1e-5)
    assert line.distance_m == pytest.approx(distance, abs=1e-6)


def test_the_bearing_looking_back_is_not_the_bearing_plus_180_on_the_ellipsoid():
    # 5 km east along latitude 65: 0.096 degrees, computed with geographiclib.
    start = Position(65.0, 20.0)
    end = geodesy.destination(start, 90.0, 5000.0)
    there, home = geodesy.sight_line(start, end), geodesy.sight_line(end, start)

    assert difference(home.bearing_deg, back(there.bearing_deg)) == pytest.approx(0.0962, abs=5e-4)


def test_a_direction_between_equal_points_is_refused_and_not_called_180():
    with pytest.raises(geodesy.SamePoint):
        geodesy.sight_line(Position(45, 7), Position(45, 7))


@pytest.mark.parametrize(
    ("latitude", "longitude", "elevation"),
    [
        (95, 0, 0),
        (-90.01, 0, 0),
        (0, 181, 0),
        (math.nan, 0, 0),
        (0, math.inf, 0),
        (0, 0, 1e6),
        (0, 0, math.nan),
        ("1", 0, 0),
    ],
)
def test_a_position_off_the_earth_is_refused(latitude, longitude, elevation):
    with pytest.raises(PositionOutOfRange):
        Position(latitude, longitude, elevation)


@pytest.mark.parametrize(
    "row",
    [
        row
        for row in published.rows("grid_convergence")
        if "zone" in row["projection"]
        and "53" not in row["lat_deg"][:3]
        and row["ellipsoid"] in ("WGS84", "GRS80")
    ],
    ids=lambda row: row["id"],
)
def test_convergence_agrees_with_mapping_agencies(row):
    # GDA Technical Manual (ICSM), GeodePy and Veness tests; signs turned to ours where the column
    # says so.
    zone = int("".join(c for c in row["projection"].split("zone")[1].split()[0] if c.isdigit()))
    epsg = (32600 if float(row["lat_deg"]) > 0 else 32700) + zone

    found = geodesy.convergence(Position(float(row["lat_deg"]), float(row["lon_deg"])), epsg)

    assert found == pytest.approx(
        float(row["convergence_std_deg"]), abs=max(float(row["tolerance_deg"]), 1e-8) + 1e-8
    )


@pytest.mark.parametrize(
    "row", published.rows("grid_convergence", source="Karney TMcoords"), ids=lambda row: row["id"]
)
def test_convergence_agrees_with_high_precision_arithmetic(row):
    # Karney, Test data for the transverse Mercator projection (2009), 80 digits; zone 31's meridian
    # is 3 degrees east.
    found = geodesy.convergence(Position(float(row["lat_deg"]), float(row["lon_deg"]) + 3.0), 32631)

    assert found == pytest.approx(float(row["convergence_std_deg"]), abs=1e-8)


@pytest.mark.parametrize(
    ("latitude", "longitude", "epsg"),
    [
        pytest.param(51.5, -0.1, 32630, id="London"),
        pytest.param(60.39, 5.32, 32632, id="Bergen, Norway exception"),
        pytest.param(78.2, 15.6, 32633, id="Svalbard exception"),
        pytest.param(-45.1, 170.1, 32759, id="Otago"),
        pytest.param(0.0, 180.0, 32601, id="antimeridian"),
    ],
)
def test_the_utm_zone_is_the_standard_one(latitude, longitude, epsg):
    # DMA TM 8358.2 (1989); Bergen and the zones of Svalbard as in the Veness geodesy tests.
    assert geodesy.utm_epsg(Position(latitude, longitude)) == epsg


@pytest.mark.parametrize(
    "row",
    [
        row
        for row in published.rows("coordinates", zone_is_standard="yes")
        if row["datum"] == "WGS84" and row["easting_m"]
    ],
    ids=lambda row: row["id"],
)
def test_zone_easting_and_northing_agree_with_published_examples(row):
    position = Position(float(row["lat_deg"]), float(row["lon_deg"]))

    assert geodesy.utm_epsg(position) == int(row["epsg"])
    assert geodesy.easting_northing(position, int(row["epsg"])) == pytest.approx(
        (float(row["easting_m"]), float(row["northing_m"])), abs=float(row["tol_m"])
    )


@pytest.mark.parametrize(
    ("latitude", "longitude", "epsg"),
    [
        pytest.param(41, 2, 4326, id="no projection"),
        pytest.param(41, 2, 999999, id="unknown code"),
        pytest.param(41, 2, 3857, id="web mercator"),
        pytest.param(41, 40, 32631, id="far outside the zone"),
        pytest.param(88, 0, 32631, id="beyond 84 north"),
        pytest.param(70, -22, 2221, id="a projection that PROJ does not compute"),
    ],
)
def test_a_grid_that_does_not_suit_is_refused(latitude, longitude, epsg):
    with pytest.raises(geodesy.UnsuitableGrid):
        geodesy.convergence(Position(latitude, longitude), epsg)


def test_utm_ends_near_the_poles():
    with pytest.raises(geodesy.UnsuitableGrid):
        geodesy.utm_epsg(Position(84.5, 0))
