"""The recipe for a container. Where no container runtime is it cannot be built, so each of its
commands is run by itself: RUN in a folder with what was copied before it, in a fresh environment,
then what it starts, with its own settings.
"""

import json
import os
import shlex
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from tests.serving.served import HOST, Phone, free_port

from .machine import BARE, DEPLOY, ROOT, at_port


def steps():
    """The instructions of the recipe, (verb, rest)."""
    lines = (DEPLOY / "Containerfile").read_text().splitlines()
    return [tuple(line.split(" ", 1)) for line in lines if line and not line.startswith("#")]


class Image:
    """What the recipe makes, in a folder."""

    def __init__(self, folder):
        self.folder = folder
        self.environment = (
            BARE
            | {"HOME": str(folder)}
            | {name: os.environ[name] for name in os.environ if name.startswith(("PIP_", "SSL_"))}
        )
        subprocess.run([sys.executable, "-m", "venv", folder / "venv"], check=True)
        self.environment["PATH"] = f"{folder}/venv/bin:{self.environment['PATH']}"
        self.work = folder / "work"
        self.work.mkdir()
        self.command = []
        for verb, rest in steps():
            getattr(self, f"do_{verb.lower()}", lambda rest: None)(rest)

    def do_copy(self, rest):
        """Files of the program."""
        source, target = rest.split()
        if (ROOT / source).is_dir():
            shutil.copytree(ROOT / source, self.work / target)
        else:
            shutil.copy(ROOT / source, self.work / target)

    def do_run(self, rest):
        """A command of the build."""
        subprocess.run(rest, shell=True, cwd=self.work, env=self.environment, check=True)

    def do_env(self, rest):
        """Settings."""
        self.environment |= dict(pair.split("=", 1) for pair in shlex.split(rest))

    def do_entrypoint(self, rest):
        """What is started."""
        self.entrypoint = json.loads(rest)

    def do_cmd(self, rest):
        """With what."""
        self.command = json.loads(rest)


@pytest.fixture(scope="module")
def image():
    folder = Path(tempfile.mkdtemp(prefix="nav-", dir="/tmp"))
    yield Image(folder)
    subprocess.Popen(["rm", "-rf", folder], start_new_session=True)


def test_every_instruction_is_one_that_is_tried_or_says_what_it_stands_on(image):
    tried = {"COPY", "RUN", "ENV", "ENTRYPOINT", "CMD"}

    assert {verb for verb, _ in steps()} - tried == {
        "FROM",
        "WORKDIR",
        "USER",
        "EXPOSE",
        "STOPSIGNAL",
    }


def test_what_it_starts_serves_after_its_migrations_and_ends_when_told(image):
    settings = image.environment | {
        "NAVCLASS_SECRET_KEY": "0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
        "NAVCLASS_HOSTS": HOST,
        "NAVCLASS_DATA": str(image.folder / "data"),
    }
    port = free_port()
    command = [str(port) if word == "8000" else word for word in image.command]
    started = subprocess.Popen(
        [*image.entrypoint, *command], cwd=image.work, env=settings, start_new_session=True
    )
    try:
        while _health(port) is None:
            assert started.poll() is None
            time.sleep(0.1)  # a process that does not listen yet gives no other sign
        before = _health(port)
        subprocess.run(
            [*image.entrypoint, "manage.py", "migrate", "-v", "0"],
            cwd=image.work,
            env=settings,
            check=True,
        )

        class Server:
            pass

        Server.port = port
        assert (before, _health(port), Phone(Server).get("/").status) == (503, 200, 200)
    finally:
        started.terminate()
    assert started.wait(5) == 0


def _health(port):
    """The status of the ready address, None where nobody listens."""
    try:
        return at_port(port, "/health/ready/")
    except OSError:
        return None
