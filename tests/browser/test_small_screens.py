"""What the desk shows on a phone's width: tables that slide or become cards; and what takes the
server a while, on any width.
"""

import re

import pytest

from exercises.models import CourseClass

from .conftest import LAPTOP, expect, sign_in
from .test_every_page import addresses, each_of_the_desk

pytestmark = pytest.mark.django_db(transaction=True)
NARROW = {"width": 320, "height": 740}
TABLES = """() => {
    for (const fold of document.querySelectorAll("details")) fold.open = true;
    const complaints = [];
    for (const table of document.querySelectorAll("main table")) {
        const place = table.closest(".scroll") ?? table.parentElement;
        if (place.scrollWidth <= place.clientWidth + 1) continue;
        const heads = [...table.querySelectorAll("thead th")].map((one) => one.textContent.trim());
        const complain = (what) => complaints.push(`${what}: ${heads.join(", ").slice(0, 60)}`);
        if (table.matches(".cards")) complain("cards are too wide");
        if (place.tabIndex !== 0) complain("not reached by keyboard");
        if (!place.getAttribute("aria-label")?.trim()) complain("no name");
        if (getComputedStyle(place).backgroundImage.split("gradient").length < 3)
            complain("no sign that there is more");
        const edge = place.getBoundingClientRect();
        place.scrollLeft = place.scrollWidth;
        const { rows } = table.tBodies[0];
        for (const row of [table.tHead.rows[0], rows[0], rows[rows.length - 1]]) {
            const first = row.cells[0].getBoundingClientRect();
            const last = row.cells[row.cells.length - 1].getBoundingClientRect();
            if (Math.abs(first.left - edge.left) > 2) complain("its first column does not stay");
            if (last.right > edge.right + 2) complain("its last column is not reached");
            if (first.right - edge.left > edge.width / 2) complain("its first column fills it");
        }
        place.scrollLeft = 0;
    }
    const { scrollWidth, clientWidth } = document.documentElement;
    if (scrollWidth > clientWidth) complaints.push(`the page is ${scrollWidth} px wide`);
    return complaints;
}"""
UNLABELLED = """() => [...document.querySelectorAll(".cards tbody tr > :not(:first-child)")].filter(
    (one) => !one.dataset.label && !one.matches(".row-actions, [colspan]")
).map((one) => one.textContent.trim().slice(0, 40))"""


def complaints(page):
    """What is wrong with the tables of a page."""
    return [*page.evaluate(TABLES), *page.evaluate(UNLABELLED)]


def test_no_table_is_cut_without_a_sign_on_a_narrow_screen(page_of, live_server, demo):
    walk = each_of_the_desk(page_of(NARROW), live_server.url, demo)
    found = {name: complaints(page) for page, name in walk}

    assert {name: said for name, said in found.items() if said} == {}


def test_nor_in_the_longest_language(page_of, live_server, demo):
    desk = page_of(NARROW)
    sign_in(desk, live_server.url)
    desk.context.add_cookies([{"name": "navclass_language", "value": "es", "url": live_server.url}])
    found = {}
    for path in addresses(CourseClass.objects.get(name="Spring introduction"), demo):
        desk.goto(live_server.url + path)
        found[path] = complaints(desk)

    assert {path: said for path, said in found.items() if said} == {}


def test_a_table_slides_by_keyboard_to_its_last_column(page_of, live_server, demo):
    desk = page_of(NARROW)
    sign_in(desk, live_server.url)
    held = CourseClass.objects.get(name="Spring introduction")
    desk.goto(f"{live_server.url}/classes/{held.pk}/debrief/alone/")
    desk.get_by_text("Every reading, person by task").click()
    table = desk.get_by_role("group", name="Every reading, person by task")
    last = table.get_by_role("columnheader").last
    table.focus()
    expect(last).not_to_be_in_viewport()
    for _ in range(60):
        desk.keyboard.press("ArrowRight")

    expect(last).to_be_in_viewport()
    expect(table.get_by_role("columnheader", name="Name")).to_be_in_viewport()


