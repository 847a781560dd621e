"""What an instructor does before a class, in a real browser: bring in points, survey at the mark,
move and draw on the map.
"""

import re

import pytest

from exercises.domain.earth.geodesy import Position, apart_m
from exercises.models import Hazard, Point

from .conftest import LAPTOP, PHONE, expect, sign_in

pytestmark = pytest.mark.django_db(transaction=True)
GATE = {"latitude": -45.1302, "longitude": 170.1003, "accuracy": 6}


def point(site, code):
    return site.points.get(code=code)


def place(site, code):
    return point(site, code).as_domain().position


def test_a_file_is_looked_at_mended_and_brought_in(desk, live_server, site):
    desk.goto(f"{live_server.url}/sites/{site.pk}/")
    desk.get_by_role("link", name="Bring in points").click()
    desk.get_by_label("File").set_input_files(
        {
            "name": "points.csv",
            "mimeType": "text/csv",
            "buffer": b"a;b;c\nN1;-45,13100;170,10100\nN2;-45,13200;170,10200\n",
        }
    )
    desk.get_by_role("button", name="Look at it").click()
    expect(desk.get_by_text("Say which columns hold the position")).to_be_visible()
    for label, column in (
        ("code", "a: N1"),
        ("latitude", "b: -45,13100"),
        ("longitude", "c: 170,10100"),
    ):
        desk.locator(f"#id_column_{label}").select_option(label=column)
    desk.get_by_role("button", name="Look at it again").click()
    expect(desk.get_by_text("2 new, 0 to survey again, 0 as they are, 0 refused.")).to_be_visible()
    desk.get_by_label("Name, line 2").fill("the new mast")
    desk.get_by_label("Take line 3").uncheck()
    desk.get_by_role("button", name="Bring in what is ticked").click()

    expect(desk.get_by_text("1 point made.")).to_be_visible()
    assert list(site.points.filter(code__startswith="N").values_list("code", "name")) == [
        ("N1", "the new mast")
    ]


def test_pasted_places_are_brought_in_from_a_phone(page_of, live_server, site):
    phone = page_of(PHONE)
    sign_in(phone, live_server.url)
    phone.goto(f"{live_server.url}/sites/{site.pk}/import/")
    phone.get_by_label("Or paste places here").fill("Gate: 45°07'52\"S 170°06'05\"E\nnowhere")
    phone.get_by_role("button", name="Look at it").click()
    expect(phone.get_by_text("Refused.", exact=True)).to_be_visible()
    phone.get_by_role("button", name="Bring in what is ticked").click()

    expect(phone.get_by_text("1 point made.")).to_be_visible()


def marker(page, code):
    return page.locator(f".map-point[title^='{code} ']")


def test_a_point_is_dragged_undone_dragged_again_and_saved(desk, live_server, site):
    before = place(site, "A")
    desk.goto(f"{live_server.url}/sites/{site.pk}/")
    desk.get_by_role("button", name="Move points").click()
    for step in (60, 45):
        box = marker(desk, "A").bounding_box()
        desk.mouse.move(box["x"] + 22, box["y"] + 22)
        desk.mouse.down()
        desk.mouse.move(box["x"] + 22 + step, box["y"] + 22, steps=6)
        desk.mouse.up()
        expect(desk.locator("[data-said]")).to_contain_text("Nothing is stored yet.")
        if step == 60:
            desk.get_by_role("button", name="Undo").click()
            expect(desk.get_by_role("button", name="Save")).to_be_hidden()
    assert apart_m(place(site, "A"), before) < 0.001
    desk.get_by_role("button", name="Save").click()
    expect(
        desk.get_by_text("1 point moved. Its earlier surveys are kept, set aside.")
    ).to_be_visible()

    moved = place(site, "A")
    assert apart_m(moved, before) > 20
    assert moved.longitude_deg > before.longitude_deg
    assert abs(moved.latitude_deg - before.latitude_deg) < 1e-5
    assert (point(site, "A").method, point(site, "A").accuracy_m) == ("map", pytest.approx(3.0))


