"""Two ways of reaching it, and how light it is: kept by a worker on https and localhost, open on
plain http; new versions, languages, weight.
"""

import re

from exercises.serving import shell
from tests import demonstration

from .conftest import PHONE, expect
from .test_another_way_in import to_handover
from .test_journeys import open_first_task, type_bearing
from .test_promises import (
    ONE_KEPT,
    asked_before_closing,
    joined,
    read_first,
    with_signal_again,
)


def test_a_new_version_waits_for_a_yes_while_a_number_is_half_typed(
    page_of, live_server, monkeypatch, transactional_db
):
    demo, phone = demonstration.load(), page_of(PHONE)
    phone.goto(f"{live_server.url}/c/{demo.code}/join/")
    phone.get_by_label("Your name").fill("Mia")
    phone.get_by_role("button", name="Join", exact=True).click()
    phone.wait_for_function("() => navigator.serviceWorker.controller !== null")
    open_first_task(phone)
    type_bearing(phone, "30")
    monkeypatch.setattr(shell, "version", lambda: "another")
    phone.evaluate(
        "() => navigator.serviceWorker.getRegistration().then((one) => one.update()).then(() => "
        "true)"
    )

    expect(phone.get_by_text("A new version of this page is ready.")).to_be_visible()
    expect(phone.locator("[data-reading]")).to_have_value("30")
    phone.get_by_role("button", name="Use it now").click()
    expect(phone.locator("script[src='/class-another.js']")).to_have_count(1)
    expect(phone.locator("[data-reading]")).to_have_value("30")


def test_the_page_can_be_installed(page_of, field):
    phone = joined(page_of(PHONE), field)
    devtools = phone.context.new_cdp_session(phone)
    manifest = devtools.send("Page.getAppManifest")

    assert manifest["url"] == f"{field.address}/manifest.webmanifest"
    assert manifest["errors"] == []
    errors = devtools.send("Page.getInstallabilityErrors")["installabilityErrors"]
    assert [
        error["errorId"] for error in errors if error["errorId"] != "in-incognito"
    ] == []  # the test's own kind of window


def on_plain_http(field):
    return field.address.replace("localhost", "class.lan")


def test_plain_http_works_while_the_page_stays_open_says_so_and_warns_before_it_is_closed(
    page_of, field
):
    phone = page_of(PHONE)
    phone.goto(f"{on_plain_http(field)}/c/{field.code}/join/")
    phone.get_by_label("Your name").fill("Mia")
    phone.get_by_role("button", name="Join", exact=True).click()
    expect(phone.get_by_text("Works without signal while it stays open.")).to_be_visible()
    phone.wait_for_load_state("networkidle")
    phone.context.set_offline(True)
    read_first(phone)
    expect(phone.locator("[data-status]")).to_contain_text(ONE_KEPT)
    to_handover(phone)
    expect(phone.locator(".scan")).to_be_visible()
    assert asked_before_closing(phone) == ["beforeunload"]

    with_signal_again(phone)
    assert field.readings() == [("Mia", "1", "302", 1, "phone")]


def test_the_language_can_be_changed_and_stays_without_network(page_of, own_field):
    phone = joined(page_of(PHONE), own_field)
    phone.get_by_role("button", name="Español").click()
    expect(phone.locator("html")).to_have_attribute("lang", "es")
    expect(phone.get_by_role("button", name=re.compile("Terrace steps"))).to_be_visible()
    own_field.kill()
    phone.reload()

    expect(phone.locator("html")).to_have_attribute("lang", "es")
    expect(phone.get_by_role("button", name="English")).to_be_visible()


def test_the_first_visit_is_light(page_of, field):
    phone, sizes = page_of(PHONE), {}
    devtools = phone.context.new_cdp_session(phone)
    devtools.send("Network.enable")
    asked = {}
    devtools.on(
        "Network.requestWillBeSent",
        lambda event: asked.update({event["requestId"]: event["request"]["url"]}),
    )
    devtools.on(
        "Network.loadingFinished",
        lambda event: sizes.update({event["requestId"]: event["encodedDataLength"]}),
    )
    phone.goto(f"{field.address}/c/{field.code}/join/")
    phone.get_by_label("Your name").fill("Mia")
    phone.get_by_role("button", name="Join", exact=True).click()
    expect(phone.get_by_role("button", name=re.compile("Terrace steps"))).to_be_visible()
    phone.wait_for_load_state("networkidle")

    assert {url.split("/")[2] for url in asked.values()} == {f"localhost:{field.port}"}
    assert len(asked) <= 10
    assert sum(sizes.values()) < 60_000


def test_a_reading_is_under_a_kilobyte(page_of, field):
    phone = joined(page_of(PHONE), field)
    open_first_task(phone)
    type_bearing(phone, "302")
    with phone.expect_request("**/readings/") as sent:
        phone.get_by_role("button", name="Send").click()

    assert sent.value.sizes()["requestBodySize"] < 300
    assert sent.value.sizes()["requestBodySize"] + sent.value.sizes()["requestHeadersSize"] < 1024


def test_a_target_that_was_chosen_survives_a_reload(page_of, field):
    phone = joined(page_of(PHONE), field)
    phone.get_by_role("button", name=re.compile("Bore field")).click()
    phone.locator("[data-tasks] button").first.click()
    phone.get_by_role("button", name=re.compile("^T5")).click()
    phone.reload()

    expect(phone.get_by_role("button", name=re.compile("^T5"))).to_have_attribute(
        "aria-pressed", "true"
    )


def test_a_half_typed_number_survives_a_change_of_language_and_the_question_follows(page_of, field):
    phone = joined(page_of(PHONE), field)
    open_first_task(phone)
    type_bearing(phone, "30")
    phone.get_by_role("button", name="Español").click()

    expect(phone.get_by_role("heading", name=re.compile("Lee el rumbo"))).to_be_visible()
    expect(phone.locator("[data-reading]")).to_have_value("30")


def test_a_page_that_needs_signal_says_so_and_shows_the_way_back(page_of, field):
    phone = joined(page_of(PHONE), field)
    phone.context.set_offline(True)
    phone.get_by_role("link", name="I have another compass now").click()

    expect(phone.get_by_text("That page needs signal.")).to_be_visible()
    phone.get_by_role("link", name="Thursday beginners").first.click()
    expect(phone.get_by_role("button", name=re.compile("Terrace steps"))).to_be_visible()
