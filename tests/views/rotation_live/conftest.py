import datetime

import pytest
from django.utils import timezone

from tests import rotated


@pytest.fixture
def people(open_class):
    return rotated.grouped(open_class)


@pytest.fixture
def row(open_class, people):
    """Runs since cast.NOW."""
    return rotated.started(open_class)


@pytest.fixture
def runs_now(open_class, people):
    """Runs since a minute ago, for what views ask at their own time."""
    return rotated.started(open_class, timezone.now() - datetime.timedelta(minutes=1))
