"""The grid for answers from paper: typed with the keyboard alone."""

import pytest

from exercises.models import Reading
from tests import demonstration

from .conftest import LAPTOP, expect, sign_in

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def grid(page_of, live_server):
    held = demonstration.load()
    laptop = page_of(LAPTOP)
    sign_in(laptop, live_server.url)
    laptop.goto(f"{live_server.url}/classes/{held.pk}/paper/")
    laptop.get_by_label("Names without a phone").fill("Mia\nTom")
    laptop.get_by_role("button", name="Note it").click()
    expect(laptop.get_by_label("Mia, task 1", exact=True)).to_be_focused()
    return laptop


def test_three_digits_move_on_and_so_does_enter(grid):
    grid.keyboard.type("044")
    expect(grid.get_by_label("Mia, task 2", exact=True)).to_be_focused()
    grid.keyboard.press("Enter")

    expect(grid.get_by_label("Mia, task 3", exact=True)).to_be_focused()


def test_three_digits_move_on_to_the_next_empty_cell_and_overwrite_none(grid):
    grid.get_by_label("Mia, task 2", exact=True).fill("T3")
    grid.get_by_label("Mia, task 1", exact=True).focus()
    grid.keyboard.type("044")
    expect(grid.get_by_label("Mia, task 3", exact=True)).to_be_focused()

    expect(grid.get_by_label("Mia, task 2", exact=True)).to_have_value("T3")


def test_a_number_with_a_point_goes_on_where_it_began(grid):
    grid.keyboard.type("074.5")

    expect(grid.get_by_label("Mia, task 1", exact=True)).to_have_value("074.5")
    expect(grid.get_by_label("Mia, task 2", exact=True)).to_have_value("")


def test_sheets_in_mils_move_on_with_enter_alone(grid):
    grid.get_by_label("These sheets are in mils: move on with Enter alone").check()
    grid.get_by_label("Mia, task 1", exact=True).focus()
    grid.keyboard.type("1315")

    expect(grid.get_by_label("Mia, task 1", exact=True)).to_have_value("1315")


def test_what_is_typed_is_not_left_without_a_question(grid):
    grid.keyboard.type("044")
    asked = []
    grid.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    grid.get_by_role("link", name="Type it a second time").click(no_wait_after=True)
    grid.wait_for_timeout(300)

    assert asked == ["beforeunload"]
    expect(grid.get_by_label("Mia, task 1", exact=True)).to_have_value("044")


def test_a_cell_is_reached_with_the_arrows(grid):
    grid.keyboard.press("ArrowDown")
    expect(grid.get_by_label("Tom, task 1", exact=True)).to_be_focused()
    grid.keyboard.press("ArrowUp")

    expect(grid.get_by_label("Mia, task 1", exact=True)).to_be_focused()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("430", "430” is more than 360"),
        ("26", "26” has fewer than three digits"),
        ("abc", "abc” is not a bearing"),
    ],
)
def test_what_cannot_be_is_marked_at_once_and_stays(grid, text, words):
    grid.keyboard.type(text)

    cell = grid.get_by_label("Mia, task 1", exact=True)
    expect(cell).to_be_focused()
    expect(cell).to_have_attribute("aria-invalid", "true")
    expect(grid.locator("[data-said]")).to_contain_text(words)


def test_what_was_typed_becomes_readings_without_the_mouse(grid):
    grid.keyboard.type("044")
    grid.get_by_role("button", name="Take in as readings").press("Enter")
    expect(grid.get_by_role("heading", name="Latest readings")).to_be_visible()

    assert list(
        Reading.objects.filter(source="paper").values_list("person__name", "task", "text")
    ) == [("Mia", "1", "044")]
