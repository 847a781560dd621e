"""Every page in every look: accessibility, small screens, targets for fingers, motion, words."""

import re

import pytest
from django.utils import timezone

from exercises.domain.running.kit import Event
from exercises.models import Course, CourseClass, Point
from exercises.usecases.open_class import create_class, open_class
from tests import cast, kits, optional, rotated

from .conftest import LAPTOP, PHONE, expect, sign_in
from .test_journeys import debrief_pages, join, open_first_task, type_bearing

pytestmark = pytest.mark.django_db(transaction=True)
TOUCH_PX = 44


def addresses(held, demo):
    site = held.course.site
    correction = f"/classes/{held.pk}/key/correct/?what=station&of=C&degrees=9&error=1"
    return (
        *debrief_pages(held),
        correction,
        "/sites/",
        f"/sites/{site.pk}/",
        f"/sites/{site.pk}/points/new/",
        f"/courses/{held.course_id}/",
        f"/classes/{demo.pk}/",
        f"/classes/{held.pk}/key/",
        f"/classes/{held.pk}/debrief/",
        "/hand-in/",
        "/sites/new/",
        "/account/",
        "/account/second-step/passkey/",
        f"/classes/{held.pk}/people/",
        f"/classes/{held.pk}/print/",
        f"/classes/{held.pk}/paper/",
        *laying_out(site, held.course),
        *of_places(site),
        *running(demo),
        *of_kit(demo),
    )


def running(held):
    """The pages of a class while it is held, with a rotation that runs, and of what is shared and
    removed.
    """
    if not held.rotations.exists():
        rotated.grouped(held, ("Gil", "Hob"))
        rotated.started(held, timezone.now())
    return (
        *(
            f"/classes/{held.pk}/{page}/"
            for page in (
                "before",
                "emergency",
                "roster",
                "headcount",
                "helpers",
                "trail",
                "settings",
                "again",
                "remove",
                "closing",
                "compasses",
                "rotation",
                "rotation/live",
                "rotation/clock",
                "rotation/again",
                "live",
            )
        ),
        f"/sites/{held.course.site_id}/safety/",
        "/organisations/",
        "/bin/",
    )


def of_kit(held):
    """The pages of a kit that goes out with a class, some of its compasses in people's hands."""
    kit = kits.kit_of(held.owner, *map(str, range(1, 10)))
    kits.write(kit, "2", Event.OFF, offset_deg=4.2, error_deg=0.5, words="by the gate")
    kits.write(kit, "3", Event.WITHDRAWN)
    kits.takes(held, kit)
    ((person, _), _) = cast.join(held, "Una", "Vic")
    kits.give(held, "1", person=person)
    return (
        "/kits/",
        f"/kits/{kit.pk}/",
        f"/kits/{kit.pk}/settings/",
        f"/kits/{kit.pk}/check/",
        f"/kits/{kit.pk}/compasses/2/",
        f"/classes/{held.pk}/kit/",
    )


def of_places(site):
    """The pages of a class with positions and a walk."""
    held = site.courses.get(name="Map and paces").classes.get(name="Spring, with map and paces")
    return (
        f"/courses/{held.course_id}/",
        f"/classes/{held.pk}/key/",
        f"/classes/{held.pk}/debrief/",
        f"/classes/{held.pk}/people/",
        f"/classes/{held.pk}/paper/",
    )


def laying_out(site, course):
    """The pages before a class: survey, ground, check, proposal."""
    here, hazard = f"/sites/{site.pk}/", site.hazards.first()
    return (
        f"{here}import/",
        f"{here}here/",
        f"{here}measured/",
        f"{here}traverse/",
        f"{here}ground/",
        f"{here}hazards/{hazard.pk}/",
        f"{here}points/A/",
        f"{here}points/A/lines/?within=500",
        f"{here}points/A/surveys/",
        f"{here}points/A/here/",
        f"/courses/{course.pk}/propose/"
        "?number=4&kind=sight&north=mixed&preset=usual&refuse=A%3ET1%3Etrue",
    )


