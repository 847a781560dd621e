import re

import pytest

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
