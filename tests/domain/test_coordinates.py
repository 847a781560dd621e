"""Places as people write them. UTM and MGRS against published conversions; the notations of degrees
are common practice, no source.
"""

import math

import mgrs
import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth import geodesy
from exercises.domain.earth.coordinates import (
    NotAPlace,
    read_degrees,
    read_grid,
    read_pair,
    read_place,
)
from exercises.domain.earth.geodesy import Position
from tests import published

OTAGO = Position(-45.13, 170.10)
UTM_ROWS = [row for row in published.rows("coordinates") if row["mgrs_1m"] and row["easting_m"]]
FORCED = [
    row for row in published.rows("coordinates") if row["easting_m"] and row["datum"] == "WGS84"
]


def in_minutes(degrees, letters):
    """Degrees and decimal minutes to about a decimetre; `letters` for positive and negative."""
    whole, rest = divmod(round(abs(degrees) * 600_000), 600_000)
    return f"{whole:02d}°{rest // 10_000:02d}.{rest % 10_000:04d}'{letters[degrees < 0]}"


def in_mgrs(latitude_deg, longitude_deg):
    # A hair south of the equator has a northing of 10,000 km, which MGRS cannot say.
    return mgrs.MGRS().toMGRS(latitude_deg if abs(latitude_deg) > 1e-7 else 0.0, longitude_deg)


def near(place, latitude, longitude):
    return geodesy.apart_m(place.position, Position(latitude, longitude))


@pytest.mark.parametrize("row", FORCED, ids=lambda row: f"{row['source'][:20]} {row['id']}")
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


@pytest.mark.parametrize(
    ("easting", "northing", "latitude", "longitude", "source"),
    [
        pytest.param(
            "651409.804",
            "313177.450",
            52.658007833,
            1.716073973,
            "Caister Water Tower, OSTN",
            id="Transformations and OSGM15 User Guide, annexe A",
        ),
        pytest.param("614300", "159900", 51.297880, 1.072628, "TR 143 599", id="OSTN02 example"),
    ],
)
def test_an_old_datum_is_turned_to_within_what_the_transformation_states(
    easting, northing, latitude, longitude, source
):
    # Published with the national shift grid, which is not installed; without it the transformation
    # states 2 m (EPSG 1314: average 2 m, at most 5 m).
    place = read_grid(easting, northing, 27700)

    assert near(place, latitude, longitude) < 5.0
    assert place.transformation_m == 2.0
    assert "OSGB36 to WGS 84 (6)" in place.transformation


def test_a_grid_on_the_same_datum_needs_no_transformation():
    place = read_grid("448251.898", "5411943.794", 32631)  # Eiffel Tower, Veness

    assert near(place, 48.8583, 2.2945) < 0.001
    assert place.transformation_m is None


@pytest.mark.parametrize(
    "text",
    [
        "-45.130194, 170.100306",
        "45.130194 S 170.100306 E",
        "S45.130194 E170.100306",
        "45.130194° S, 170.100306° E",
        "45,130194 S; 170,100306 E",
        "-45,130194; 170,100306",
        "-45,130194 170,100306",
        "45 07.81164 S 170 06.01836 E",
        "45°07.81164'S, 170°06.01836'E",
        "45° 07′ 48.698″ S 170° 06′ 01.102″ E",
        "45°07'48.698\"S 170°06'01.102\"E",
        "45 07 48.698 S, 170 06 01.102 E",
        "170.100306 E 45.130194 S",
        "lat: -45.130194 lon: 170.100306",
        "(-45.130194, 170.100306)",
        "geo:-45.130194,170.100306",
        "geo:-45.130194,170.100306;crs=wgs84;u=12",
        "https://maps.example.org/?q=-45.130194,170.100306&z=17",
        "Here I am: https://m.example.org/@-45.130194,170.100306,17z",
        "https://m.example.org/place/@-45.130193,170.100305/data=!3d-45.130194!4d170.100306",
        "S 45.130194 O -189.899694".replace("O -189.899694", "E 170.100306"),
    ],
)
def test_one_place_is_read_in_every_notation(text):
    assert near(read_place(text, OTAGO), -45.130194, 170.100306) < 0.15


def test_o_is_the_west_of_spanish_speakers():
    assert read_place("40.2 N, 5.5 O").position == Position(40.2, -5.5)


@pytest.mark.parametrize(
    ("text", "resolution"),
    [
        ("-45.13, 170.10", 556.6),
        ("-45.13020, 170.10030", 0.5566),
        ("45°07'48\"S 170°06'01\"E", 15.46),
        ("59GML292022", 50.0),
    ],
)
def test_how_finely_a_place_was_written_is_known(text, resolution):
    assert read_place(text, OTAGO).resolution_m == pytest.approx(resolution, rel=1e-3)


def test_the_uncertainty_of_a_link_is_kept():
    assert read_place("geo:-45.1302,170.1003;u=12").uncertainty_m == 12.0  # RFC 5870, 3.4.3


