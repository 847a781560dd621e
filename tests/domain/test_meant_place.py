"""Whether a place was meant: slips are made of true places, and must lead back to them."""

import pytest
from hypothesis import assume, given, strategies as st

from exercises.domain.earth import coordinates, geodesy
from exercises.domain.earth.geodesy import Position
from exercises.domain.earth.zones import is_high_seas, zone_at
from exercises.domain.tasks.meant_place import Doubt, Meant, doubt, exchanged
from exercises.domain.tasks.site import FAR_FROM_SITE_M
from exercises.world.towns import all_towns

CAPE = Position(-42.1247, 146.2048)  # in Tasmania; the number 146 is no latitude
HALIFAX = Position(44.65, -63.57)
ANY = st.builds(Position, st.floats(-80, 84), st.floats(-90, 90))
TOWNS = st.sampled_from([town for town in all_towns() if abs(town.longitude_deg) <= 84])


@given(ANY)
def test_exchanging_twice_gives_the_place_again(position):
    assert exchanged(exchanged(position)) == position


def test_a_longitude_beyond_90_is_no_latitude():
    assert exchanged(CAPE) is None


@given(ANY)
def test_a_place_near_the_points_of_its_site_is_believed(position):
    assert doubt(position, near=position, own_zone="Europe/Oslo") is None


@given(ANY)
def test_an_exchanged_place_leads_back_to_the_points_of_its_site(position):
    typed = exchanged(position)
    assume(abs(typed.latitude_deg) <= 84)
    assume(geodesy.apart_m(typed, position) > FAR_FROM_SITE_M)

    found = doubt(typed, near=position)

    assert found.why == "far"
    assert found.meant[0] == Meant("exchanged", position)


@given(ANY, st.sampled_from([(-1, 1), (1, -1), (-1, -1)]))
def test_a_sign_left_out_leads_back_to_the_points_of_its_site(position, signs):
    typed = Position(signs[0] * position.latitude_deg, signs[1] * position.longitude_deg)
    assume(geodesy.apart_m(typed, position) > FAR_FROM_SITE_M)

    assert position in [meant.position for meant in doubt(typed, near=position).meant]


@given(TOWNS)
def test_a_town_typed_the_wrong_way_round_by_who_lives_there_is_noticed(town):
    typed, home = exchanged(town.position), zone_at(town.position)
    assume(zone_at(typed) != home)

    assert Meant("exchanged", town.position) in doubt(typed, own_zone=home).meant


@given(TOWNS)
def test_a_town_typed_rightly_by_who_lives_there_is_believed(town):
    home = zone_at(town.position)
    assume(not is_high_seas(home))

    assert doubt(town.position, own_zone=home) is None


def test_without_a_zone_of_ones_own_land_is_believed_and_sea_is_not():
    assert doubt(HALIFAX) is None

    found = doubt(exchanged(HALIFAX))

    assert (found.why, found.meant[0]) == ("sea", Meant("exchanged", HALIFAX))


def test_what_lies_in_open_sea_whatever_its_signs_has_nothing_to_offer():
    # 45 south and north, 150 east and west: the Tasman Sea and the North Pacific, and no twins
    assert doubt(Position(-48.0, 160.0)) == Doubt("sea", ())


@pytest.mark.parametrize(
    "text", ["146.2048, -42.1247", "146,2048; -42,1247", "146°12.288' -42°07.482'"]
)
def test_a_text_whose_longitude_comes_first_can_be_exchanged(text):
    found = coordinates.read_exchanged(text)

    assert geodesy.apart_m(found, CAPE) < 2.0


@given(st.floats(-84, 84), st.floats(90.5, 180), st.sampled_from([-1, 1]))
def test_whatever_longitude_beyond_90_comes_first_can_be_exchanged(latitude, longitude, sign):
    text = f"{sign * longitude:.6f}, {latitude:.6f}"

    found = coordinates.read_exchanged(text)

    assert (found.latitude_deg, found.longitude_deg) == (
        pytest.approx(latitude, abs=1e-6),
        pytest.approx(sign * longitude, abs=1e-6),
    )


@pytest.mark.parametrize("text", ["", "Hobart", "42.1 S, 146.2 E", "59G 429226 5002214"])
def test_a_text_that_has_letters_or_no_angles_cannot_be_exchanged(text):
    assert coordinates.read_exchanged(text) is None