def each_page(desk, phone, address, demo):
    """Goes through all pages of the desk and the phone, and yields each with its name."""
    yield from each_of_the_desk(desk, address, demo)
    yield from each_of_the_phone(phone, address, demo)


def each_of_the_desk(desk, address, demo):
    sign_in(desk, address)
    held = CourseClass.objects.get(name="Spring introduction")
    for path in addresses(held, demo):
        desk.goto(address + path)
        yield desk, path
    desk.goto(f"{address}/sites/{held.course.site_id}/traverse/")
    desk.get_by_label("Begins at").select_option(index=1)
    start = desk.get_by_label("Begins at").input_value()
    code = Point.objects.get(pk=start).code
    desk.get_by_label("Legs, one in each line").fill(f"Z1 072 61.2\nZ2 141 48.5\n{code} 228 90")
    desk.get_by_role("button", name="Look at it").click()
    expect(desk.get_by_role("heading", name="How it closes")).to_be_visible()
    yield desk, "traverse that does not close"
    desk.goto(f"{address}/sites/{held.course.site_id}/import/")
    desk.get_by_label("Or paste places here").fill("Z1,5002214.1,429226.8,401.2,peg")
    desk.get_by_role("button", name="Look at it").click()
    expect(desk.get_by_label("Order of the numbers")).to_have_value("northing_first")
    yield desk, "points without a line of names"


def each_of_the_phone(phone, address, demo):
    for path in (
        "/",
        "/trust/",
        "/words/",
        f"/c/{demo.code}/join/",
        f"/c/{demo.code}/other-phone/",
    ):
        phone.goto(address + path)
        yield phone, path
    join(phone, address, demo.code)
    yield phone, "list"
    phone.get_by_role("button", name=re.compile("Bore field")).click()
    yield phone, "station"
    phone.locator("[data-tasks] button").first.click()
    yield phone, "follow"
    phone.get_by_role("button", name="Stations").click()
    open_first_task(phone)
    yield phone, "task"
    type_bearing(phone, "122")
    phone.get_by_role("button", name="Send").click()
    expect(phone.locator("svg.dial")).to_be_visible()
    yield phone, "result"
    phone.route("**/readings/", lambda route: route.abort("internetdisconnected"))
    phone.get_by_role("button", name="Next").click()
    type_bearing(phone, "153")
    phone.get_by_role("button", name="Send").click()
    expect(phone.get_by_role("heading", name="Kept")).to_be_visible()
    yield phone, "kept"
    phone.get_by_role("button", name="Stations").click()
    phone.get_by_text("If this phone dies").click()
    yield phone, "list with readings that wait"
    phone.get_by_role("link", name="Show readings to your instructor").click()
    expect(phone.locator(".scan")).to_be_visible()
    yield phone, "hand over"
    phone.unroute("**/readings/")
    CourseClass.objects.filter(pk=demo.pk).update(released_at=cast.LATER)
    phone.goto(f"{address}/c/{demo.code}/mine/")
    yield phone, "own sheet"
    phone.goto(f"{address}/c/{demo.code}/compass/")
    yield phone, "compass"
    yield from each_place(phone, address, demo)
    phone.goto(f"{address}/practice/")
    yield phone, "practice"
    phone.get_by_role("button", name=re.compile("The hill")).click()
    yield phone, "trainer"
    yield from each_lesson(phone, address)


