"""Readings and people that come in another way: by hand, by code, from another phone."""

import io

import pytest

from tests import optional

from .conftest import LAPTOP, PHONE, expect, sign_in
from .test_promises import ONE_KEPT, joined, read_first, with_signal_again


def to_handover(page):
    """From a task to the readings that can be shown to the instructor."""
    page.get_by_role("button", name="Stations").click()
    page.get_by_role("link", name="Show readings to your instructor").click()


def test_a_dead_phone_is_replaced_with_the_personal_code_and_nothing_is_doubled(page_of, field):
    dead, other = joined(page_of(PHONE), field), page_of(PHONE)
    dead.context.set_offline(True)
    read_first(dead)
    expect(dead.locator("[data-status]")).to_contain_text(ONE_KEPT)
    dead.get_by_role("button", name="Stations").click()
    dead.get_by_text("If this phone dies").click()
    code = dead.locator(".personal-code").inner_text()

    other.goto(f"{field.address}/c/{field.code}/join/")
    other.get_by_role("link", name="I was in this class with another phone").click()
    other.get_by_label("Your personal code").fill(code.lower())
    other.get_by_role("button", name="Go on").click()
    expect(other.get_by_text("This phone writes for Mia.")).to_be_visible()
    read_first(other, "122")
    expect(other.get_by_role("heading", name="The opposite way")).to_be_visible()
    dead.context.set_offline(False)
    expect(dead.locator("[data-status]")).to_have_text("All readings sent.")

    assert field.readings() == [("Mia", "1", "122", 1, "phone"), ("Mia", "1", "302", 2, "phone")]
    assert field.rows(
        "SELECT count(*) FROM exercises_person p JOIN exercises_courseclass c ON c.id = "
        "p.course_class_id WHERE c.code = ? AND p.group_id IS NULL",
        field.code,
    ) == [(1,)]


def scanned(page):
    """What an independent reader sees in the picture on the screen."""
    zxing, image = optional.package("zxingcpp"), optional.package("PIL.Image")
    # QR alone: among so many modules a reader of all kinds now and then sees bars.
    return [
        code.text
        for code in zxing.read_barcodes(
            image.open(io.BytesIO(page.locator(".scan").first.screenshot())),
            formats=zxing.BarcodeFormat.QRCode,
        )
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_readings_that_find_no_network_are_scanned_off_the_screen_and_counted_once(
    page_of, field, scheme
):
    phone, desk = (
        joined(page_of(PHONE, color_scheme=scheme, device_scale_factor=2), field, "Zoë"),
        page_of(LAPTOP),
    )
    phone.context.set_offline(True)
    read_first(phone)
    expect(phone.locator("[data-status]")).to_contain_text(ONE_KEPT)
    to_handover(phone)
    expect(phone.locator(".scan")).to_be_visible()
    (address,) = scanned(phone)

    sign_in(desk, field.address)
    desk.goto(address)
    expect(desk.get_by_role("row", name="Zoë 1 302")).to_be_visible()
    desk.get_by_role("button", name="Take them in").click()
    expect(desk.get_by_text("One reading taken in.")).to_be_visible()
    with_signal_again(phone)
    assert field.readings() == [("Zoë", "1", "302", 1, "handed")]


def test_the_text_beside_the_picture_can_be_pasted(page_of, field):
    phone, desk = joined(page_of(PHONE), field), page_of(LAPTOP)
    phone.context.set_offline(True)
    read_first(phone)
    to_handover(phone)
    text = phone.get_by_label("The same as text, to copy").input_value()
    sign_in(desk, field.address)
    desk.get_by_role("link", name="Thursday beginners").first.click()
    desk.get_by_role("link", name="Take in readings").click()
    desk.get_by_label("Text from the phone").fill(text)
    desk.get_by_role("button", name="Look at them").click()
    desk.get_by_role("button", name="Take them in").click()

    expect(desk.get_by_text("One reading taken in.")).to_be_visible()
    assert field.readings() == [("Mia", "1", "302", 1, "handed")]


def test_a_phone_that_lost_its_cookie_is_brought_back_from_the_page_of_joining(page_of, field):
    phone = joined(page_of(PHONE), field)
    phone.context.clear_cookies()
    phone.goto(f"{field.address}/c/{field.code}/join/")

    expect(phone.get_by_text("This phone writes for Mia.")).to_be_visible()
