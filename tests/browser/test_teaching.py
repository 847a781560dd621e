"""Hints, and pages for everybody: keyboard, screen reader, reading aloud, sunlight, left hand."""

import re

import pytest

from exercises.models import CourseClass, Reading
from exercises.usecases import load_demo

from .conftest import LAPTOP, PHONE, expect
from .test_journeys import join, open_first_task, type_bearing

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_first_try_gets_a_hint_and_the_second_the_answer(page_of, live_server, demo):
    CourseClass.objects.filter(pk=demo.pk).update(feedback="second_try")
    phone = page_of(PHONE)
    join(phone, live_server.url, demo.code)
    open_first_task(phone)
    type_bearing(phone, "122")
    phone.get_by_role("button", name="Send").click()
    expect(phone.get_by_role("heading", name="Look again")).to_be_visible()
    expect(
        phone.get_by_text("Which end of the needle lies in the arrow of the dial")
    ).to_be_visible()
    expect(phone.locator("svg.dial")).to_have_count(0)
    phone.get_by_role("button", name="Try again").click()
    type_bearing(phone, "302")
    phone.get_by_role("button", name="Send").click()

    expect(phone.get_by_role("heading", name="Now it is right")).to_be_visible()
    expect(phone.locator("svg.dial")).to_be_visible()
    assert list(Reading.objects.filter(course_class=demo).values_list("text", "attempt")) == [
        ("122", 1),
        ("302", 2),
    ]


def test_a_whole_task_is_done_with_the_keyboard_alone(page_of, live_server, demo):
    phone = page_of(LAPTOP)
    phone.goto(f"{live_server.url}/c/{demo.code}/join/")
    phone.get_by_label("Your name").focus()
    phone.keyboard.type("Mia")
    phone.keyboard.press("Enter")
    station = phone.get_by_role("button", name=re.compile("Terrace steps"))
    expect(station).to_be_visible()
    station.focus()
    phone.keyboard.press("Enter")
    phone.locator("[data-tasks] button").first.focus()
    phone.keyboard.press("Enter")
    expect(
        phone.get_by_label("Your bearing")
    ).to_be_visible()  # a field that is not there yet takes no focus
    phone.get_by_label("Your bearing").focus()
    phone.keyboard.type("302")
    phone.keyboard.press("Enter")

    expect(phone.get_by_role("heading", name="Full credit")).to_be_focused()
    assert Reading.objects.filter(person__name="Mia", text="302").count() == 1


def test_an_instructor_opens_a_class_and_reads_the_debrief_with_the_keyboard_alone(
    page_of, live_server, demo
):
    desk = page_of(LAPTOP)
    desk.goto(f"{live_server.url}/sign-in/")

    def press(locator, *keys):
        locator.focus()
        for key in keys:
            desk.keyboard.press(key)

    desk.get_by_label("Username").focus()
    desk.keyboard.type(load_demo.USERNAME)
    desk.keyboard.press("Tab")
    desk.keyboard.type(load_demo.PASSWORD)
    desk.keyboard.press("Enter")
    press(desk.get_by_role("link", name=re.compile("Heron Cove")), "Enter")
    press(desk.get_by_role("link", name="Round the cove"), "Enter")
    press(desk.get_by_role("button", name="Make class"), "Enter")
    press(desk.get_by_role("link", name="Open the class"), "Enter")
    press(desk.get_by_role("button", name="Open the class"), "Enter")
    expect(desk.locator(".state")).to_have_text("open")
    desk.keyboard.press("Tab")
    expect(desk.get_by_role("link", name="To the content")).to_be_focused()
    press(desk.get_by_role("link", name="Sites and classes"), "Enter")
    press(desk.get_by_text("3 classes held"), "Enter")
    press(desk.get_by_role("link", name="Spring introduction"), "Enter")
    press(desk.get_by_role("link", name="Debrief"), "Enter")
    press(desk.get_by_role("link", name="For you alone"), "Enter")
    press(desk.get_by_text("Everybody by name"), "Enter")

    expect(desk.get_by_role("row", name=re.compile("Aroha"))).to_be_visible()


def test_a_screen_reader_finds_names_roles_and_live_regions(page_of, live_server, demo):
    phone = page_of(PHONE)
    join(phone, live_server.url, demo.code)
    open_first_task(phone)

    expect(phone.locator("main")).to_match_aria_snapshot("""
      - button "‹ Stations"
      - text: A, task 1
      - status
      - heading "Read the bearing to the water tank, its middle, in degrees magnetic." [level=1]
      - button "Read aloud"
      - paragraph:
        - strong: "Stand here:"
        - text: Brass pin in the lowest step, east end
      - paragraph
      - text: Your bearing
      - textbox "Your bearing"
      - text: ° magnetic
      - button "1"
      - button "2"
      - button "3"
      - button "4"
      - button "5"
      - button "6"
      - button "7"
      - button "8"
      - button "9"
      - button "Clear"
      - button "0"
      - button "Delete the last digit"
      - button "Send"
    """)
    type_bearing(phone, "26")
    phone.get_by_role("button", name="Send").click()
    expect(phone.get_by_role("alert")).to_have_text(
        "Three digits, please. Is it 026, or is a digit missing?"
    )
    phone.get_by_role("button", name="It is 026").click()
    expect(phone.get_by_role("heading", name="Not yet")).to_be_focused()
    expect(
        phone.get_by_role(
            "img", name="Dial: the answer is 302° magnetic, the reading 026° magnetic."
        )
    ).to_be_visible()


def test_a_task_is_read_aloud_in_the_pages_language(page_of, live_server, demo):
    phone = page_of(PHONE)
    phone.add_init_script(
        "window.said = []; speechSynthesis.speak = (saying) => said.push([saying.lang, "
        "saying.text]);"
    )
    join(phone, live_server.url, demo.code)
    open_first_task(phone)
    phone.get_by_role("button", name="Read aloud").click()

    ((language, words),) = phone.evaluate("() => said")
    assert language == "en"
    assert words.startswith(
        "Read the bearing to the water tank, its middle, in degrees magnetic. Stand here:"
    )


def test_sunlight_and_left_hand_are_remembered(page_of, live_server, demo):
    phone = page_of(PHONE, color_scheme="dark")
    join(phone, live_server.url, demo.code)
    phone.get_by_role("button", name="Sunlight").click()
    phone.get_by_role("button", name="Left hand").click()
    phone.reload()
    open_first_task(phone)

    colours = phone.evaluate(
        "() => [getComputedStyle(document.documentElement).backgroundColor, "
        "getComputedStyle(document.body).color]"
    )
    assert colours == ["rgb(255, 255, 255)", "rgb(0, 0, 0)"]
    left, right = (
        phone.locator("[data-pad]").get_by_role("button", name=name).bounding_box()["x"]
        for name in ("Delete the last digit", "Clear")
    )
    assert left < right
