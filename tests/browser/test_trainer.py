"""The trainer: a compass on the screen, without a class."""

import re

import pytest

from .conftest import LAPTOP, PHONE, expect

pytestmark = pytest.mark.django_db(transaction=True)


def slide(page, label, value):
    page.get_by_label(label).evaluate(
        "(input, value) => { input.value = value; input.dispatchEvent(new Event('input')); }", value
    )


def begin_practice(page, address, place="The hill, declination 12° east"):
    page.goto(f"{address}/practice/")
    page.get_by_role("button", name=place).click()


def test_the_trainer_takes_a_bearing_as_on_the_hill(page_of, live_server, db):
    phone = page_of(PHONE)
    begin_practice(phone, live_server.url)
    expect(
        phone.get_by_role("heading", name="Read the bearing to the windmill, in degrees magnetic.")
    ).to_be_visible()
    slide(phone, "Turn yourself", "34")
    expect(phone.locator("[data-ahead]")).to_contain_text("Ahead: the windmill.")
    slide(phone, "Turn the housing", "22")
    expect(phone.locator("[data-ahead]")).to_contain_text(
        "The north end of the needle lies in the orienting arrow."
    )
    phone.get_by_label("Your bearing").fill("022")
    phone.get_by_role("button", name="Check").click()

    expect(phone.get_by_text("Right.", exact=True)).to_be_visible()
    expect(phone.get_by_text("The answer is 022° magnetic.")).to_be_visible()


def test_the_trainer_gives_a_hint_before_the_answer(page_of, live_server, db):
    phone = page_of(PHONE)
    begin_practice(phone, live_server.url)
    for words in (
        "Which end of the needle lies in the arrow of the dial",
        "Your bearing points the opposite way",
    ):
        phone.get_by_label("Your bearing").fill("202")
        phone.get_by_role("button", name="Check").click()
        expect(phone.locator("[data-said]")).to_contain_text(words)
    expect(phone.locator("[data-said]")).to_contain_text("The answer is 022° magnetic.")


def test_the_trainer_is_gone_through_with_the_keyboard_alone(page_of, live_server, db):
    desk = page_of(LAPTOP)
    begin_practice(desk, live_server.url)
    answers = {"windmill": "022", "chapel tower": "140", "boathouse": "311"}
    for name in ("windmill", "chapel tower"):
        expect(desk.get_by_role("heading", name=re.compile(name))).to_be_visible()
        desk.get_by_label("Your bearing").focus()
        desk.keyboard.type(answers[name])
        desk.keyboard.press("Enter")
        expect(desk.get_by_text("Right.", exact=True)).to_be_visible()
        desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", name=re.compile("Which target lies there"))).to_be_visible()
    body = desk.get_by_label("Turn yourself")
    body.focus()
    while "boathouse" not in desk.locator("[data-ahead]").inner_text():
        desk.keyboard.press("PageUp")
    desk.get_by_role("button", name="This is it").focus()
    desk.keyboard.press("Enter")
    expect(desk.locator("[data-said]")).to_contain_text(re.compile("Right|Look again"))


def test_the_world_turns_under_the_finger_and_the_housing_too(page_of, live_server, db):
    phone = page_of(PHONE)
    begin_practice(phone, live_server.url)
    box = phone.locator("[data-drawing] svg").bounding_box()
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    for name, radius in (("Turn yourself", 0.46), ("Turn the housing", 0.2)):
        before = int(phone.get_by_label(name).input_value())
        phone.mouse.move(middle[0], middle[1] - radius * box["height"])
        phone.mouse.down()
        phone.mouse.move(middle[0] + radius * box["width"], middle[1], steps=12)
        phone.mouse.up()
        expect(phone.get_by_label(name)).to_have_value(
            re.compile("|".join(f"^{(before - turn) % 360}$" for turn in (89, 90, 91)))
        )


def test_the_trainer_opens_without_the_network(page_of, own_field):
    phone = page_of(PHONE)
    phone.goto(own_field.address)
    phone.wait_for_function("() => navigator.serviceWorker.controller !== null")
    own_field.kill()
    begin_practice(phone, own_field.address)

    expect(
        phone.get_by_role("heading", name="Read the bearing to the windmill, in degrees magnetic.")
    ).to_be_visible()


def test_the_trainer_tells_an_aim_that_is_off_from_a_dial_that_is_misread(page_of, live_server, db):
    phone = page_of(PHONE)
    begin_practice(phone, live_server.url)
    slide(phone, "Turn yourself", "45")
    expect(phone.locator("[data-ahead]")).to_contain_text(
        "A little to the left of the travel arrow: the windmill."
    )
    slide(phone, "Turn the housing", "33")
    phone.get_by_label("Your bearing").fill("033")
    phone.get_by_role("button", name="Check").click()

    expect(phone.locator("[data-said]")).to_contain_text("it does not point at the landmark yet")


def test_the_trainers_words_do_not_say_the_answer(page_of, live_server, db):
    phone = page_of(PHONE)
    begin_practice(phone, live_server.url)
    slide(phone, "Turn yourself", "34")

    expect(phone.locator("[data-ahead]")).to_have_text(
        "Ahead: the windmill. The north end of the needle lies to the left of the orienting arrow."
    )


def test_the_trainer_goes_on_where_it_was_after_a_reload(page_of, live_server, db):
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/practice/#bay/3")
    phone.reload()

    expect(phone.locator("[data-step]")).to_have_text("3 of 8")
