"""The importer's preview in a real browser: cells mended where they stand, with the script and
without it.
"""

import pytest

from .conftest import LAPTOP, PHONE, expect, sign_in

pytestmark = pytest.mark.django_db(transaction=True)
PASTE = (
    "S3: 45.13100 S, 170.10300 E\n"
    "Gate 4: 45.1295O S, 170.10120 E\n"
    "Old post: 170.10210 N, 45.13050 E"
)
TABLE = (
    "code,name,lat,lon,tree\n"
    "N1,mast,-45.13100,170.10100,oak\n"
    "N2,pole,170.10300,-45.13200,elm\n"
    "N3,stile,170.10350,-45.13250,elm\n"
)


def look(page, address, site, text):
    page.goto(f"{address}/sites/{site.pk}/import/")
    page.get_by_label("Or paste places here").fill(text)
    page.get_by_role("button", name="Look at it").click()


def look_with_script(page, address, site, text):
    """The same, once the script has taken the place of the button."""
    look(page, address, site, text)
    expect(page.locator("[data-look]")).to_be_hidden()


def new_codes(site):
    old = "ABCDEFGHIJKLMNOPQRSTUVW"
    return sorted(code for code in site.points.values_list("code", flat=True) if code not in old)


@pytest.mark.parametrize("viewport", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_a_cell_is_mended_and_its_row_is_ticked_without_a_new_page(
    page_of, live_server, site, viewport
):
    page = page_of(viewport)
    sign_in(page, live_server.url)
    before = set(new_codes(site))
    look_with_script(page, live_server.url, site, PASTE)
    ticked = page.locator("[data-ticked]")
    expect(ticked).to_have_text("1 of 3 rows ticked")

    page.get_by_label("Name, line 1").fill("the third stile")
    place = page.get_by_label("Place, in any notation, line 2")
    expect(place).to_have_attribute("aria-invalid", "true")
    place.fill("45.12950 S, 170.10120 E")
    expect(ticked).to_have_text("2 of 3 rows ticked")
    expect(place).not_to_have_attribute("aria-invalid", "true")
    expect(page.get_by_label("Name, line 1")).to_have_value("the third stile")
    page.get_by_label("Take line 1").uncheck()
    expect(ticked).to_have_text("1 of 3 rows ticked")
    page.get_by_label("Take line 1").check()
    page.get_by_role("button", name="Bring in what is ticked").click()

    expect(page.get_by_text("2 points made.")).to_be_visible()
    expect(page.get_by_label("Name, line 3")).to_have_value("Old post")
    assert set(new_codes(site)) - before == {"P1", "S3"}
    assert site.points.get(code="S3").name == "the third stile"


def test_coordinates_are_exchanged_in_one_row_and_then_in_all(page_of, live_server, site):
    page = page_of(LAPTOP)
    sign_in(page, live_server.url)
    look_with_script(page, live_server.url, site, TABLE + "N4,tree,170.10400,-45.13300,ash")
    expect(page.get_by_text("1 column is not used: tree.")).to_be_visible()
    ticked = page.locator("[data-ticked]")

    page.get_by_role("button", name="Exchange latitude and longitude").first.click()
    expect(ticked).to_have_text("2 of 4 rows ticked")
    expect(page.get_by_label("Latitude, line 3")).to_have_value("-45.13200")
    expect(page.get_by_label("Take line 3")).to_be_focused()
    page.get_by_role("button", name="Exchange them in all these rows").click()

    expect(ticked).to_have_text("4 of 4 rows ticked")
    expect(page.get_by_role("button", name="Exchange")).to_have_count(0)


def test_what_is_typed_while_the_network_is_gone_stays_and_is_read_later(
    page_of, live_server, site
):
    page = page_of(PHONE)
    sign_in(page, live_server.url)
    look_with_script(page, live_server.url, site, PASTE)
    page.context.set_offline(True)

    place = page.get_by_label("Place, in any notation, line 2")
    place.fill("45.12950 S, 170.10120 E")
    expect(page.get_by_text("The rows could not be looked at.")).to_be_visible()
    page.context.set_offline(False)
    place.press("Enter")

    expect(page.locator("[data-ticked]")).to_have_text("2 of 3 rows ticked")
    expect(page.get_by_text("The rows could not be looked at.")).to_be_hidden()


def test_who_leaves_with_something_typed_is_asked_first(page_of, live_server, site):
    page = page_of(LAPTOP)
    sign_in(page, live_server.url)
    look_with_script(page, live_server.url, site, PASTE)
    page.get_by_label("Name, line 1").fill("the third stile")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))

    page.get_by_role("link", name="Back").click(no_wait_after=True)

    expect(page.get_by_label("Name, line 1")).to_have_value("the third stile")
    assert asked == ["beforeunload"]


def test_columns_that_are_chosen_anew_never_mix_up_the_cells(page_of, live_server, site):
    page = page_of(LAPTOP)
    sign_in(page, live_server.url)
    look_with_script(page, live_server.url, site, "code,a,b,lat,lon\nN1,1,2,-45.13100,170.10100")
    page.locator("[data-read-as]").click()
    page.locator("#id_column_elevation_m").select_option(label="b: 2")

    page.get_by_label("Name, line 2").fill("the mast")

    expect(page.get_by_label("Height in metres, line 2")).to_have_value("2")
    expect(page.get_by_label("Name, line 2")).to_have_value("the mast")
    expect(page.get_by_label("Latitude, line 2")).to_have_value("-45.13100")
    expect(page.get_by_text("1 column is not used: a.")).to_be_visible()


def test_without_scripts_a_button_looks_again_and_enter_never_stores(page_of, live_server, site):
    page = page_of(PHONE, java_script_enabled=False)
    sign_in(page, live_server.url)
    before = new_codes(site)
    look(page, live_server.url, site, PASTE)
    place = page.get_by_label("Place, in any notation, line 2")

    place.fill("45.12950 S, 170.1012x E")
    place.press("Enter")
    expect(place).to_have_value("45.12950 S, 170.1012x E")
    place.fill("45.12950 S, 170.10120 E")
    page.get_by_role("button", name="Look at it again").click()

    expect(page.get_by_text("2 of 3 rows ticked")).to_be_visible()
    expect(page.get_by_label("Take line 2")).to_be_checked()
    assert new_codes(site) == before


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_the_preview_is_never_wider_than_its_screen(page_of, live_server, site, width):
    page = page_of({"width": width, "height": 740})
    sign_in(page, live_server.url)

    look_with_script(page, live_server.url, site, TABLE)

    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_how_many_are_ticked_is_not_covered_by_the_rows_beneath(page_of, live_server, site):
    page = page_of({"width": 1280, "height": 500})
    sign_in(page, live_server.url)
    rows = "\n".join(f"N{number}: 45.131{number:02} S, 170.103 E" for number in range(20))
    look_with_script(page, live_server.url, site, rows)
    ticked = page.locator("[data-ticked]")
    expect(ticked).to_be_in_viewport()
    on_top = """(one) => {
        const { left, top, height } = one.getBoundingClientRect();
        return document.elementFromPoint(left + 5, top + height / 2) === one;
    }"""

    assert ticked.evaluate(on_top)