def test_a_link_that_asks_for_a_place_is_read_by_what_it_asks_for():
    assert near(read_place("geo:0,0?q=-45.130194,170.100306(Gate)"), -45.130194, 170.100306) < 0.15


def test_an_uncertainty_without_end_is_passed_over():
    assert read_place("geo:-45.1302,170.1003;u=" + "9" * 300).uncertainty_m is None


def test_a_letter_that_is_a_band_and_a_hemisphere_is_settled_by_the_northing():
    assert near(read_place("59S 429226 5002214"), -45.130001, 170.099989) < 1
    assert read_place("30S 500000 4000000").position.latitude_deg == pytest.approx(
        36.1447, abs=1e-4
    )  # in band S, 32 to 40 north


def test_a_utm_reference_without_a_letter_lies_near_the_site():
    assert near(read_place("59 429226 5002214", OTAGO), -45.130001, 170.099989) < 1
    with pytest.raises(NotAPlace, match="north or south"):
        read_place("59 429226 5002214")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Nothing here"),
        ("the gate", "not a place"),
        ("nan, nan", "not a place"),
        ("91, 10", "exchanged"),
        ("170.1003, -45.1302", "exchanged"),
        ("45, 181", "longitude"),
        ("45,1302,170,1003", "commas stand in the numbers and between"),
        ("45,1302, 170.1003", "mixes decimal points and decimal commas"),
        ("45.1302 170,1003", "mixes"),
        ("45,130", "is the comma a decimal mark"),
        ("45.1.2, 170", "only the last"),
        ("45 61 S 170 E", "stay below 60"),
        ("-45.1302 S 170 E", "two signs"),
        ("45 N 46 N", "one axis"),
        ("18SUU840", "odd number of digits"),
        ("59GML", "at least 4 digits"),
        ("61 N 500000 5000000", "not a UTM zone"),
        ("59G 429226 9902214", "no place of UTM zone 59"),
        ("geo:45.1,170.1;crs=nad27", "WGS 84"),
        (
            "https://x.example/45.13020,170.10030 and https://x.example/45.14020,170.10030",
            "several places",
        ),
        ("9" * 600, "longer than 500"),
        ("45.1302", "not a place"),
        ("=1+1", "not a place"),
        ("45.1302 S 170.1003 E extra", "not a place"),
    ],
)
def test_what_is_no_single_place_is_refused_with_a_reason(text, said):
    with pytest.raises(NotAPlace, match=said):
        read_place(text)


@given(st.text(max_size=80))
def test_any_text_is_a_place_or_refused(text):
    try:
        place = read_place(text, OTAGO)
    except (NotAPlace, geodesy.PositionOutOfRange):
        return
    assert math.isfinite(place.resolution_m)


@given(st.floats(-79, 83), st.floats(-179.9, 179.9))
def test_what_is_written_in_minutes_is_read_back(latitude, longitude):
    text = f"{in_minutes(latitude, 'NS')} {in_minutes(longitude, 'EW')}"

    assert near(read_place(text), latitude, longitude) < 0.15


@given(st.floats(-79, 83), st.floats(-179.9, 179.9))
def test_what_is_written_in_mgrs_is_read_back_to_the_metre(latitude, longitude):
    assert near(read_place(in_mgrs(latitude, longitude)), latitude, longitude) < 1.0


@pytest.mark.parametrize(
    ("latitude", "longitude", "said"),
    [
        ("45.13 E", "170.1 E", "one axis"),
        ("x", "170", "not a latitude"),
        ("45", "", "not a longitude"),
        ("170.1", "-45.1", "exchanged"),
    ],
)
def test_two_cells_that_give_no_place_say_which_is_wrong(latitude, longitude, said):
    with pytest.raises(NotAPlace, match=said):
        read_pair(latitude, longitude)


def test_cells_in_the_other_order_are_understood_by_their_letters():
    assert read_pair("170.1003 E", "45.1302 S").position == Position(-45.1302, 170.1003)


def test_a_latitude_alone_refuses_the_letter_of_the_other_axis():
    assert read_degrees("45°07.812'S", "latitude") == -45.1302
    with pytest.raises(NotAPlace, match="the other one"):
        read_degrees("45.13 E", "latitude")


@pytest.mark.parametrize(
    ("easting", "northing", "epsg", "said"),
    [
        ("500000", "4000000", 27700, "outside EPSG 27700"),
        ("313177", "651409", 2193, "outside EPSG 2193"),
        ("1", "2", 99, "not known"),
        ("1", "2", 4978, "no place on a map"),
        ("5", "6", 10**8, "not known"),
    ],
)
def test_a_grid_refuses_what_lies_outside_it(easting, northing, epsg, said):
    with pytest.raises(geodesy.UnsuitableGrid, match=said):
        read_grid(easting, northing, epsg)


def test_numbers_of_a_grid_are_numbers():
    with pytest.raises(NotAPlace, match="“1e9” is not a number"):
        read_grid("1e9", "2", 2193)
