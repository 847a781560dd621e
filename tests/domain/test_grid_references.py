"""References to a grid: UTM and MGRS against published conversions, and where their zones end."""

import pytest

from exercises.domain.earth.coordinates import (
    NotAPlace,
    read_place,
)
from exercises.domain.earth.geodesy import Position
from tests import published

from .test_coordinates import OTAGO, near

UTM_ROWS = [row for row in published.rows("coordinates") if row["mgrs_1m"] and row["easting_m"]]
# One row lies 111 km beyond its zone: a test of formulas, and no reference that anybody uses.
IN_ZONE = [
    row
    for row in published.rows("coordinates", datum="WGS84")
    if row["easting_m"] and "forced" not in row["id"]
]


@pytest.mark.parametrize("row", IN_ZONE, ids=lambda row: f"{row['source'][:20]} {row['id']}")
def test_a_utm_reference_leads_to_the_published_place(row):
    band = "north" if row["hemisphere"] == "N" else "south"

    place = read_place(
        f"{row['zone']} {band} {float(row['easting_m']):.3f} {float(row['northing_m']):.3f}"
    )

    assert (
        near(place, float(row["lat_deg"]), float(row["lon_deg"]))
        < float(row["tol_m"]) * 1.5 + 0.001
    )


@pytest.mark.parametrize(
    "row",
    [row for row in published.rows("coordinates") if row["mgrs_1m"]],
    ids=lambda row: f"{row['source'][:20]} {row['id']}",
)
def test_an_mgrs_reference_leads_to_the_published_square(row):
    # The reference names a square metre; its centre lies within 0.71 m of every place in it, and
    # some rows are rounded to a metre beside.
    place = read_place(row["mgrs_1m"])

    assert near(place, float(row["lat_deg"]), float(row["lon_deg"])) < 0.71 + float(row["tol_m"])
    assert place.resolution_m == 0.5


@pytest.mark.parametrize(
    "row", published.rows("mgrs_reverse", point="centre"), ids=lambda row: row["mgrs"]
)
def test_an_mgrs_reference_is_the_centre_of_its_square(row):
    assert (
        near(
            read_place(row["mgrs"]),
            float(row["lat_published_deg"]),
            float(row["lon_published_deg"]),
        )
        < 2.0
    )


def test_a_square_of_the_old_lettering_is_refused():
    # 18SUU8401, DMA TM 8358.1: the old row letters; in WGS 84 it is no square of band S.
    with pytest.raises(NotAPlace, match="latitude band S"):
        read_place("18SUU8401")


def test_a_letter_that_is_a_band_and_a_hemisphere_is_settled_by_the_northing():
    assert near(read_place("59S 429226 5002214"), -45.130001, 170.099989) < 1


@pytest.mark.parametrize(
    ("site", "taken", "other"),
    [
        pytest.param(Position(36.2, -3.0), 36.14472, -54.14810, id="band S, 32 to 40 north"),
        pytest.param(Position(-54.1, -3.0), -54.14810, 36.14472, id="south of the equator"),
    ],
)
def test_a_letter_that_may_be_a_band_or_a_hemisphere_is_settled_by_the_site(site, taken, other):
    place = read_place("30S 500000 4000000", site)

    assert place.position.latitude_deg == pytest.approx(taken, abs=1e-5)
    assert place.other.latitude_deg == pytest.approx(other, abs=1e-5)


@pytest.mark.parametrize("site", [None, OTAGO], ids=["no site", "a site far from both"])
def test_a_letter_that_may_be_a_band_or_a_hemisphere_is_refused_where_no_site_settles_it(site):
    with pytest.raises(
        NotAPlace,
        match="can be read as 36.14472° N, 3.00000° W and as 54.14810° S".replace(".", "[.]"),
    ):
        read_place("30S 500000 4000000", site)


def test_a_utm_reference_without_a_letter_lies_near_the_site():
    assert near(read_place("59 429226 5002214", OTAGO), -45.130001, 170.099989) < 1
    with pytest.raises(NotAPlace, match="Write north or south"):
        read_place("59 429226 5002214")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("59G 950000 5002214", "outside UTM zone 59"),
        ("30 north 945396.684 110801.833", "outside UTM zone 30"),  # Veness, forced, 111 km beyond
        ("31V 600000 6700000", "outside UTM zone 31"),  # 4.8 E: Norway's 32V begins at 3 E
        ("32X 500000 8500000", "zone 32 ends at 72 degrees north"),
        ("34X 500000 8500000", "zone 34 ends at 72 degrees north"),
        ("36X 500000 8500000", "zone 36 ends at 72 degrees north"),
        ("36 north 500000 8500000", "zone 36 ends at 72 degrees north"),
        ("32XMK0000000000", "not a square"),
        ("0 N 500000 5000000", "not a UTM zone"),
    ],
)
def test_a_grid_reference_outside_its_zone_is_refused(text, said):
    # NGA.SIG.0012 (2014), 7.3: Norway and Svalbard.
    with pytest.raises(NotAPlace, match=said):
        read_place(text)


@pytest.mark.parametrize(
    ("text", "latitude", "longitude"),
    [
        # GDA Technical Manual, Buninyong in zone 55, 6 km west of where that begins
        ("55 south 228854.052 5828259.038", -37.652821141667, 143.926495536111),
        ("32V 297508.41 6700645.30", 60.39135, 5.3249),  # Bergen, Veness geodesy tests
        ("31V CG 88455 53097", 60.0, 1.0),  # PyGeodesy tests
        ("33X VE 45999 36099", 76.0, 13.0),
    ],
)
def test_neighbours_use_a_zone_a_little_beyond_its_edge(text, latitude, longitude):
    assert near(read_place(text), latitude, longitude) < 0.8