def each_lesson(phone, address):
    """The rounds of the lessons at home, and one lesson's begin and end."""
    phone.goto(f"{address}/practice/?declination=9W&dial=5#hold")
    expect(phone.get_by_role("button", name="Begin")).to_be_visible()
    yield phone, "lesson"
    for lesson, rounds in {
        "hold": 2,
        "box": 2,
        "read": 2,
        "end": 3,
        "map": 4,
        "declination": 1,
    }.items():
        for number in range(1, rounds + 1):
            phone.evaluate(f"location.hash = '{lesson}/{number}'")
            expect(phone.locator("[data-step]")).to_contain_text(f"{number} of")
            yield phone, f"lesson {lesson}, round {number}"
    phone.locator("[data-round-choices] button").first.click()
    expect(phone.locator("[data-round-said]")).not_to_be_empty()
    yield phone, "lesson, what happened"
    phone.evaluate(
        "localStorage.setItem('navclass practice lessons', "
        "JSON.stringify({ box: { times: 1, missed: [0] } }))"
    )
    phone.evaluate("location.hash = 'box/end'")
    expect(phone.get_by_role("heading", name="To repeat")).to_be_visible()
    yield phone, "lesson's end"


def each_place(phone, address, demo):
    """A position, a walk and the counting of paces on the phone."""
    course = Course.objects.get(name="Map and paces")
    held = create_class(
        owner=demo.owner,
        course_class=CourseClass(
            course=course,
            name="Map day",
            date=cast.DAY,
            time_zone="Pacific/Auckland",
            feedback="at_once",
        ),
    )
    open_class(course_class=held, by=demo.owner, now=cast.NOW)
    join(phone, address, held.code)
    phone.goto(f"{address}/c/{held.code}/pace/")
    yield phone, "pace"
    phone.goto(f"{address}/c/{held.code}/lengths/")
    yield phone, "lengths"
    phone.goto(f"{address}/c/{held.code}/#H/5")
    expect(phone.locator("[data-choices].letters")).to_be_visible()
    yield phone, "fix"
    phone.evaluate("location.hash = 'A/7'")
    expect(phone.locator("[data-legs] li")).to_have_count(3)
    yield phone, "walk"
    phone.locator("[data-choices] button").first.click()
    phone.get_by_role("button", name="Send").click()
    expect(phone.locator("svg.whereabouts")).to_be_visible()
    yield phone, "walk's result"


PLAIN = {"color_scheme": "light", "contrast": "no-preference", "forced_colors": "none"}
LOOKS = {
    "light": PLAIN,
    "dark": {**PLAIN, "color_scheme": "dark"},
    "more contrast": {**PLAIN, "contrast": "more"},
    "more contrast, dark": {**PLAIN, "color_scheme": "dark", "contrast": "more"},
    "forced colours": {**PLAIN, "forced_colors": "active"},
}
VIOLATIONS = """() => axe.run({ resultTypes: ["violations"] }).then(({ violations }) =>
    violations.map(({ id, nodes }) => `${id}: ${nodes[0].html.slice(0, 120)}`))"""


@pytest.mark.parametrize(
    ("each", "viewport"),
    [(each_of_the_desk, LAPTOP), (each_of_the_phone, PHONE)],
    ids=["desk", "phone"],
)
def test_a_checker_for_accessibility_finds_nothing_in_any_look(
    page_of, live_server, demo, each, viewport
):
    checker = optional.package("axe_playwright_python.sync_playwright").Axe().axe_script
    found = {}
    for page, name in each(page_of(viewport), live_server.url, demo):
        page.evaluate(checker)
        for look, media in LOOKS.items():
            page.emulate_media(**media)
            found[name, look] = page.evaluate(VIOLATIONS)

    assert found == {page_and_look: [] for page_and_look in found}


SMALL_TARGETS = """(least) => {
    const within = (one) => one.closest("p, li, td, th, svg");
    const isInline = (one) => getComputedStyle(one).display === "inline";
    const size = ({ width, height }) => `${Math.round(width)}x${Math.round(height)}`;
    const touched = "a, button, input:not([type=hidden]), select, textarea, summary";
    return [...document.querySelectorAll(touched)].filter((one) => {
        const box = one.getBoundingClientRect();
        if (!box.width || one.closest("[hidden], .skip")) return false;
        if (one.tagName === "A" && within(one) && isInline(one)) return false;
        const target = ["checkbox", "radio"].includes(one.type)
            ? one.closest("label, .field-check").getBoundingClientRect() : box;
        return target.height < least - 0.5 || target.width < least - 0.5;
    }).map((one) => [one.tagName, one.textContent.trim().slice(0, 30), one.name ?? "",
        size(one.getBoundingClientRect())].join(" "));
}"""


