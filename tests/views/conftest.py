import pytest
from django.utils import timezone

from tests import cast


@pytest.fixture
def clock(monkeypatch):
    """The moment at which pages are asked for, which tests move."""

    class Clock:
        now = cast.NOW

    monkeypatch.setattr(timezone, "now", lambda: Clock.now)
    return Clock
