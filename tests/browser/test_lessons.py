"""Lessons at home, gone through by tap, by key and without the network."""

import json
import re

import pytest

from exercises.drawing.baseplate import HOUSING

from .conftest import LAPTOP, PHONE, expect

pytestmark = pytest.mark.django_db(transaction=True)


# polls, because a cache says nothing when something comes into it
KEPT = """async (address) => {
    while (!(await caches.match(address))) await new Promise((done) => setTimeout(done, 50));
}"""


def lessons_of(page):
    """What the page brought along, by code."""
    told = json.loads(page.locator("script#lessons").text_content())["lessons"]
    return {lesson["code"]: lesson for lesson in told}


def right_of(told):
    """The place of the right choice of a round."""
    return [choice["is_right"] for choice in told["choices"]].index(True)


def turn_to(page, degrees):
    page.get_by_label("Turn the housing", exact=True).evaluate(
        "(input, value) => { input.value = value; input.dispatchEvent(new Event('input')); }",
        str(degrees),
    )


def leave(page):
    """Leave the page once its worker has looked for a newer one, so that opening it again asks the
    worker, and no question of the worker is cut off in the middle.
    """
    page.evaluate("async () => (await navigator.serviceWorker.ready).update()")
    page.goto("about:blank")


def test_a_lesson_is_gone_through_by_tap_and_ends_with_what_one_can_do(page_of, live_server, db):
    phone = page_of(PHONE, has_touch=True)
    phone.goto(f"{live_server.url}/practice/")
    rounds = lessons_of(phone)["hold"]["sets"][0]
    phone.get_by_role("button", name="Hold it, and face").tap()
    phone.get_by_role("button", name="Begin").tap()
    for number, told in enumerate(rounds, start=1):
        expect(phone.locator("[data-step]")).to_have_text(f"{number} of 3")
        expect(phone.get_by_role("heading", name=told["ask"])).to_be_focused()
        right = right_of(told)
        spots = phone.locator(".tapped")
        if spots.count():  # on the drawing itself
            spots.nth(right).tap()
        else:
            phone.get_by_role("button", name=told["choices"][right]["text"]).tap()
        expect(phone.locator("[data-round-said]")).to_contain_text("Right.")
        phone.get_by_role("button", name="Next").tap()

    expect(phone.get_by_role("heading", name="Done: Hold it, and face")).to_be_focused()
    expect(phone.get_by_text("You can hold a compass so that it points")).to_be_visible()
    expect(phone.locator("[data-end-repeat] li")).to_have_text(
        ["Everything was right at once. Tell somebody at home how it is done."]
    )
    phone.get_by_role("button", name="Next lesson").tap()
    expect(phone.get_by_role("heading", name="Box the needle")).to_be_visible()


def test_a_wrong_choice_is_explained_at_once_and_comes_back_at_the_end(page_of, live_server, db):
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/practice/#read")
    phone.get_by_role("button", name="Begin").click()
    rounds = lessons_of(phone)["read"]["sets"][0]
    for number, told in enumerate(rounds):
        choices = phone.locator("[data-round-choices] button")
        expect(choices).to_have_count(len(told["choices"]))
        right = right_of(told)
        if number == 1:
            wrong = 0 if right else 1
            choices.nth(wrong).click()
            expect(phone.locator("[data-round-said]")).to_contain_text("Look again")
            expect(phone.locator("[data-round-said]")).to_contain_text(
                told["choices"][wrong]["said"]
            )
            expect(phone.get_by_role("button", name="Next")).to_be_hidden()
        choices.nth(right).click()
        phone.get_by_role("button", name="Next").click()

    expect(phone.locator("[data-end-repeat] li")).to_have_text([rounds[1]["repeat"]])
    phone.get_by_role("button", name="Once more, with other questions").click()
    expect(phone.locator("[data-step]")).to_have_text("1 of 3")


def test_a_lesson_is_gone_through_with_keys_alone(page_of, live_server, db):
    desk = page_of(LAPTOP)
    desk.goto(f"{live_server.url}/practice/#end")
    rounds = lessons_of(desk)["end"]["sets"][0]
    desk.get_by_role("button", name="Begin").focus()
    desk.keyboard.press("Enter")
    for told in rounds:
        expect(desk.get_by_role("heading", name=told["ask"])).to_be_focused()
        for _ in range(right_of(told) + 1):
            desk.keyboard.press("Tab")
        desk.keyboard.press("Space")
        expect(desk.get_by_role("button", name="Next")).to_be_focused()
        desk.keyboard.press("Enter")

    expect(desk.get_by_role("heading", name="Done: Which end?", exact=True)).to_be_focused()


def test_a_needle_that_is_not_boxed_yet_is_no_mistake_of_reading(page_of, live_server, db):
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/practice/#box/2")
    answer = round(lessons_of(phone)["box"]["sets"][0][1]["turn"]["answer_deg"])
    for off in (90, -90, 40):
        turn_to(phone, (answer + off) % 360)
        phone.get_by_role("button", name="The needle is boxed").click()

        expect(phone.locator("[data-round-said]")).to_have_text(
            "Look againThe north end of the needle does not lie in the orienting arrow yet."
        )


