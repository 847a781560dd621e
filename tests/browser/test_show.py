"""The debrief before a class: keys, a remote, a finger, buttons, no network; whether it fits."""

import itertools
import re

import pytest

from exercises.models import CourseClass
from tests import demonstration, optional

from .conftest import PHONE, expect, sign_in
from .test_every_page import LOOKS, VIOLATIONS

pytestmark = pytest.mark.django_db(transaction=True)
PROJECTOR = {"width": 1280, "height": 720}
HELD = ("Winter introduction", "Spring introduction", "Spring, with map and paces")
LEAST_PX = {"width": 1280, "least": 32.0, "beside": 24.0}
# What of the screen that is shown does not fit: it scrolls, is cut, or lies over the bar.
MISFITS = """() => {
    const screen = [...document.querySelectorAll("[data-screen]")].find(({ hidden }) => !hidden);
    const bar = document.querySelector(".show-bar").getBoundingClientRect();
    const bottom = bar.top > innerHeight / 2 ? bar.top : innerHeight;
    const found = [];
    if (screen.scrollHeight > screen.clientHeight) found.push(`${screen.id} is too tall`);
    if (screen.scrollWidth > screen.clientWidth) found.push(`${screen.id} is too wide`);
    if (document.documentElement.scrollHeight > innerHeight) found.push("the page scrolls");
    for (const one of screen.querySelectorAll("h1, h2, p, li, strong, span, svg, svg text")) {
        const box = one.getBoundingClientRect();
        if (!box.width) continue;
        if (box.left < -1 || box.right > innerWidth + 1 || box.bottom > bottom + 1 || box.top < -1)
            found.push(`${screen.id}: ${one.tagName} ${one.textContent.trim().slice(0, 30)}`);
    }
    return found;
}"""
SMALL = """([least, beside]) => {
    const screen = [...document.querySelectorAll("[data-screen]")].find(({ hidden }) => !hidden);
    const isBeside = (one) => one.closest(".dim, .show-figures, .show-sum, .show-spread, .mark");
    return [...screen.querySelectorAll("h1, h2, p, li, strong")]
        .filter((one) => one.textContent.trim() && !one.matches(".mark"))
        .filter((one) => parseFloat(getComputedStyle(one).fontSize) <
            (isBeside(one) ? beside : least) - 0.1)
        .map((one) => `${screen.id}: ${getComputedStyle(one).fontSize} ${one.textContent.trim()}`);
}"""


@pytest.fixture
def demo(live_server):
    return demonstration.load()


def opened(page, address, name=HELD[1], screen=""):
    sign_in(page, address)
    held = CourseClass.objects.get(name=name)
    page.goto(f"{address}/classes/{held.pk}/debrief/{screen}")
    return held


def heading(page):
    return page.locator("[data-screen]:not([hidden]) > :is(h1, h2)")


def test_keys_and_a_remote_lead_from_screen_to_screen(page_of, live_server, demo):
    page = page_of(PROJECTOR)
    opened(page, live_server.url)
    expect(heading(page)).to_have_text("What happened")
    found = []
    for key in ("PageDown", "ArrowRight", "Space", "PageUp", "ArrowLeft", "End", "Home", "Home"):
        page.keyboard.press(key)
        found.append(page.locator("[data-place]").inner_text())

    assert found == [
        "2 / 17",
        "3 / 17",
        "4 / 17",
        "3 / 17",
        "2 / 17",
        "17 / 17",
        "1 / 17",
        "1 / 17",
    ]


def test_the_heading_of_each_screen_takes_the_focus_and_the_address_names_it(
    page_of, live_server, demo
):
    page = page_of(PROJECTOR)
    opened(page, live_server.url)
    for _ in range(3):
        page.keyboard.press("PageDown")

    expect(page.get_by_role("heading", name="Mirrored")).to_be_focused()
    assert page.url.endswith("#lesson-1")
    page.reload()
    expect(heading(page)).to_have_text("Mirrored")


