"""A real Chromium, found on this machine. Without one the tests skip with the reason;
BROWSER=require makes that a failure.
"""

import os
import shutil

import pytest

from exercises.models import Site
from exercises.usecases import load_demo
from tests import demonstration
from tests.optional import unavailable

from .field import Field, copied

try:
    from playwright.sync_api import expect, sync_playwright
except ImportError:
    expect = sync_playwright = None

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP class.lan 127.0.0.1",
]
# what the browser says of a network that is gone; a file that is missing is said otherwise
WITHOUT_NETWORK = "net::ERR_"
PHONE, LAPTOP = {"width": 360, "height": 740}, {"width": 1440, "height": 900}


@pytest.fixture(scope="session")
def playwright():
    if sync_playwright is None:
        unavailable("playwright is not installed: pip install -r tests/requirements-browser.txt")
    expect.set_options(
        timeout=15_000
    )  # a machine that tests beside others takes its time; nothing here waits longer than it must
    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def program():
    found = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    if not found:
        unavailable("no Chromium on this machine: install it, or name it in CHROMIUM")
    return found


@pytest.fixture(scope="session")
def chromium(playwright, program):
    browser = playwright.chromium.launch(executable_path=program, args=FLAGS)
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def loaded(tmp_path_factory):
    """A data folder with the demonstration, loaded once."""
    server = Field(tmp_path_factory.mktemp("demo") / "data").start("demo")
    server.kill()
    return server.folder


@pytest.fixture(scope="session")
def running(loaded, tmp_path_factory):
    """The server that tests share which do it no harm."""
    server = copied(loaded, tmp_path_factory.mktemp("shared") / "data").start()
    yield server
    server.kill()


@pytest.fixture
def field(running, loaded):
    """A running server with the demonstration as loaded, not to be stopped."""
    running.put_back(loaded)
    return running


@pytest.fixture
def own_field(loaded, tmp_path):
    """A running server of the test's own, to be killed and started again."""
    server = copied(loaded, tmp_path / "data").start()
    yield server
    server.kill()


@pytest.fixture
def page_of(chromium):
    """Makes pages, each a device of its own; fails the test when a page complains on its
    console.
    """
    contexts, complaints = [], []

    def make(viewport=PHONE, **options):
        context = chromium.new_context(viewport=viewport, **options)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda message: (
                complaints.append(message.text)
                if message.type == "error" and WITHOUT_NETWORK not in message.text
                else None
            ),
        )
        return page

    yield make
    for context in contexts:
        context.close()
    assert complaints == []


def sign_in(page, address):
    page.goto(f"{address}/sign-in/")
    page.get_by_label("Username").fill(load_demo.USERNAME)
    page.get_by_label("Password").fill(load_demo.PASSWORD)
    page.get_by_role("button", name="Sign in").click()


@pytest.fixture
def demo(live_server):
    return demonstration.load()


@pytest.fixture
def site(live_server):
    demonstration.load()
    return Site.objects.get(name="Matagouri Terrace Field Centre")


@pytest.fixture
def desk(page_of, live_server, site):
    page = page_of(LAPTOP)
    sign_in(page, live_server.url)
    expect(page.get_by_role("heading", name="Sites")).to_be_visible()
    return page