def test_a_point_is_moved_with_the_keyboard_by_metres(desk, live_server, site):
    before = place(site, "B")
    desk.goto(f"{live_server.url}/sites/{site.pk}/")
    desk.get_by_role("button", name="Move points").focus()
    desk.keyboard.press("Enter")
    marker(desk, "B").focus()
    for key in ("ArrowUp", "Shift+ArrowRight", "Shift+ArrowRight", "Control+z"):
        desk.keyboard.press(key)
    expect(desk.locator("[data-said]")).to_contain_text("B is back a step.")
    desk.get_by_role("button", name="Save").focus()
    desk.keyboard.press("Enter")
    expect(desk.get_by_text("1 point moved.")).to_be_visible()

    assert apart_m(place(site, "B"), before) == pytest.approx(
        101**0.5, abs=0.02
    )  # a metre north, ten east


def test_without_a_choice_to_move_nothing_moves(desk, live_server, site):
    desk.goto(f"{live_server.url}/sites/{site.pk}/")
    marker(desk, "A").focus()
    desk.keyboard.press("ArrowRight")

    expect(desk.get_by_role("button", name="Save")).to_be_hidden()


def test_a_chosen_station_shows_its_lines_with_bearing_and_length(desk, live_server, site):
    desk.goto(f"{live_server.url}/sites/{site.pk}/")
    marker(desk, "F").focus()
    desk.keyboard.press("Enter")

    line = site.as_domain().sight_line("F", "T1")
    words = f"{line.bearing_deg:03.0f}° {line.distance_m:.0f} m"
    expect(desk.locator("[data-said]")).to_contain_text(f"T1 {words}")
    expect(marker(desk, "T1")).to_contain_text(words)
    expect(marker(desk, "A")).not_to_contain_text("°")


def test_ellipses_are_drawn_true_to_scale(desk, live_server, site):
    Point.objects.filter(site=site, code="A").update(
        accuracy_m=20, major_m=None, minor_m=None, azimuth_deg=None
    )
    desk.goto(f"{live_server.url}/sites/{site.pk}/")
    expect(marker(desk, "A")).to_be_visible()

    wide = max(
        box["width"]
        for box in desk.locator(".leaflet-overlay-pane path.ellipse").evaluate_all(
            "(all) => all.map((one) => one.getBBox()).map(({ width, height }) => ({ width, "
            "height }))"
        )
    )
    one, other = (marker(desk, code).bounding_box() for code in ("T7", "T3"))
    pixels = ((one["x"] - other["x"]) ** 2 + (one["y"] - other["y"]) ** 2) ** 0.5
    metres = site.as_domain().sight_line("T7", "T3").distance_m
    assert wide / pixels * metres == pytest.approx(2 * 2.4477 * 20, rel=0.02)


def test_codes_do_not_lie_on_one_another_on_a_phone(page_of, live_server, site):
    phone = page_of(PHONE)
    sign_in(phone, live_server.url)
    phone.goto(f"{live_server.url}/sites/{site.pk}/")
    expect(marker(phone, "A")).to_be_visible()

    boxes = phone.locator(".map-code").evaluate_all(
        "(all) => all.map((one) => one.getBoundingClientRect()).map(({ left, top, right, bottom "
        "}) => [left, top + 3, right, bottom - 3])"
    )
    over = [
        (one, other)
        for place, one in enumerate(boxes)
        for other in boxes[place + 1 :]
        if one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
    ]
    assert len(boxes) == 21
    assert len(over) <= 2  # twenty-one codes in 260 pixels


def test_without_javascript_the_plan_stands_there(page_of, live_server, site):
    page = page_of(LAPTOP, java_script_enabled=False)
    sign_in(page, live_server.url)
    page.goto(f"{live_server.url}/sites/{site.pk}/")

    expect(page.get_by_role("img", name="Plan of 21 points, true north up.")).to_be_visible()
    expect(page.locator("[data-map]")).to_be_hidden()


