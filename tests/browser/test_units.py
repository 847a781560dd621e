"""A compass marked in mils, on a phone and at the desk: typed, kept without a network, told."""

import re

import pytest

from exercises.models import PaperEntry, Reading
from tests import cast

from .conftest import LAPTOP, PHONE, expect, sign_in
from .test_journeys import type_bearing

pytestmark = pytest.mark.django_db(transaction=True)


def join_with(page, address, code, dial, name):
    """Join with a compass that has a dial, by its words."""
    page.goto(f"{address}/c/{code}/join/?more")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Smallest step on its dial").select_option(label=dial)
    page.get_by_role("button", name="Join", exact=True).click()
    expect(page.get_by_role("button", name=re.compile("Terrace steps"))).to_be_visible()


def first_task(page):
    page.get_by_role("button", name=re.compile("Terrace steps")).click()
    page.locator("[data-tasks] button").first.click()


def test_mils_are_typed_with_four_digits_and_told_in_mils(page_of, live_server, demo):
    phone = page_of(PHONE)
    join_with(phone, live_server.url, demo.code, "20 mils", "Mia")
    first_task(phone)
    expect(phone.locator("[data-north]")).to_have_text("mils magnetic")
    expect(phone.locator("[data-ask]")).to_contain_text("in mils magnetic")
    send = phone.get_by_role("button", name="Send")
    type_bearing(phone, "6401")
    send.click()
    expect(phone.get_by_text("more than a full circle of 6400 mils")).to_be_visible()
    phone.get_by_role("button", name="Clear").click()
    type_bearing(phone, "132")
    send.click()
    phone.get_by_role("button", name="It is 0132").click()

    expect(phone.locator("[data-result]")).to_contain_text("0132 mils magnetic (007°)")
    assert list(Reading.objects.filter(person__name="Mia").values_list("text", "unit")) == [
        ("0132", "mil6400")
    ]


def test_a_reading_in_mils_waits_without_a_network_and_keeps_its_unit(page_of, live_server, demo):
    phone = page_of(PHONE)
    join_with(phone, live_server.url, demo.code, "20 mils", "Mia")
    first_task(phone)
    phone.context.set_offline(True)
    type_bearing(phone, "5369")
    phone.get_by_role("button", name="Send").click()
    expect(phone.locator("[data-result]")).to_contain_text("Task 1: 5369 mils magnetic.")
    phone.context.set_offline(False)
    phone.evaluate("dispatchEvent(new Event('online'))")

    expect(phone.locator("[data-result]")).to_contain_text("5369 mils magnetic (302°)")
    assert Reading.objects.get(person__name="Mia").unit == "mil6400"


def test_two_people_on_one_phone_are_asked_each_in_their_unit(page_of, live_server, demo):
    phone = page_of(PHONE)
    join_with(phone, live_server.url, demo.code, "20 mils", "Ada")
    join_with(phone, live_server.url, demo.code, "2°", "Bela")
    first_task(phone)
    people = phone.locator("[data-view=task] [data-people]")

    people.get_by_role("button", name="Ada").click()
    expect(phone.locator("[data-north]")).to_have_text("mils magnetic")
    type_bearing(phone, "53")
    people.get_by_role("button", name="Bela").click()
    expect(phone.locator("[data-north]")).to_have_text("°\u00a0magnetic")
    expect(phone.locator("[data-reading]")).to_have_value("")
    people.get_by_role("button", name="Ada").click()

    expect(phone.locator("[data-reading]")).to_have_value("53")


def test_who_joins_on_this_phone_is_offered_in_the_task_that_is_open(page_of, live_server, demo):
    phone = page_of(PHONE)
    join_with(phone, live_server.url, demo.code, "20 mils", "Ada")
    first_task(phone)
    people = phone.locator("[data-view=task] [data-people]")
    expect(people).to_be_hidden()

    other = phone.context.new_page()
    join_with(other, live_server.url, demo.code, "2°", "Bela")
    phone.evaluate("window.dispatchEvent(new Event('online'))")

    expect(people.get_by_role("button", name="Bela")).to_be_visible()


def test_a_sheet_in_mils_moves_on_after_four_digits(page_of, live_server, demo):
    demo.unit = "mil6400"
    demo.save()
    (ada, _), (bela, _) = cast.join(demo, "Ada", "Bela")
    desk = page_of(LAPTOP)
    sign_in(desk, live_server.url)
    desk.goto(f"{live_server.url}/classes/{demo.pk}/paper/")
    desk.get_by_label("What the sheet of Bela is in").select_option(label="degrees")
    desk.get_by_label("What the sheet of Ada is in").select_option(label="mils")
    desk.get_by_label("Ada, task 1", exact=True).click()
    desk.keyboard.type("53692715")
    desk.get_by_label("Bela, task 1", exact=True).click()
    desk.keyboard.type("302153")
    desk.get_by_role("button", name="Note it").click()
    expect(desk.get_by_text("Noted.")).to_be_visible()

    assert list(PaperEntry.objects.values_list("person", "task", "text", "unit")) == [
        (ada.pk, "1", "5369", "mil6400"),
        (ada.pk, "2", "2715", "mil6400"),
        (bela.pk, "1", "302", "deg"),
        (bela.pk, "2", "153", "deg"),
    ]


def test_each_unit_of_lengths_stands_beside_its_own_button(page_of, live_server, demo):
    """2026-11-27: the buttons stood in lines of their own, as wide as the page."""
    phone = page_of(PHONE)
    join_with(phone, live_server.url, demo.code, "2°", "Mia")
    phone.goto(f"{live_server.url}/c/{demo.code}/lengths/")
    units = phone.get_by_role("radio").all()
    boxes = [unit.bounding_box() for unit in units]

    assert len(units) == 3
    assert all(box["width"] < 30 for box in boxes)
    assert all(44 <= unit.locator("..").bounding_box()["height"] < 60 for unit in units)
