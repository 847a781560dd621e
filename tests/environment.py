"""A plugin (see .pytest.ini): the environment of the tests, set before pytest-django reads the
settings; how many processes share the tests; which of them ask the database.
"""

import os

import pytest

os.environ.setdefault("NAVCLASS_HOTSPOT", "yes")
os.environ.setdefault(
    "NAVCLASS_SECRET_KEY", "only for tests, 0123456789 0123456789 0123456789 0123456789"
)
os.environ.setdefault("NAVCLASS_DEMONSTRATION", "yes")  # browsers sign in as in the demonstration
os.environ.setdefault(
    "DJANGO_ALLOW_ASYNC_UNSAFE", "true"
)  # the browser driver runs an event loop beside the ORM

ASK_THE_DATABASE = {"db", "transactional_db", "live_server"}


@pytest.hookimpl(tryfirst=True)
def pytest_xdist_auto_num_workers(config):
    """One process for tests that are named one by one: starting more takes longer than the tests.
    Otherwise one for each core.
    """
    return 0 if config.args and all("::" in name for name in config.args) else None


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    """Mark what asks the database, so that `-m database` runs it again on another."""
    for item in items:
        if item.get_closest_marker("django_db") or ASK_THE_DATABASE & set(item.fixturenames):
            item.add_marker("database")
