"""Time zones of places, against positions and time zones that others publish."""

import zoneinfo

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth.geodesy import Position
from exercises.domain.earth.zones import is_high_seas, zone_at
from exercises.world.towns import all_towns

EVERYWHERE = st.builds(Position, st.floats(-90, 90), st.floats(-180, 180))
# Of the towns of GeoNames, which have their time zone from its own outlines, 0.6 % get another
# here: at borders, and where two zones are disputed or alike (Urumqi, Bangkok and Ho Chi Minh).
OTHER_SHARE = 0.0065


@pytest.mark.parametrize(
    ("observatory", "latitude", "longitude", "zone"),
    [
        ("Niemegk", 52.072, 12.675, "Europe/Berlin"),
        ("Eskdalemuir", 55.314, -3.206, "Europe/London"),
        ("Kakioka", 36.232, 140.186, "Asia/Tokyo"),
        ("Canberra", -35.315, 149.363, "Australia/Sydney"),
        ("Eyrewell", -43.474, 172.393, "Pacific/Auckland"),
        ("Honolulu", 21.316, -158.000, "Pacific/Honolulu"),
        ("Hartebeesthoek", -25.883, 27.707, "Africa/Johannesburg"),
        ("Boulder", 40.137, -105.237, "America/Denver"),
        ("Huancayo", -12.050, -75.330, "America/Lima"),
    ],
)
def test_a_magnetic_observatory_lies_in_the_zone_of_its_country(
    observatory, latitude, longitude, zone
):
    # Positions as INTERMAGNET lists them (from memory); zones: the IANA database's own for the land
    assert zone_at(Position(latitude, longitude)) == zone


def test_towns_lie_in_the_zone_that_geonames_gives_them_but_for_a_few_at_borders():
    towns = all_towns()

    other = [town for town in towns if zone_at(town.position) != town.zone]

    assert len(other) / len(towns) < OTHER_SHARE


def test_no_town_lies_on_the_high_seas():
    # La Aguada in Venezuela is put into the Caribbean by GeoNames itself, 300 km off the coast
    at_sea = [town.name for town in all_towns() if is_high_seas(zone_at(town.position))]

    assert at_sea == ["La Aguada"]


@pytest.mark.parametrize(("longitude", "zone"), [(-35, "Etc/GMT+2"), (-20, "Etc/GMT+1")])
def test_the_high_seas_have_the_hour_of_their_meridian(longitude, zone):
    # 15 degrees an hour; the IANA database's Etc zones are positive to the west ("etcetera" file)
    assert zone_at(Position(40, longitude)) == zone


@given(EVERYWHERE)
def test_every_place_has_a_zone_of_the_database(position):
    assert zone_at(position) in zoneinfo.available_timezones()
