"""Positions in the forms that rescuers take down."""

import pytest
from hypothesis import given, strategies as st

from exercises.domain.earth import geodesy
from exercises.domain.earth.coordinates import read_place
from exercises.domain.earth.grid_notation import as_mgrs
from exercises.domain.earth.position import Position
from exercises.domain.earth.written_places import decimal_minutes
from exercises.presenting.emergency import utm_text

# IBM developerWorks, coordconvert, listing 7, as in Veness's tests: UTM rounded to a metre, MGRS
# cut (latitude, longitude, UTM, MGRS)
PUBLISHED = [
    (0.13, -0.2324, "zone 30 north, 808084 mE 0014386 mN", "30N ZF 08084 14385"),
    (-45.6456, 23.3545, "zone 34 south, 683474 mE 4942631 mN", "34G FQ 83473 42631"),
    (-12.765, -33.8765, "zone 25 south, 404859 mE 8588691 mN", "25L DF 04859 88691"),
    (23.4578, -135.4545, "zone 8 north, 453580 mE 2594273 mN", "08Q ML 53580 94272"),
    (77.345, 156.9876, "zone 57 north, 450794 mE 8586116 mN", "57X VF 50793 86116"),
]
# not within a metre of the equator, where a northing rounds into the other half
latitudes = st.floats(-79.9, 83.9).filter(lambda degrees: abs(degrees) > 1e-5)
anywhere = st.builds(Position, latitudes, st.floats(-179.9, 179.9))


@pytest.mark.parametrize(("latitude", "longitude", "utm", "mgrs"), PUBLISHED)
def test_grids_are_written_as_published(latitude, longitude, utm, mgrs):
    position = Position(latitude, longitude)

    assert (utm_text(position), as_mgrs(position)) == (utm, mgrs)


@pytest.mark.parametrize(
    ("latitude", "longitude", "written"),
    [
        pytest.param(45.5, -170.25, "45° 30.000' N 170° 15.000' W", id="halves and quarters"),
        pytest.param(-0.00001, 0.0, "00° 00.001' S 000° 00.000' E", id="just south"),
        pytest.param(9.999999, 5.0, "10° 00.000' N 005° 00.000' E", id="sixty minutes"),
    ],
)
def test_minutes_are_written_to_a_thousandth(latitude, longitude, written):
    assert decimal_minutes(Position(latitude, longitude)) == written


@given(anywhere)
def test_what_is_written_is_read_as_the_same_place(position):
    for written in (decimal_minutes(position), utm_text(position), as_mgrs(position)):
        read = read_place(written).position
        assert geodesy.apart_m(position, read) < 1.5
