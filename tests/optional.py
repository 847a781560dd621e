"""What a machine may lack: packages of tests/requirements-browser.txt, a browser, tools."""

import importlib
import os

import pytest


def unavailable(reason):
    """Skip, or fail where BROWSER=require says that nothing may be missing."""
    if os.environ.get("BROWSER") == "require":
        pytest.fail(reason)
    pytest.skip(reason)


def package(name):
    """A module of a package that only some tests want."""
    try:
        return importlib.import_module(name)
    except ImportError:
        return unavailable(
            f"{name.partition('.')[0]} is not installed: "
            "pip install -r tests/requirements-browser.txt"
        )
