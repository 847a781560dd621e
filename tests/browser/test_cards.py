"""A station's card: scanned with signal and without."""

from .conftest import PHONE, expect
from .test_journeys import join


def test_a_card_opens_its_station_with_the_server_dead(page_of, own_field):
    phone = page_of(PHONE)
    phone.goto(own_field.address)
    phone.wait_for_function("() => navigator.serviceWorker.controller !== null")
    join(phone, own_field.address, own_field.code)
    ((card,),) = own_field.rows(
        "SELECT p.card_code FROM exercises_point p JOIN exercises_site s ON s.id = p.site_id "
        "WHERE p.code = 'D' AND s.name LIKE 'Matagouri%'"
    )
    phone.goto(f"{own_field.address}/s/{card}/")
    expect(phone.locator("[data-station-name]")).to_have_text("Bore field")
    own_field.kill()
    phone.goto(f"{own_field.address}/s/{card.lower()}/")

    expect(phone.locator("[data-station-name]")).to_have_text("Bore field")
    expect(phone.get_by_text("Peg at the fork of the two tracks")).to_be_visible()