def test_the_needle_is_boxed_with_keys_and_a_reversed_one_is_told(page_of, live_server, db):
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/practice/#box/2")
    answer = round(lessons_of(phone)["box"]["sets"][0][1]["turn"]["answer_deg"])
    turn_to(phone, (answer + 180) % 360)
    expect(phone.locator("[data-ahead]")).to_contain_text(
        "The south end of the needle lies in the orienting arrow."
    )
    phone.get_by_role("button", name="The needle is boxed").click()
    expect(phone.locator("[data-round-said]")).to_contain_text("points the opposite way")
    turn_to(phone, (answer - 2) % 360)
    phone.get_by_label("Turn the housing", exact=True).press("ArrowRight")
    phone.get_by_label("Turn the housing", exact=True).press("ArrowRight")
    expect(phone.locator("[data-ahead]")).to_contain_text(
        "The north end of the needle lies in the orienting arrow."
    )
    phone.get_by_role("button", name="The needle is boxed").click()

    expect(phone.locator("[data-round-said]")).to_contain_text("Right.")
    expect(phone.get_by_label("Turn yourself")).to_be_hidden()


def test_a_screen_reader_is_told_what_is_drawn_and_what_there_is_to_choose(
    page_of, live_server, db
):
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/practice/#hold/2")
    told = lessons_of(phone)["hold"]["sets"][0][1]
    expect(phone.get_by_role("img", name=told["drawing"]["words"])).to_be_visible()
    group = phone.get_by_role("group", name=told["ask"])
    expect(group.get_by_role("button")).to_have_text(
        ["the windmill", "the water tank", "the chapel tower", "the lone pine", "the boathouse"]
    )
    phone.goto(f"{live_server.url}/practice/#hold/1")
    for choice in lessons_of(phone)["hold"]["sets"][0][0]["choices"]:
        expect(phone.get_by_role("button", name=choice["text"])).to_be_visible()


def test_places_are_named_on_the_drawing(page_of, live_server, db):
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/practice/#hold/2")

    expect(phone.locator("[data-round-stage] .place-name")).to_have_text(
        ["the windmill", "the water tank", "the chapel tower", "the lone pine", "the boathouse"]
    )


# how near a name comes to the middle of the dial, in the drawing's own units
NEAREST = """names => {
    const svg = document.querySelector('[data-round-stage] svg');
    const toDrawing = svg.getScreenCTM().inverse();
    return Math.min(...names.map((name) => {
        const box = name.getBoundingClientRect();
        const corner = (x, y) => new DOMPoint(x, y).matrixTransform(toDrawing);
        const [a, b] = [corner(box.left, box.top), corner(box.right, box.bottom)];
        const inside = (low, high) => Math.min(Math.max(0, low), high);
        return Math.hypot(inside(a.x, b.x), inside(a.y, b.y));
    }));
}"""


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_no_name_of_a_place_lies_on_the_dial(page_of, live_server, db, width):
    phone = page_of({"width": width, "height": 740}, locale="es")
    for address in ("hold/2", "hold/3"):
        phone.goto(f"{live_server.url}/practice/#{address}")
        names = phone.locator("[data-round-stage] .place-name")
        expect(names).to_have_count(5)

        assert names.evaluate_all(NEAREST) > HOUSING


@pytest.mark.parametrize("address", ["hold/2", "read/1", "end/1", "end/2", "map/1"])
@pytest.mark.parametrize("width", [320, 360])
def test_every_spot_to_tap_on_a_drawing_is_at_least_44_pixels(
    page_of, live_server, db, address, width
):
    phone = page_of({"width": width, "height": 640})
    phone.goto(f"{live_server.url}/practice/#{address}")
    boxes = [spot.bounding_box() for spot in phone.locator(".tapped-area").all()]

    assert boxes
    assert min(min(box["width"], box["height"]) for box in boxes) >= 44


def test_what_was_done_is_remembered_and_can_be_forgotten(page_of, live_server, db):
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/practice/?declination=9W&dial=5")
    phone.evaluate(
        "localStorage.setItem('navclass practice lessons', "
        "JSON.stringify({ box: { times: 1, missed: [] } }))"
    )
    phone.goto(f"{live_server.url}/practice/")
    expect(phone.locator("[data-lesson-list] .done")).to_have_text(["done"])
    expect(phone.get_by_role("link", name="Go on with your instructor’s place")).to_have_attribute(
        "href", "/practice/?declination=9W&dial=5"
    )
    phone.get_by_role("button", name="Forget what I have done here").click()

    expect(phone.get_by_role("status").filter(has_text="Forgotten.")).to_be_visible()
    expect(phone.locator("[data-lesson-list] .done")).to_have_count(0)
    assert phone.evaluate("Object.keys(localStorage)") == []


def test_an_instructors_link_opens_again_without_the_network(page_of, own_field):
    phone = page_of(PHONE)
    link = f"{own_field.address}/practice/?declination=9W&dial=5"
    phone.goto(link)
    phone.evaluate(KEPT, "/practice/?declination=9W&dial=5")
    leave(phone)
    own_field.kill()
    phone.goto(f"{link}#declination/1")

    expect(phone.locator("[data-round-note]")).to_contain_text("Declination 9° west.")


def test_a_link_without_signal_that_was_never_opened_says_so(page_of, own_field):
    phone = page_of(PHONE)
    phone.goto(f"{own_field.address}/practice/")
    phone.wait_for_function("() => navigator.serviceWorker.controller !== null")
    leave(phone)
    own_field.kill()
    phone.goto(f"{own_field.address}/practice/?declination=9W")

    expect(phone.locator("[data-link-notice]")).to_have_text(
        "Without signal these are the usual lessons. Open the link once with signal."
    )


@pytest.mark.parametrize("hash_", ["#hold/9", "#hold/-1", "#hold/x", "#nowhere/1", "#hold/end"])
def test_an_address_of_a_round_that_there_is_none_of_shows_where_to_begin(
    page_of, live_server, db, hash_
):
    phone = page_of(PHONE)
    phone.goto(f"{live_server.url}/practice/{hash_}")

    begin = "Hold it, and face" if hash_.startswith("#hold") else "Practise at home"
    expect(phone.get_by_role("heading", name=re.compile(begin), level=1)).to_be_visible()
