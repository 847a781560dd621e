"""The settings of a server that answers a bare POST as well (`tests/bare.py`)."""

from navclass.settings import *  # noqa: F403 - these settings are those, and an address more

ROOT_URLCONF = "tests.bare"
