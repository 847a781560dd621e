"""What a shy person with wet hands meets on the phone, in a real browser."""

import re

import pytest

from exercises.models import Course, CourseClass, Reading
from exercises.presenting.north_sentences import angle_sentence
from exercises.usecases.open_class import create_class, open_class
from tests import cast, demonstration

from .conftest import PHONE, expect
from .test_journeys import join, open_first_task, type_bearing

pytestmark = pytest.mark.django_db(transaction=True)


def held(policy, course="Round the terrace"):
    owner = demonstration.load().owner
    made = create_class(
        owner=owner,
        course_class=CourseClass(
            course=Course.objects.get(name=course),
            name="A wet day",
            date=cast.DAY,
            time_zone="Pacific/Auckland",
            feedback=policy,
        ),
    )
    open_class(course_class=made, by=owner, now=cast.NOW)
    return made


def send(phone, digits):
    type_bearing(phone, digits)
    phone.get_by_role("button", name="Send").click()


def reversed_text(made):
    return f"{round(made.keys.get().as_domain()[0].expected_deg + 180) % 360:03d}"


def test_the_focus_moves_to_the_heading_of_each_screen(page_of, live_server):
    phone, made = page_of(PHONE), held("at_once")
    join(phone, live_server.url, made.code)
    phone.get_by_role("button", name=re.compile("Terrace steps")).click()
    expect(phone.get_by_role("heading", name=re.compile("Terrace steps"))).to_be_focused()
    phone.locator("[data-tasks] button").first.click()
    expect(phone.locator("[data-ask]")).to_be_focused()
    send(phone, reversed_text(made))
    expect(phone.get_by_role("heading", name="The opposite way")).to_be_focused()
    phone.get_by_role("button", name="Stations").click()

    expect(phone.get_by_role("heading", name="A wet day")).to_be_focused()


def test_what_was_right_stands_first_and_no_credit_is_not_named(page_of, live_server):
    phone, made = page_of(PHONE), held("at_once")
    join(phone, live_server.url, made.code)
    open_first_task(phone)
    send(phone, reversed_text(made))

    expect(phone.locator("[data-result] > p").first).to_contain_text(
        "The line is right; only its two ends are exchanged."
    )
    expect(phone.get_by_text("No credit")).to_have_count(0)


def test_try_again_and_next_are_a_finger_apart(page_of, live_server):
    phone, made = page_of(PHONE), held("second_try")
    join(phone, live_server.url, made.code)
    open_first_task(phone)
    send(phone, reversed_text(made))
    again = phone.get_by_role("button", name="Try again").bounding_box()
    following = phone.get_by_role("button", name="Next").bounding_box()

    assert following["y"] - (again["y"] + again["height"]) >= 32


def test_a_friend_who_may_try_again_sees_no_answer(page_of, live_server):
    """2026-11-27: one person's full credit showed the answer beside the other's hint."""
    phone, made = page_of(PHONE), held("second_try")
    right = f"{round(made.keys.get().as_domain()[0].expected_deg):03d}"
    join(phone, live_server.url, made.code, "Mia, Tom")
    open_first_task(phone)
    send(phone, reversed_text(made))
    phone.get_by_role("button", name="Next").click()
    send(phone, right)

    expect(phone.get_by_text("You will see how it went when Mia has tried again.")).to_be_visible()
    expect(phone.get_by_text("The answer", exact=True)).to_have_count(0)


def test_decimals_can_be_typed_where_no_needle_is_read(page_of, live_server):
    phone, made = page_of(PHONE), held("at_once", "Map and paces")
    join(phone, live_server.url, made.code)
    phone.evaluate("location.hash = 'A/1'")
    phone.get_by_role("button", name="Decimal point").click()  # nothing to divide yet
    type_bearing(phone, "331")
    phone.get_by_role("button", name="Decimal point").click()
    phone.get_by_role("button", name="Decimal point").click()
    type_bearing(phone, "5")
    expect(phone.locator("[data-reading]")).to_have_value("331.5")
    phone.get_by_role("button", name="Send").click()
    expect(phone.locator("[data-status]")).to_have_text("All readings sent.")

    assert Reading.objects.get(course_class=made).text == "331.5"


def test_the_angle_between_the_norths_stands_under_what_is_asked(page_of, live_server):
    phone, made = page_of(PHONE), held("at_once")
    first, second = (
        made.course.tasks.filter(north=north).first() for north in ("true", "magnetic")
    )
    asked = {answer.task: answer for answer in made.keys.get().as_domain()}
    told = {task: angle_sentence(asked[task]) for task in (str(first), str(second))}
    join(phone, live_server.url, made.code)

    for task, sentence in told.items():
        phone.goto(f"{live_server.url}/c/{made.code}/#{asked[task].station}/{task}")
        expect(phone.locator("[data-angle]")).to_have_text(sentence)
        expect(phone.locator("[data-angle]")).to_be_visible(visible=bool(sentence))


def test_that_all_is_sent_does_not_push_the_next_question_down(page_of, live_server):
    phone, made = page_of(PHONE), held("at_once")
    join(phone, live_server.url, made.code)
    open_first_task(phone)
    before = phone.locator("[data-ask]").bounding_box()["y"]
    send(phone, reversed_text(made))
    expect(phone.locator("[data-status]")).to_have_text("All readings sent.")
    phone.get_by_role("button", name="Next").click()

    expect(phone.locator("[data-ask]")).to_be_focused()
    assert phone.locator("[data-ask]").bounding_box()["y"] == before
