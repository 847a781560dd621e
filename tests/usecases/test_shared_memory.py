"""What one process remembers, another finds: the first signs of a class that is out."""

import pytest
from django.core.cache import caches
from django.test import override_settings

from exercises.usecases import watch_class
from navclass.settings import CACHES
from tests import cast


@pytest.fixture
def shared(db):
    """The memory of the settings, as all processes but those of tests have it."""
    with override_settings(CACHES=CACHES):
        yield


def test_signs_that_one_process_counted_are_told_by_the_next_without_counting(
    shared, open_class, monkeypatch
):
    cast.six_read(open_class, too_much_deg=12)
    found = watch_class.signs_now(course_class=open_class, now=cast.NOW)

    def counts_again(**_more):
        raise AssertionError("counted again")

    monkeypatch.setattr(watch_class, "debrief", counts_again)
    del caches["default"]  # as in another process, which has no connection to it yet

    assert watch_class.signs_now(course_class=open_class, now=cast.NOW) == found
    assert found


def test_while_one_process_counts_another_tells_what_was_found_before(
    shared, open_class, monkeypatch
):
    cast.six_read(open_class, too_much_deg=12)
    found = watch_class.signs_now(course_class=open_class, now=cast.NOW)
    caches["default"].add(f"first_signs_{open_class.pk}_counting", 1, 60)
    monkeypatch.setattr(watch_class, "debrief", None)

    assert watch_class.signs_now(course_class=open_class, now=cast.LATER) == found