def test_buttons_lead_on_and_back_and_end_where_the_show_ends(page_of, live_server, demo):
    page = page_of(PROJECTOR)
    opened(page, live_server.url)
    back, on = (page.get_by_role("button", name=re.compile(name)) for name in ("Back", "Next"))
    expect(back).to_be_disabled()
    on.click()
    expect(heading(page)).to_have_text("Station C: Sheep yards")
    back.click()
    expect(heading(page)).to_have_text("What happened")
    page.keyboard.press("End")
    expect(on).to_be_disabled()


def test_the_space_bar_presses_a_button_that_has_the_focus_once(page_of, live_server, demo):
    page = page_of(PROJECTOR)
    opened(page, live_server.url)
    page.get_by_role("button", name=re.compile("Next")).focus()
    page.keyboard.press("Space")

    expect(page.locator("[data-place]")).to_have_text("2 / 17")


def test_any_screen_is_found_in_the_list_of_all(page_of, live_server, demo):
    page = page_of(PROJECTOR)
    opened(page, live_server.url)
    page.get_by_text("All screens").click()
    page.get_by_role("link", name="Task 5: Sheep yards").click()

    expect(heading(page)).to_have_text("Task 5: Sheep yards")
    expect(heading(page)).to_be_focused()
    expect(page.get_by_role("link", name="Task 5: Sheep yards")).to_be_hidden()


def test_the_list_of_all_screens_fits_a_phone_and_can_be_scrolled(page_of, live_server, demo):
    page = page_of(PHONE)
    opened(page, live_server.url)
    page.get_by_text("All screens").click()
    page.get_by_role("link", name="Task 12: Old orchard").scroll_into_view_if_needed()

    width = page.evaluate("() => document.querySelector('.show-index ol').scrollWidth")
    assert width <= PHONE["width"]
    page.get_by_role("link", name="Task 12: Old orchard").click()
    expect(heading(page)).to_have_text("Task 12: Old orchard")


def swipe(page, right, down=0):
    client = page.context.new_cdp_session(page)
    at = {"x": 180, "y": 400}
    client.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [at]})
    moved = {"x": at["x"] + right, "y": at["y"] + down}
    client.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [moved]})
    client.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_a_finger_leads_on_and_back(page_of, live_server, demo):
    page = page_of(PHONE, has_touch=True)
    opened(page, live_server.url)
    swipe(page, -120)
    expect(page.locator("[data-place]")).to_have_text("2 / 17")
    swipe(page, -20)
    swipe(page, -60, down=90)
    expect(page.locator("[data-place]")).to_have_text("2 / 17")
    swipe(page, 120)
    expect(page.locator("[data-place]")).to_have_text("1 / 17")


def test_the_show_goes_on_without_a_network(page_of, live_server, demo):
    page = page_of(PROJECTOR)
    opened(page, live_server.url)
    page.context.set_offline(True)
    seen = []
    for _ in range(17):
        seen.append(heading(page).inner_text())
        page.keyboard.press("PageDown")

    assert len(set(seen)) == 17
    assert seen[-1] == "Task 12: Old orchard"


@pytest.mark.parametrize("name", HELD)
@pytest.mark.parametrize("viewport", [PROJECTOR, PHONE], ids=["projector", "phone"])
def test_every_screen_fits_without_scrolling(page_of, live_server, demo, name, viewport):
    page = page_of(viewport)
    opened(page, live_server.url, name)
    number = page.locator("[data-screen]").count()
    found, small = [], []
    for _ in range(number):
        found += page.evaluate(MISFITS)
        if viewport is PROJECTOR:
            small += page.evaluate(SMALL, [LEAST_PX["least"], LEAST_PX["beside"]])
        page.keyboard.press("PageDown")

    assert number >= 10
    assert (found, small) == ([], [])


@pytest.mark.parametrize("name", HELD)
def test_a_checker_for_accessibility_finds_nothing_on_any_screen(page_of, live_server, demo, name):
    checker = optional.package("axe_playwright_python.sync_playwright").Axe().axe_script
    page = page_of(PROJECTOR)
    opened(page, live_server.url, name)
    page.evaluate(checker)
    page.evaluate("""() => {
        document.body.classList.remove("is-one");
        for (const one of document.querySelectorAll("[data-screen]")) one.hidden = false;
    }""")
    found = {}
    for look, media in LOOKS.items():
        page.emulate_media(**media)
        found[look] = page.evaluate(VIOLATIONS)

    assert found == {look: [] for look in LOOKS}