MOVING = """() => [...document.querySelectorAll("*")].map((one) => getComputedStyle(one)).filter(
    ({ transitionDuration, animationName }) =>
        parseFloat(transitionDuration) || animationName !== "none").length"""
SCROLL_WIDTH = "() => document.documentElement.scrollWidth"
# 320: a phone's page at 100 %, a laptop's of 1280 at 400 %; 640: at 200 %
WIDTHS = (320, PHONE["width"], 640)


def measure(page):
    """How wide a page is at each width, and what on a phone is too small to touch."""
    wide = {}
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": PHONE["height"]})
        wide[width] = page.evaluate(SCROLL_WIDTH)
        if width == PHONE["width"]:
            small = page.evaluate(SMALL_TARGETS, TOUCH_PX)
    page.set_viewport_size({"width": WIDTHS[0], "height": PHONE["height"]})
    return {"wide": wide, "small": small}


@pytest.fixture(scope="module")
def kept_measures():
    return {}


@pytest.fixture
def measured(kept_measures, page_of, live_server, demo):
    """The measures of each page, by name, from one walk through them all."""
    if not kept_measures:
        size = {"width": WIDTHS[0], "height": PHONE["height"]}
        walk = each_page(page_of(size), page_of(size), live_server.url, demo)
        kept_measures.update({name: measure(page) for page, name in walk})
    return kept_measures


@pytest.mark.parametrize("width", WIDTHS)
def test_no_page_scrolls_sideways_down_to_320_pixels(measured, width):
    wide = {name: found["wide"][width] for name, found in measured.items()}

    assert {name: found for name, found in wide.items() if found > width} == {}


def test_everything_to_touch_is_at_least_44_pixels(measured):
    assert {name: found["small"] for name, found in measured.items() if found["small"]} == {}


def test_nothing_moves_where_less_motion_is_asked_for(page_of, live_server, demo):
    still = {"reduced_motion": "reduce"}
    walk = each_page(page_of(LAPTOP, **still), page_of(PHONE, **still), live_server.url, demo)
    moving = {name: page.evaluate(MOVING) for page, name in walk}

    assert moving == dict.fromkeys(moving, 0)


def test_no_page_of_the_desk_scrolls_sideways_in_the_longest_language(page_of, live_server, demo):
    desk = page_of({"width": 320, "height": 640})
    sign_in(desk, live_server.url)
    desk.context.add_cookies([{"name": "navclass_language", "value": "es", "url": live_server.url}])
    wide = {}
    for path in addresses(CourseClass.objects.get(name="Spring introduction"), demo):
        desk.goto(live_server.url + path)
        wide[path] = desk.evaluate(SCROLL_WIDTH)

    assert {path: found for path, found in wide.items() if found > 320} == {}


@pytest.mark.parametrize("width", [320, 360])
def test_a_key_on_a_phone_is_read_without_moving_it_sideways(page_of, live_server, demo, width):
    phone = page_of({"width": width, "height": 740})
    sign_in(phone, live_server.url)
    phone.context.add_cookies(
        [{"name": "navclass_language", "value": "es", "url": live_server.url}]
    )
    for held in CourseClass.objects.exclude(opened_at=None):
        phone.goto(f"{live_server.url}/classes/{held.pk}/key/")
        table = phone.locator(".scroll").filter(has=phone.locator(".key"))

        assert table.evaluate("frame => frame.scrollWidth <= frame.clientWidth")
        expect(table.get_by_role("row").nth(1)).to_be_visible()