def test_in_print_the_plan_takes_the_place_of_the_map(desk, live_server, site):
    desk.goto(f"{live_server.url}/sites/{site.pk}/")
    desk.emulate_media(media="print")

    expect(desk.get_by_role("img", name="Plan of 21 points, true north up.")).to_be_visible()
    expect(desk.locator("[data-map]")).to_be_hidden()
    expect(desk.get_by_role("img", name=re.compile("25.7° east of true north"))).to_be_visible()


def test_a_background_map_is_asked_for_where_one_is_set_and_its_silence_is_said(
    page_of, live_server, site, settings
):
    settings.TILES_URL, settings.TILES_CREDIT = (
        f"{live_server.url}/tiles/{{z}}/{{x}}/{{y}}.png",
        "© <b>Invented survey</b>",
    )
    page = page_of(LAPTOP)
    asked = []
    page.route(
        "**/tiles/**", lambda route: (asked.append(route.request.url), route.abort("failed"))[0]
    )
    sign_in(page, live_server.url)
    page.goto(f"{live_server.url}/sites/{site.pk}/")

    expect(
        page.get_by_text(
            "The background map does not answer. Points, lines and scale are right without it."
        )
    ).to_be_visible()
    expect(page.get_by_text("© <b>Invented survey</b>")).to_be_visible()
    assert re.search(r"/tiles/\d+/\d+/\d+\.png", asked[0])


def test_a_danger_is_drawn_by_tapping_and_undone(desk, live_server, site):
    desk.goto(f"{live_server.url}/sites/{site.pk}/hazards/new/")
    desk.get_by_label("What it is").select_option("road")
    desk.get_by_label("Name").fill("New track")
    canvas = desk.locator("[data-map]")
    box = canvas.bounding_box()
    for x, y in ((0.25, 0.95), (0.6, 0.96), (0.9, 0.9)):
        canvas.click(position={"x": x * box["width"], "y": y * box["height"]})
    desk.get_by_role("button", name="Undo").click()
    marker(desk, "T4").click()
    expect(desk.get_by_label("Corners, one in each line")).to_have_value(
        re.compile(r"^-45\.\d{6}, 170\.\d{6}\n-45\.\d{6}, 170\.\d{6}\nT4$")
    )
    desk.get_by_role("button", name="Save").click()
    expect(desk.get_by_role("link", name="New track")).to_be_visible()

    assert len(Hazard.objects.get(name="New track").corners) == 3


def survey_here(phone, address, positions=5):
    """Opens the page of a survey and lets the phone take some positions."""
    phone.context.grant_permissions(["geolocation"])
    phone.context.set_geolocation(GATE)
    phone.goto(address)
    phone.get_by_role("button", name="Begin").click()
    for number in range(1, positions):
        expect(phone.locator("[data-detail]")).to_have_text(re.compile(rf"^{number} position"))
        phone.context.set_geolocation(
            {**GATE, "longitude": GATE["longitude"] + number * 5e-6, "accuracy": 6 + number}
        )
    expect(phone.get_by_text(re.compile(r"^± \d"))).to_be_visible()


def test_a_phone_on_the_mark_averages_and_says_how_well(page_of, live_server, site):
    phone = page_of(PHONE)
    sign_in(phone, live_server.url)
    survey_here(phone, f"{live_server.url}/sites/{site.pk}/points/A/here/")
    expect(phone.locator("[data-scatter] circle.dot").first).to_be_visible()
    phone.get_by_role("button", name="Keep this position").click()
    expect(phone.get_by_text("Stored.")).to_be_visible()

    survey = point(site, "A").surveys.last()
    assert survey.method == "averaged"
    assert survey.major_m > 3.5  # more than any of the six metres would average to
    assert apart_m(survey.as_domain().position, Position(GATE["latitude"], GATE["longitude"])) < 3


