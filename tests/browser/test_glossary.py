"""A word that one does not know, in a real browser: beside it, at a task, without signal."""

import re

import pytest

from tests import demonstration

from .conftest import LAPTOP, PHONE, expect, sign_in
from .test_journeys import join, open_first_task
from .test_phone_screens import held, reversed_text, send

pytestmark = pytest.mark.django_db(transaction=True)
OUTSIDE = """() => [...document.querySelectorAll("main svg:not(.window) text")].filter((text) => {
  const own = text.getBoundingClientRect();
  const sheet = text.closest("svg").getBoundingClientRect();
  return own.left < sheet.left - 1 || own.right > sheet.right + 1
    || own.top < sheet.top - 1 || own.bottom > sheet.bottom + 1;
}).map((text) => text.textContent)"""


def test_a_task_and_its_result_explain_their_own_words(page_of, live_server):
    phone, made = page_of(PHONE), held("at_once")
    join(phone, live_server.url, made.code)
    open_first_task(phone)
    sign = phone.locator("[data-view=task] .about summary")
    expect(phone.get_by_text("counted clockwise from north")).to_be_hidden()
    sign.focus()
    sign.press("Enter")
    expect(phone.get_by_text("counted clockwise from north")).to_be_visible()
    send(phone, reversed_text(made))
    phone.locator("[data-view=result] .about summary").click()

    expect(phone.get_by_role("img", name=re.compile("Three needles"))).to_be_visible()
    expect(phone.get_by_text("the mark may be red, white or an N")).to_be_visible()


def test_the_page_of_words_is_searched_by_letters_and_found_by_its_address(page_of, live_server):
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/words/")
    phone.get_by_label("Find a word").fill("magnetic NORTH")
    expect(phone.locator("#magnetic_north")).to_be_visible()
    expect(phone.locator("#pace")).to_be_hidden()
    expect(phone.get_by_role("status")).to_have_text(re.compile(r"^\d words found\.$"))
    phone.locator("#declination").get_by_role("link", name="Compass with").click()

    expect(phone.locator("#set_compass")).to_be_in_viewport()
    expect(phone.get_by_label("Find a word")).to_have_value("")


def test_words_can_be_looked_up_without_signal(page_of, field):
    phone = page_of(PHONE)
    phone.goto(f"{field.address}/")
    phone.evaluate("navigator.serviceWorker.ready")
    phone.context.set_offline(True)
    phone.goto(f"{field.address}/words/#pace")

    expect(phone.locator("#pace")).to_be_in_viewport()


def test_the_desk_opens_a_word_at_its_field_without_a_script(page_of, live_server):
    demonstration.load()
    desk = page_of(LAPTOP, java_script_enabled=False)
    sign_in(desk, live_server.url)
    desk.goto(f"{live_server.url}/sites/new/")
    desk.get_by_text("Another grid than UTM").click()
    desk.locator(".about summary").click()

    expect(desk.get_by_text("in 60 zones")).to_be_visible()


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_is_written_in_a_drawing_stays_inside_it(page_of, live_server, language):
    phone = page_of(PHONE)
    phone.context.add_cookies(
        [{"name": "navclass_language", "value": language, "url": live_server.url}]
    )
    phone.goto(f"{live_server.url}/words/")

    assert phone.evaluate(OUTSIDE) == []