def test_a_field_that_is_typed_in_is_not_hidden_by_the_first_column(page_of, live_server, demo):
    desk = page_of(NARROW)
    sign_in(desk, live_server.url)
    held = CourseClass.objects.get(name="Spring introduction")
    desk.goto(f"{live_server.url}/classes/{held.pk}/paper/")
    fields, column = desk.locator("table input"), desk.locator("tbody th").first.bounding_box()
    left = []
    for number in range(9, -1, -1):  # back, as with Shift+Tab
        fields.nth(number).focus()
        left.append(fields.nth(number).bounding_box()["x"])

    assert min(left) >= column["x"] + column["width"]


def test_a_column_has_an_edge_where_others_slide_under_it_and_nowhere_else(
    page_of, live_server, demo
):
    desk = page_of(NARROW)
    sign_in(desk, live_server.url)
    held = CourseClass.objects.get(name="Spring introduction")
    desk.goto(f"{live_server.url}/sites/{held.course.site_id}/ground/")
    cell = desk.get_by_role("rowheader", name="A – B", exact=True)
    no_edge = re.compile(r"rgba\(0, 0, 0, 0\)")

    expect(cell).not_to_have_css("background-image", no_edge)
    desk.set_viewport_size(LAPTOP)
    expect(cell).to_have_css("background-image", no_edge)


def test_rows_of_records_are_cards_where_narrow_and_a_table_where_wide(page_of, live_server, demo):
    desk = page_of(NARROW)
    sign_in(desk, live_server.url)
    held = CourseClass.objects.get(name="Spring introduction")
    desk.goto(f"{live_server.url}/classes/{held.pk}/key/")
    cell = desk.locator(".cards td[data-label='Band']").first
    label = "(one) => getComputedStyle(one, '::before').content"
    narrow = cell.evaluate(label)
    desk.set_viewport_size(LAPTOP)

    assert (narrow, cell.evaluate(label)) == ('"Band"', "none")


def sheets_page(desk, address):
    """The sheet of the second person of a class, which has three and more."""
    sign_in(desk, address)
    held = CourseClass.objects.get(name="Spring introduction")
    people = list(held.people.all())
    desk.goto(f"{address}/classes/{held.pk}/people/{people[1].pk}/")
    return people


def test_sheets_are_gone_through_one_by_one_and_chosen_by_name(page_of, live_server, demo):
    desk = page_of(NARROW)
    people = sheets_page(desk, live_server.url)
    desk.get_by_role("link", name=people[2].name).click()
    expect(desk.get_by_role("heading", name=people[2].name)).to_be_visible()
    desk.get_by_role("combobox", name=re.compile("^3 of")).select_option(people[0].name)
    desk.get_by_role("button", name="Show").click()

    expect(desk.get_by_role("heading", name=people[0].name)).to_be_visible()
    expect(desk).to_have_url(re.compile(f"/people/{people[0].pk}/$"))


PRESS_TWICE = """(button) => {
    const refused = [];
    document.addEventListener("submit", (event) => refused.push(event.defaultPrevented));
    button.click();
    button.click();
    return [refused, button.textContent, button.ariaDisabled,
        document.querySelector("[role=status]").textContent];
}"""
PRESS_AND_SHOW_AGAIN = """(button) => {
    document.addEventListener("submit", (event) => event.preventDefault());
    button.click();
    const meanwhile = button.textContent;
    dispatchEvent(new PageTransitionEvent("pageshow", { persisted: true }));
    return [meanwhile, button.textContent.trim(), button.ariaDisabled];
}"""


def test_a_print_says_that_it_is_made_and_is_asked_for_once(page_of, live_server, demo):
    desk = page_of(LAPTOP)
    sheets_page(desk, live_server.url)
    desk.route("**/people.pdf?*", lambda route: route.fulfill(status=204))  # the page stays
    button = desk.get_by_role("button", name="Print all (PDF)")
    pressed = button.evaluate(PRESS_TWICE)
    desk.evaluate("document.cookie = 'navclass_made=yes; path=/'")  # as the server does

    making = "Making the sheets…"
    assert pressed == [[False, True], making, "true", making]
    expect(button).to_be_visible()
    expect(button).not_to_have_attribute("aria-disabled", "true")


def test_a_page_from_the_browsers_memory_waits_for_nothing(page_of, live_server, demo):
    desk = page_of(LAPTOP)
    sheets_page(desk, live_server.url)
    button = desk.get_by_role("button", name="Print all (PDF)")

    assert button.evaluate(PRESS_AND_SHOW_AGAIN) == ["Making the sheets…", "Print all (PDF)", None]
