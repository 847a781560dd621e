"""Positions and walks, as people give them with a phone, and as an instructor asks for them."""

import re

import pytest

from exercises.domain.tasks import map_references
from exercises.models import Course, CourseClass, Reading, Task
from exercises.usecases.open_class import create_class, open_class
from tests import cast, demonstration

from .conftest import LAPTOP, PHONE, expect, sign_in
from .test_journeys import join, type_bearing

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def held(live_server):
    """The demonstration's course with map and paces, open, answers told at once."""
    owner = demonstration.load().owner
    made = create_class(
        owner=owner,
        course_class=CourseClass(
            course=Course.objects.get(name="Map and paces"),
            name="Map day",
            date=cast.DAY,
            time_zone="Pacific/Auckland",
            feedback="at_once",
        ),
    )
    open_class(course_class=made, by=owner, now=cast.NOW)
    return made


@pytest.fixture
def phone(page_of, live_server, held):
    page = page_of(PHONE)
    join(page, live_server.url, held.code)
    return page


def where(held, task):
    return next(answer.form for answer in held.keys.get().as_domain() if answer.task == task)


def at(page, held, task):
    """Go to a task."""
    station = next(answer.station for answer in held.keys.get().as_domain() if answer.task == task)
    page.evaluate(f"location.hash = '{station}/{task}'")
    expect(page.locator("[data-view=task]")).to_be_visible()


def test_a_letter_is_chosen_for_where_one_stands(phone, held):
    at(phone, held, "5")
    phone.locator("[data-choices]").get_by_role(
        "button", name=where(held, "5").right, exact=True
    ).click()
    phone.get_by_role("button", name="Send").click()

    expect(phone.get_by_role("heading", name="Full credit")).to_be_visible()
    expect(phone.get_by_role("img", name="On the spot, to the metre.")).to_be_visible()


def test_a_grid_reference_is_written_instead_and_survives_a_reload(phone, held):
    at(phone, held, "5")
    figures = map_references.figures(where(held, "5"))
    phone.get_by_label("No letter fits? Write a grid reference").fill(figures)
    phone.reload()
    expect(phone.get_by_label("No letter fits? Write a grid reference")).to_have_value(figures)
    phone.get_by_role("button", name="Send").click()

    expect(phone.get_by_role("heading", name="Full credit")).to_be_visible()
    assert Reading.objects.get(course_class=held).text == figures


def test_half_a_grid_reference_is_asked_about(phone, held):
    at(phone, held, "5")
    phone.get_by_role("button", name="Send").click()
    expect(
        phone.get_by_role("alert").filter(has_text="Choose a letter, or write a grid reference.")
    ).to_be_visible()
    phone.get_by_label("No letter fits? Write a grid reference").fill("7201")
    phone.get_by_role("button", name="Send").click()

    expect(phone.get_by_role("alert").filter(has_text="has eight figures")).to_be_visible()
    assert not Reading.objects.filter(course_class=held).exists()


def test_writing_a_grid_reference_takes_the_letter_back(phone, held):
    at(phone, held, "5")
    letter = phone.locator("[data-choices] button").first
    letter.click()
    phone.get_by_label("No letter fits? Write a grid reference").fill("7201 9868")

    expect(letter).to_have_attribute("aria-pressed", "false")


def test_a_walk_is_told_in_the_persons_own_double_paces(phone, held):
    at(phone, held, "7")
    expect(phone.locator("[data-legs] li").first).to_have_text("010° magnetic for 110 m")
    phone.get_by_role("link", name="Count your paces over a taped line first").click()
    phone.get_by_label("Length of the taped line, metres").fill("50")
    phone.get_by_label("Mia: double paces").fill("33")
    phone.get_by_role("button", name="Keep it").click()

    expect(phone.locator("[data-legs] li").first).to_have_text(
        "010° magnetic for 110 m: 73 of your double paces"
    )


def test_the_field_half_follows_the_persons_own_bearing(phone, held):
    at(phone, held, "1")
    expect(phone.get_by_role("heading", name=re.compile(r"to spot [A-Z]+, in"))).to_be_visible()
    type_bearing(phone, "331")
    phone.get_by_role("button", name="Send").click()
    expect(
        phone.get_by_text("You will see how it went when you have faced it: task 2.")
    ).to_be_visible()
    at(phone, held, "2")
    phone.locator("[data-choices]").get_by_role("button", name="T9 the water tank").click()
    phone.get_by_role("button", name="Send").click()

    expect(phone.get_by_role("heading", name="Full credit")).to_be_visible()
    expect(phone.get_by_text("Judged along your own bearing, 331° grid.")).to_be_visible()
    phone.evaluate("location.hash = 'A/1'")
    expect(phone.get_by_text("Your bearing points the opposite way")).to_be_visible()


def test_the_field_half_asks_for_the_map_half_first(phone, held):
    at(phone, held, "2")

    expect(phone.get_by_text("First do task 1: this one goes on with your number.")).to_be_visible()
    phone.locator("[data-choices] button").first.click()
    phone.get_by_role("button", name="Send").click()
    assert not Reading.objects.filter(course_class=held).exists()


def test_a_reference_that_is_not_on_the_map_is_asked_about(phone, held):
    at(phone, held, "5")
    east, north = map_references.figures(where(held, "5")).split()
    phone.get_by_label("No letter fits? Write a grid reference").fill(f"{north} {east}")
    phone.get_by_role("button", name="Send").click()

    expect(
        phone.get_by_role("alert").filter(
            has_text="That is not on this map. East first, then north."
        )
    ).to_be_visible()
    assert not Reading.objects.filter(course_class=held).exists()


def test_the_form_of_a_task_shows_what_its_kind_wants(page_of, live_server, held):
    desk = page_of(LAPTOP)
    sign_in(desk, live_server.url)
    desk.goto(f"{live_server.url}/courses/{held.course_id}/")
    known, legs, given = (
        desk.get_by_label(label, exact=True)
        for label in ("Second point:", "Legs before the last one:", "Given bearing:")
    )
    for shown in (known, legs, given):
        expect(shown).to_be_hidden()

    desk.get_by_label("Kind:", exact=True).select_option("walk")
    expect(legs).to_be_visible()
    expect(desk.get_by_label("Full credit within (degrees)")).to_be_hidden()
    desk.get_by_label("Kind:", exact=True).select_option("fix")
    expect(known).to_be_visible()
    expect(legs).to_be_hidden()


def test_an_instructor_asks_for_a_map_bearing_with_its_field_half(page_of, live_server, held):
    desk = page_of(LAPTOP)
    sign_in(desk, live_server.url)
    desk.goto(f"{live_server.url}/courses/{held.course_id}/")
    before = Task.objects.filter(course=held.course).count()
    desk.get_by_label("Kind:", exact=True).select_option("map")
    desk.get_by_label("Station:", exact=True).select_option(label="B Willow bend")
    desk.get_by_label("Target:", exact=True).select_option(label="T3 the lone poplar, its trunk")
    desk.get_by_label("Asked north").select_option("grid")
    desk.get_by_label("Then face it on the ground").check()
    desk.get_by_role("button", name="Add task").click()

    expect(desk.get_by_text("Task 8 added.")).to_be_visible()
    assert list(
        Task.objects.filter(course=held.course, number__gt=before).values_list("kind", flat=True)
    ) == ["map", "face"]