def test_a_long_sentence_is_written_smaller_until_it_fits(page_of, live_server, demo):
    page = page_of(PROJECTOR)
    opened(page, live_server.url, screen="#lesson-1")
    page.evaluate("""() => {
        const text = document.querySelector("#lesson-1 .show-lead");
        text.textContent = `${text.textContent} `.repeat(5);
        window.dispatchEvent(new Event("resize"));
    }""")

    assert page.evaluate(MISFITS) == []
    assert int(page.locator("#lesson-1").get_attribute("data-tight")) > 0


def test_what_cannot_be_made_to_fit_is_scrolled_with_the_arrows_and_left_with_a_remote(
    page_of, live_server, demo
):
    page = page_of(PROJECTOR)
    opened(page, live_server.url)
    for _ in range(3):
        page.keyboard.press("PageDown")
    page.evaluate("""() => {
        const text = document.querySelector("#lesson-1 .show-lead");
        text.textContent = `${text.textContent} `.repeat(30);
        window.dispatchEvent(new Event("resize"));
    }""")
    page.keyboard.press("ArrowDown")
    page.wait_for_function("() => document.querySelector('#lesson-1').scrollTop > 0")
    expect(page.locator("[data-place]")).to_have_text("4 / 17")
    page.keyboard.press("PageDown")
    expect(page.locator("[data-place]")).to_have_text("5 / 17")


def test_without_scripts_the_screens_follow_one_another(page_of, live_server, demo):
    page = page_of(PROJECTOR)
    held = opened(page, live_server.url)
    bare = page_of(PROJECTOR, java_script_enabled=False, storage_state=page.context.storage_state())
    bare.goto(f"{live_server.url}/classes/{held.pk}/debrief/")

    boxes = [one.bounding_box() for one in bare.locator("[data-screen]").all()]
    assert len(boxes) == 17
    assert all(
        before["y"] + before["height"] <= after["y"] + 1
        for before, after in itertools.pairwise(boxes)
    )
    expect(bare.get_by_role("button", name=re.compile("Next"))).to_be_hidden()
    bare.get_by_text("All screens").click()
    bare.get_by_role("link", name="Task 5: Sheep yards").click()
    expect(bare.get_by_role("heading", name="Task 5: Sheep yards")).to_be_in_viewport()


def test_nothing_moves_by_itself(page_of, live_server, demo):
    page = page_of(PROJECTOR, reduced_motion="reduce")
    opened(page, live_server.url)

    assert (
        page.evaluate("""() => [...document.querySelectorAll("*")]
        .map((one) => getComputedStyle(one))
        .filter(({ transitionDuration, animationName }) =>
            parseFloat(transitionDuration) || animationName !== "none").length""")
        == 0
    )


def test_print_has_every_screen_in_the_same_order(page_of, live_server, demo):
    page = page_of(PROJECTOR)
    opened(page, live_server.url)
    page.emulate_media(media="print")
    page.evaluate("() => window.dispatchEvent(new Event('beforeprint'))")

    tops = [one.bounding_box()["y"] for one in page.locator("[data-screen]").all()]
    assert len(tops) == 17
    assert tops == sorted(tops)
    expect(page.locator(".show-bar")).to_be_hidden()


def test_the_instructor_finds_people_by_name_and_by_mistake(page_of, live_server, demo):
    page = page_of(PROJECTOR)
    held = opened(page, live_server.url)
    page.goto(f"{live_server.url}/classes/{held.pk}/debrief/alone/")
    rows = page.locator("[data-person]:visible h3")
    everybody = rows.all_inner_texts()
    page.locator("[data-search]").fill("nia")
    expect(rows).to_have_text(["Niamh"])
    page.locator("[data-search]").fill("nobody of that name")
    expect(page.get_by_text("Nobody fits that.")).to_be_visible()
    page.locator("[data-search]").fill("")
    page.locator("[data-cause]").select_option("habit")

    expect(rows).to_have_text(["Idris", "Niamh", "Ylva"])
    assert len(everybody) > 3
    assert everybody == sorted(everybody)