def surveyed_offline(page_of, live_server, site):
    """A phone that keeps a survey of A which found no network."""
    phone = page_of(PHONE)
    sign_in(phone, live_server.url)
    survey_here(phone, f"{live_server.url}/sites/{site.pk}/points/A/here/")
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Keep this position").click()
    expect(phone.get_by_text("1 survey is kept on this phone and not sent yet.")).to_be_visible()
    return phone


def test_a_survey_without_network_is_sent_once_when_it_is_back(page_of, live_server, site):
    phone = surveyed_offline(page_of, live_server, site)
    phone.context.set_offline(False)
    expect(phone.get_by_text("Stored.")).to_be_visible()

    assert point(site, "A").surveys.count() == 2


def test_a_survey_outlives_its_page_and_is_sent_by_the_next(page_of, live_server, site):
    phone = surveyed_offline(page_of, live_server, site)
    context = phone.context
    phone.close()
    assert point(site, "A").surveys.count() == 1
    context.set_offline(False)
    later = context.new_page()
    later.goto(f"{live_server.url}/sites/{site.pk}/points/B/here/")
    expect(later.get_by_text("Stored.")).to_be_visible()

    assert [point(site, code).surveys.count() for code in "AB"] == [2, 1]
    assert later.evaluate("() => localStorage.getItem('navclass-surveys')") is None


def test_a_new_point_is_made_where_the_phone_stands(page_of, live_server, site):
    phone = page_of(PHONE)
    sign_in(phone, live_server.url)
    phone.context.grant_permissions(["geolocation"])
    survey_here(phone, f"{live_server.url}/sites/{site.pk}/here/")
    phone.get_by_role(
        "button", name="Keep this position"
    ).click()  # without a code: the form asks for it, and nothing is lost
    phone.get_by_label("Code").fill("n5")
    phone.get_by_label("Name").fill("new rock")
    phone.get_by_role("button", name="Keep this position").click()
    expect(phone.get_by_text("Stored.")).to_be_visible()

    assert point(site, "N5").name == "new rock"


def test_a_phone_that_may_not_tell_its_place_says_why_and_offers_typing(page_of, live_server, site):
    phone = page_of(PHONE)
    sign_in(phone, live_server.url)
    phone.goto(f"{live_server.url}/sites/{site.pk}/points/A/here/")
    phone.get_by_role("button", name="Begin").click()
    expect(phone.get_by_text("The phone may not tell its place here.")).to_be_visible()
    phone.get_by_label("Place, typed").fill("45°07'48.72\"S 170°06'01.08\"E")
    phone.get_by_role("button", name="Keep the typed place").click()

    expect(phone.get_by_role("heading", name="Surveys of A Terrace steps")).to_be_visible()
    assert point(site, "A").surveys.last().details["how"] == "typed"


def test_over_plain_http_the_page_says_why_there_is_no_place(page_of, live_server, site):
    phone = page_of(PHONE)
    address = live_server.url.replace("localhost", "class.lan")
    sign_in(phone, address)
    phone.goto(f"{address}/sites/{site.pk}/points/A/here/")

    expect(
        phone.get_by_text(
            "This page came over plain http, and browsers tell a place over https only."
        )
    ).to_be_visible()
    expect(phone.get_by_label("Place, typed")).to_be_visible()
    expect(phone.get_by_role("button", name="Begin")).to_be_hidden()


def test_the_ground_is_checked_from_the_site(desk, live_server, site):
    desk.goto(f"{live_server.url}/sites/{site.pk}/")
    desk.get_by_role("link", name="Check the ground").click()
    expect(desk.get_by_role("row", name=re.compile("^C .*Local attraction"))).to_be_visible()
    desk.get_by_label("From:", exact=True).select_option(label="B Willow bend")
    desk.get_by_label("To:", exact=True).select_option(label="D Bore field")
    desk.get_by_label("Fore bearing, read there").fill("168")
    desk.get_by_role("button", name="Note it").first.click()

    expect(desk.get_by_role("row", name=re.compile("B → D"))).to_be_visible()
    assert site.observed.get(target__code="D", station__code="B").bearing_deg == 168.0
