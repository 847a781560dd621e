"""A passkey in a real browser, held by a virtual device (Chrome DevTools Protocol, WebAuthn)."""

import re

import pytest

from exercises.usecases import load_demo

from .conftest import PHONE, expect, sign_in

pytestmark = pytest.mark.django_db(transaction=True)
DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


class Device:
    """A virtual device in a page's browser."""

    def __init__(self, page):
        self.browser = page.context.new_cdp_session(page)
        self.browser.send("WebAuthn.enable")
        self.plug_in()

    def plug_in(self):
        made = self.browser.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
        self.name = {"authenticatorId": made["authenticatorId"]}

    def forget(self):
        self.browser.send("WebAuthn.clearCredentials", self.name)

    def take_away(self):
        self.browser.send("WebAuthn.removeVirtualAuthenticator", self.name)


def add(page, address, name):
    page.goto(f"{address}/account/")
    page.get_by_role("link", name=re.compile("Add a passkey|One more passkey")).click()
    page.get_by_label("What you call it").fill(name)
    page.get_by_label("Password now").fill(load_demo.PASSWORD)
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Make the passkey").click()


@pytest.fixture
def device(desk, live_server):
    """A device with a passkey of the demonstration's account, whose page is signed out."""
    held = Device(desk)
    add(desk, live_server.url, "Laptop")
    expect(desk.get_by_role("heading", name="Recovery codes")).to_be_visible()
    desk.get_by_role("link", name="I have them").click()
    expect(desk.get_by_text("passkey, for 0")).to_be_visible()
    desk.get_by_role("button", name="Sign out", exact=True).click()
    return held


def test_a_passkey_is_added_and_lets_in_after_the_password(desk, live_server, device):
    sign_in(desk, live_server.url)
    expect(desk.get_by_role("heading", name="Second step")).to_be_visible()

    desk.get_by_role("button", name="Use a passkey").click()

    expect(desk.get_by_role("heading", name="Sites")).to_be_visible()
    desk.goto(f"{live_server.url}/account/")
    expect(desk.get_by_text("last used 0")).to_be_visible()


def test_a_browser_without_json_of_its_own_adds_and_uses_one_too(desk, live_server):
    desk.add_init_script(
        "delete PublicKeyCredential.parseCreationOptionsFromJSON;"
        "delete PublicKeyCredential.parseRequestOptionsFromJSON;"
        "delete PublicKeyCredential.prototype.toJSON;"
    )
    Device(desk)
    add(desk, live_server.url, "Laptop")
    desk.get_by_role("link", name="I have them").click()
    desk.get_by_role("button", name="Sign out", exact=True).click()
    sign_in(desk, live_server.url)

    desk.get_by_role("button", name="Use a passkey").click()

    expect(desk.get_by_role("heading", name="Sites")).to_be_visible()


def test_a_device_that_holds_none_is_told_in_words_and_a_new_try_helps(desk, live_server, device):
    sign_in(desk, live_server.url)
    device.forget()

    desk.get_by_role("button", name="Use a passkey").click()

    expect(desk.get_by_role("alert")).to_contain_text("No passkey came")
    expect(desk.get_by_role("button", name="Use a passkey")).to_be_enabled()
    expect(desk.get_by_label("Code")).to_be_editable()


def test_the_same_device_is_not_added_twice(desk, live_server, device):
    sign_in(desk, live_server.url)
    desk.get_by_role("button", name="Use a passkey").click()
    expect(desk.get_by_role("heading", name="Sites")).to_be_visible()

    add(desk, live_server.url, "Laptop again")

    expect(desk.get_by_role("alert")).to_contain_text("a passkey of this account already")


def test_a_browser_that_knows_no_passkeys_is_told_what_to_do(page_of, live_server, device):
    page = page_of(PHONE)
    page.add_init_script("delete globalThis.PublicKeyCredential")
    sign_in(page, live_server.url)

    expect(page.get_by_role("alert")).to_contain_text("This browser knows no passkeys.")
    expect(page.get_by_role("button", name="Use a passkey")).to_be_hidden()
    expect(page.get_by_label("Code")).to_be_editable()


def test_without_scripts_the_field_for_codes_is_there(page_of, live_server, device):
    page = page_of(PHONE, java_script_enabled=False)
    sign_in(page, live_server.url)

    assert "Passkeys need scripts" in page.content()  # the driver draws no <noscript>
    expect(page.get_by_role("button", name="Use a passkey")).to_be_hidden()
    expect(page.get_by_label("Code")).to_be_editable()
