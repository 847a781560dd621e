"""A course is mended where it stands, proposed and overruled, in a real browser."""

import re

import pytest

from exercises.models import Course

from .conftest import expect

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_course_is_mended_by_the_buttons_of_the_check(desk, live_server, site):
    course = Course.objects.get(site=site, name="Round the terrace")
    desk.goto(f"{live_server.url}/courses/{course.pk}/")
    expect(desk.get_by_text("The line itself leads into “The tarn” (Water)")).to_be_visible()
    desk.get_by_role("button", name=re.compile("Task 10: Ask for .* instead")).click()

    expect(desk.get_by_text(re.compile(r"Task 10 asks for T\d+ now\."))).to_be_visible()
    expect(desk.get_by_text("The line itself leads into “The tarn” (Water)")).to_have_count(0)


def test_a_course_is_proposed_overruled_and_taken_with_the_keyboard_alone(desk, live_server, site):
    course = Course.objects.create(site=site, name="Evening round")
    desk.goto(f"{live_server.url}/courses/{course.pk}/")

    def press(locator):
        locator.focus()
        desk.keyboard.press("Enter")

    press(desk.get_by_role("link", name="Propose tasks"))
    desk.get_by_label("How many tasks").fill("5")
    desk.keyboard.press("Enter")
    expect(desk.get_by_text("5 tasks out of 72 lines that can be seen.")).to_be_visible()
    first, *others = desk.get_by_role("rowheader").all_inner_texts()[:5]
    press(desk.get_by_role("link", name=re.compile("^Another line instead of")).first)
    expect(desk.get_by_role("rowheader", name=first)).to_have_count(0)
    assert desk.get_by_role("rowheader").all_inner_texts()[1:5] == others
    press(desk.get_by_role("link", name=re.compile("^Keep ")).first)
    expect(desk.get_by_role("link", name=re.compile("^Let .* go$"))).to_have_count(1)
    press(desk.get_by_role("button", name="Put these into the course"))
    expect(desk.get_by_text("5 tasks added.")).to_be_visible()

    assert course.tasks.count() == 5


def test_what_is_wrong_with_a_form_in_columns_stands_above_all_of_them(desk, live_server, site):
    course = Course.objects.get(site=site, name="Round the terrace")
    desk.goto(f"{live_server.url}/courses/{course.pk}/propose/?number=x&kind=sight&north=mixed")
    notice = desk.get_by_text("Look at:").bounding_box()
    fields = [desk.get_by_label(name).bounding_box() for name in ("How many tasks", "Kind")]

    assert fields[0]["x"] < fields[1]["x"]  # in columns
    assert all(field["y"] > notice["y"] + notice["height"] for field in fields)
    assert notice["width"] > fields[0]["width"] * 2


@pytest.fixture
def editor(desk, live_server, site):
    course = Course.objects.get(site=site, name="Round the terrace")
    desk.goto(f"{live_server.url}/courses/{course.pk}/")
    return course


def order(course):
    return list(course.tasks.values_list("pk", flat=True))


def test_a_row_takes_one_line_of_buttons_and_the_form_is_whole_on_a_small_laptop(desk, editor):
    desk.set_viewport_size({"width": 1280, "height": 720})
    tops = "(row) => [...row.querySelectorAll('.row-actions form > :not(input)')].map("
    tops += "(one) => one.getBoundingClientRect().top)"
    lines = [set(row.evaluate(tops)) for row in desk.locator("[data-row]").all()]
    fold = desk.get_by_text("Credit, feedback, declination").bounding_box()
    button = desk.get_by_role("button", name="Add task").bounding_box()

    assert [len(line) for line in lines] == [1] * editor.tasks.count()
    assert fold["y"] + fold["height"] <= button["y"]
    assert button["y"] + button["height"] <= 720


def test_what_most_tasks_leave_as_it_is_is_folded_until_it_says_something(desk, editor):
    desk.get_by_role("link", name="Edit task 3", exact=True).click()
    expect(desk.locator("#id_full_credit_deg")).to_be_hidden()
    editor.tasks.filter(number=3).update(full_credit_deg=6, part_credit_deg=12)
    desk.reload()

    expect(desk.locator("#id_full_credit_deg")).to_have_value("6.0")
    expect(desk.locator("#id_full_credit_deg")).to_be_visible()


def test_a_task_is_edited_where_it_stands(desk, editor):
    desk.get_by_role("link", name="Edit task 3", exact=True).click()
    desk.get_by_label("Asked north").select_option("grid")
    desk.get_by_role("button", name="Save the task").click()

    expect(desk.get_by_text("Task 3 changed.")).to_be_in_viewport()
    expect(desk.locator("#task3")).to_be_focused()
    assert editor.tasks.get(number=3).north == "grid"


def test_a_removed_task_is_put_back_from_the_message_in_its_place(desk, editor):
    before = list(editor.tasks.values())
    desk.get_by_role("button", name="Remove task 5", exact=True).click()
    desk.get_by_role("button", name="Put it back").click()

    expect(desk.get_by_text("Task 5 is back.")).to_be_in_viewport()
    assert list(editor.tasks.values()) == before


def test_tasks_are_ordered_with_the_keyboard_alone(desk, editor):
    first, second, third, *rest = order(editor)
    desk.get_by_role("button", name="Move task 1 down", exact=True).focus()
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("button", name="Move task 2 down", exact=True)).to_be_focused()
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("button", name="Move task 3 down", exact=True)).to_be_focused()

    assert order(editor) == [second, third, first, *rest]


def test_a_task_is_dragged_to_another_place(desk, editor):
    first, second, third, *rest = order(editor)
    grip = desk.locator("#task1 [data-grip]").bounding_box()
    goal = desk.locator("#task3").bounding_box()
    desk.mouse.move(grip["x"] + 8, grip["y"] + 20)
    desk.mouse.down()
    desk.mouse.move(grip["x"] + 8, goal["y"] + goal["height"] - 6, steps=8)
    desk.mouse.up()

    expect(desk.get_by_text("Moved: it is task 3 now.")).to_be_visible()
    assert order(editor) == [second, third, first, *rest]


def test_what_a_course_can_show_is_fetched_when_it_is_opened(desk, editor):
    expect(desk.get_by_text("With 12 people who read every task once")).to_have_count(0)
    desk.get_by_text("What this course can show").click()
    expect(desk.get_by_text("With 12 people who read every task once")).to_be_visible()
    desk.get_by_label("Number of people").fill("30")
    desk.get_by_role("button", name="Show").click()

    expect(desk.get_by_text("With 30 people who read every task once")).to_be_visible()
