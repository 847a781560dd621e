"""The sun's azimuth against the Solar Position Algorithm's published example and two libraries that
share no code.
"""

import datetime

import pytest

from exercises.domain.earth import sun
from exercises.domain.earth.angles import difference
from exercises.domain.earth.geodesy import Position
from tests import published

SPA_DEG = 2.5e-4  # against pvlib's SPA: the largest seen is 1.5e-4
# between libraries: what the Earth's rotation is not predictable by, years ahead
LIBRARIES_DEG = 0.005
ROWS = published.rows("sun_azimuth")


def found(row):
    at = datetime.datetime.fromisoformat(row["utc"].replace("Z", "+00:00"))
    return sun.sun(
        Position(float(row["lat_deg"]), float(row["lon_deg"]), float(row["height_m"])), at
    )


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["published_azimuth_deg"]], ids=lambda row: row["source"][:30]
)
def test_the_azimuth_is_the_published_one(row):
    # NREL/TP-560-34302, Table A5.1, and two values published with pvlib.
    assert difference(found(row).azimuth_deg, float(row["published_azimuth_deg"])) == pytest.approx(
        0, abs=SPA_DEG
    )


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["utc"])
def test_the_azimuth_agrees_with_two_independent_libraries(row):
    assert difference(found(row).azimuth_deg, float(row["azimuth_pvlib_spa_deg"])) == pytest.approx(
        0, abs=SPA_DEG
    )
    assert difference(found(row).azimuth_deg, float(row["azimuth_astropy_deg"])) == pytest.approx(
        0, abs=LIBRARIES_DEG
    )
    assert found(row).elevation_deg == pytest.approx(
        float(row["elevation_geometric_astropy_deg"]), abs=LIBRARIES_DEG
    )


def test_a_time_in_another_zone_is_the_same_moment():
    place, noon = (
        Position(-45.13, 170.10),
        datetime.datetime(2026, 11, 26, 20, 0, tzinfo=datetime.UTC),
    )

    assert (
        sun.sun(place, noon).azimuth_deg
        == sun.sun(
            place, noon.astimezone(datetime.timezone(datetime.timedelta(hours=13)))
        ).azimuth_deg
    )


def test_the_shadow_points_away_from_the_sun():
    one = sun.Sun(80.0, 30.0, 0.2)

    assert one.shadow_deg == 260.0


def test_half_a_minute_of_clock_counts_by_how_fast_the_shadow_turns():
    # 0.3 degrees a minute, the clock good to 30 s either way: 0.15 / sqrt(3); the sun's half width
    # 0.27 / sqrt(3). GUM 4.3.7.
    assert sun.Sun(80.0, 30.0, 0.3).uncertainty_deg(30) == pytest.approx(
        ((0.15**2 + 0.27**2) / 3) ** 0.5
    )


@pytest.mark.parametrize(("hour", "said"), [(11, "no usable shadow"), (0, "short and turns fast")])
def test_a_sun_that_is_too_low_or_too_high_gives_no_shadow(hour, said):
    # 26 November at 45 south: midnight is at about 11:40 UTC, noon at 0:27 UTC with the sun 66
    # degrees high.
    with pytest.raises(sun.NoShadow, match=said):
        sun.shadow(
            Position(-45.13, 170.10), datetime.datetime(2026, 11, 26, hour, 27, tzinfo=datetime.UTC)
        )


def test_a_morning_sun_gives_a_shadow():
    assert (
        sun.shadow(
            Position(-45.13, 170.10), datetime.datetime(2026, 11, 25, 20, 0, tzinfo=datetime.UTC)
        ).turning_deg_per_min
        < 0
    )
