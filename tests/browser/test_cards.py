"""A station's card: scanned with signal and without."""

import re

from .conftest import PHONE, expect
from .test_journeys import join


def card_at(field, code):
    """The short code on the card of a station of the open class."""
    ((card,),) = field.rows(
        "SELECT p.card_code FROM exercises_point p JOIN exercises_site s ON s.id = p.site_id "
        "WHERE p.code = ? AND s.name LIKE 'Matagouri%'",
        code,
    )
    return card


def test_a_card_scanned_before_joining_leads_through_joining_to_its_station(page_of, field):
    """2026-11-27: it said that the page needs signal, with full signal, and had to be scanned
    again.
    """
    phone = page_of(PHONE)
    phone.goto(f"{field.address}/s/{card_at(field, 'D')}/")
    expect(phone.get_by_text("This is the card of station D")).to_be_visible()
    expect(phone.get_by_text("needs signal")).to_be_hidden()
    phone.get_by_label("Class code").fill(f"{field.code[:3].lower()} {field.code[3:]}")
    phone.get_by_role("button", name="Join the class").click()
    phone.get_by_label("Your name").fill("Mia")
    phone.get_by_role("button", name="Join", exact=True).click()

    expect(phone.get_by_role("heading", name=re.compile("Bore field"))).to_be_visible()


def test_a_card_opens_its_station_with_the_server_dead(page_of, own_field):
    phone = page_of(PHONE)
    phone.goto(own_field.address)
    phone.wait_for_function("() => navigator.serviceWorker.controller !== null")
    join(phone, own_field.address, own_field.code)
    card = card_at(own_field, "D")
    phone.goto(f"{own_field.address}/s/{card}/")
    expect(phone.locator("[data-station-name]")).to_have_text("Bore field")
    own_field.kill()
    phone.goto(f"{own_field.address}/s/{card.lower()}/")

    expect(phone.locator("[data-station-name]")).to_have_text("Bore field")
    expect(phone.get_by_text("Peg at the fork of the two tracks")).to_be_visible()
