"""A new site in a real browser: by a tap on the map, a town's name, the device's own position."""

import re

import pytest

from exercises.models import Site
from exercises.usecases import load_demo
from tests import cast

from .conftest import LAPTOP, PHONE, expect, sign_in

pytestmark = pytest.mark.django_db(transaction=True)
HOBART = {"latitude": -42.8826, "longitude": 147.3257, "accuracy": 8}


@pytest.fixture
def new_site(page_of, live_server):
    """The form of a new site on a device, signed in."""
    cast.instructor(load_demo.USERNAME, load_demo.PASSWORD)

    def opened(viewport=PHONE, host="localhost", **options):
        page, address = page_of(viewport, **options), live_server.url.replace("localhost", host)
        sign_in(page, address)
        expect(page.get_by_role("heading", name="Sites")).to_be_visible()
        page.goto(f"{address}/sites/new/")
        return page

    return opened


def test_a_tap_on_the_map_is_said_back_and_each_further_one_goes_nearer(new_site):
    page = new_site(LAPTOP)
    world = page.locator("[data-map]")
    expect(world.locator("path.map-land")).to_be_attached()

    box = world.bounding_box()
    page.mouse.click(box["x"] + box["width"] * 0.56, box["y"] + box["height"] * 0.55)  # Africa
    expect(page.locator(".place-words")).to_be_visible()
    first = page.get_by_label("Place").input_value()
    page.mouse.click(box["x"] + box["width"] / 2 + 40, box["y"] + box["height"] / 2)
    expect(page.get_by_label("Place")).not_to_have_value(first)
    second = page.get_by_label("Place").input_value()

    (lat_1, lon_1), (lat_2, lon_2) = (map(float, text.split(",")) for text in (first, second))
    assert abs(lat_1 - lat_2) < 1.0
    assert 0.5 < lon_2 - lon_1 < 5.0  # forty pixels at a scale three steps nearer
    expect(page.locator(".map-cross")).to_be_visible()


def test_a_towns_name_leads_to_a_site(new_site):
    page = new_site()
    page.get_by_label("Name").fill("Ben Lomond")
    page.get_by_label("Place").fill("launceston")
    page.get_by_role("button", name=re.compile("^Launceston, Australia")).click()
    expect(page.get_by_text("Australia, in Launceston.")).to_be_visible()
    expect(page.get_by_text("Time zone Australia/Hobart")).to_be_visible()
    page.get_by_role("button", name="Save").click()

    expect(page.get_by_role("heading", name="Ben Lomond")).to_be_visible()
    assert (Site.objects.get().latitude, Site.objects.get().longitude) == (-41.44, 147.13)


def test_a_device_gives_its_own_position(new_site):
    page = new_site(geolocation=HOBART, permissions=["geolocation"])

    page.get_by_role("button", name="Use the position of this device").click()

    expect(page.get_by_label("Place")).to_have_value("-42.88260, 147.32570")
    expect(
        page.get_by_text("42.8826° south, 147.3257° east: Australia, in Hobart.")
    ).to_be_visible()


def test_an_exchanged_place_is_put_right_without_a_new_page(new_site):
    page = new_site(timezone_id="Australia/Hobart")
    page.get_by_label("Name").fill("Ben Lomond")
    page.get_by_label("Place").fill("147.3257, -42.8826")

    page.get_by_role("button", name="Exchange latitude and longitude").click()

    expect(page.get_by_label("Place")).to_have_value("-42.882600, 147.325700")
    expect(page.get_by_label("Name")).to_have_value("Ben Lomond")
    expect(page.get_by_text("Australia, in Hobart.")).to_be_visible()


def test_over_plain_http_the_page_says_why_there_is_no_position(new_site):
    page = new_site(host="class.lan")  # no secure context, as on a hotspot

    expect(page.get_by_text("browsers tell a position over https only")).to_be_visible()
    expect(page.get_by_role("button", name="Use the position of this device")).to_be_hidden()


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_the_form_is_no_wider_than_its_screen(new_site, width):
    page = new_site({"width": width, "height": 740})
    page.get_by_label("Place").fill("42.1247, 146.2048")
    expect(page.get_by_text("This lies in open sea.")).to_be_visible()

    assert page.evaluate("document.documentElement.scrollWidth") <= width
