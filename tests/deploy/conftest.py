"""Recipes are set up once for all their tests. That takes minutes, root, nginx and PostgreSQL, so
`.ci/run` asks for it with DEPLOY=yes and on one process.
"""

import os

import pytest


@pytest.fixture(scope="session", autouse=True)
def asked_for():
    if os.environ.get("DEPLOY") != "yes":
        pytest.skip("recipes are set up with DEPLOY=yes (as .ci/run does)")
