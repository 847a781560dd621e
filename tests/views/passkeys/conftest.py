import re

import pytest

from exercises.views import passkey_questions, passkeys as views, second_step, signing_in
from tests import cast
from tests.authenticator import Authenticator
from tests.views.passkeys.pages import (
    PASSWORD,
    browser,
    make,
)


@pytest.fixture
def owner(db):
    return cast.instructor("ines", PASSWORD)


@pytest.fixture
def clock(monkeypatch):
    """The moment at which pages are asked for, which tests move."""

    class Clock:
        now = cast.NOW

    for module in (views, passkey_questions, second_step, signing_in):
        monkeypatch.setattr(module.timezone, "now", lambda: Clock.now)
    return Clock


@pytest.fixture
def desk(owner, clock):
    client = browser()
    client.force_login(owner)
    return client


@pytest.fixture
def device(desk):
    """A device that holds a passkey of Ines's; `codes` are her recovery codes."""
    made = Authenticator()
    page = make(desk, made).content.decode()
    made.codes = re.findall(r'<li><strong class="personal-code">([A-Z0-9 ]+)</strong>', page)
    return made
